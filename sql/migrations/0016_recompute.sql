-- 0016: history that was computed again, and what it was before.
-- Why:  a calibration may be found to have held long before it was accepted. `fixwright recompute`
--       makes the results of a stretch anew; what people were told until then must stay readable.
-- Cost: empty tables. A run copies the fixes, emitters and events that it replaces: some 500 bytes
--       a fix. Rows of a run may be deleted by the owner when nobody asks for them any more.
-- Undo: DROP TABLE recompute_run and the *_before tables, after the views that name them.
BEGIN;
CREATE TABLE recompute_run (
    run_id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    since           timestamptz NOT NULL,
    channels        bigint[],
    done_at         timestamptz NOT NULL DEFAULT now(),
    done_by         text NOT NULL CHECK (done_by <> '' AND length(done_by) <= 100),
    note            text NOT NULL DEFAULT '' CHECK (length(note) <= 2000),
    fixes_before    bigint NOT NULL DEFAULT 0,
    fixes_after     bigint NOT NULL DEFAULT 0,
    emitters_before bigint NOT NULL DEFAULT 0,
    emitters_gone   bigint NOT NULL DEFAULT 0,
    emitters_new    bigint NOT NULL DEFAULT 0,
    median_moved_m  double precision,
    largest_moved_m double precision
);
COMMENT ON TABLE recompute_run IS 'Times at which history was computed again from the stored bearings.';
COMMENT ON COLUMN recompute_run.run_id IS 'Rises; names its rows in the *_before tables.';
COMMENT ON COLUMN recompute_run.since IS 'Results of transmissions that start then or later were made anew, UTC.';
COMMENT ON COLUMN recompute_run.channels IS 'Only those of these channels; null: of all.';
COMMENT ON COLUMN recompute_run.done_at IS 'When, UTC.';
COMMENT ON COLUMN recompute_run.done_by IS 'Who, as they said.';
COMMENT ON COLUMN recompute_run.note IS 'Why.';
COMMENT ON COLUMN recompute_run.fixes_before IS 'Fixes with a position, before.';
COMMENT ON COLUMN recompute_run.fixes_after IS 'Fixes with a position, after.';
COMMENT ON COLUMN recompute_run.emitters_before IS 'Emitters that the stretch told of, retired ones left out, before.';
COMMENT ON COLUMN recompute_run.emitters_gone IS 'Those of them that were not found again: retired.';
COMMENT ON COLUMN recompute_run.emitters_new IS 'Emitters that were not known before.';
COMMENT ON COLUMN recompute_run.median_moved_m IS 'How far emitters of before and after moved, median, m; null: there are none.';
COMMENT ON COLUMN recompute_run.largest_moved_m IS 'And the one that moved farthest, m.';

CREATE TABLE fix_before (run_id bigint NOT NULL, LIKE fix INCLUDING COMMENTS);
CREATE TABLE fix_bearing_before (run_id bigint NOT NULL, LIKE fix_bearing INCLUDING COMMENTS);
CREATE TABLE emitter_before (run_id bigint NOT NULL, LIKE emitter INCLUDING COMMENTS);
CREATE TABLE emitter_event_before (run_id bigint NOT NULL, LIKE emitter_event INCLUDING COMMENTS);
CREATE TABLE track_point_before (run_id bigint NOT NULL, LIKE track_point INCLUDING COMMENTS);
CREATE TABLE register_match_before (run_id bigint NOT NULL, LIKE register_match INCLUDING COMMENTS);
COMMENT ON TABLE fix_before IS 'Fixes as they were before a run replaced them; those withdrawn already are left out.';
COMMENT ON TABLE fix_bearing_before IS 'Each bearing''s part in those fixes.';
COMMENT ON TABLE emitter_before IS 'Emitters as they stood before a run replaced them.';
COMMENT ON TABLE emitter_event_before IS 'What had happened to those emitters, in the stretch that was replaced.';
COMMENT ON TABLE track_point_before IS 'Where those emitters were, in the stretch that was replaced.';
COMMENT ON TABLE register_match_before IS 'What the register had said about those emitters.';
COMMENT ON COLUMN fix_before.run_id IS 'Row of recompute_run.';
COMMENT ON COLUMN fix_bearing_before.run_id IS 'Row of recompute_run.';
COMMENT ON COLUMN emitter_before.run_id IS 'Row of recompute_run.';
COMMENT ON COLUMN emitter_event_before.run_id IS 'Row of recompute_run.';
COMMENT ON COLUMN track_point_before.run_id IS 'Row of recompute_run.';
COMMENT ON COLUMN register_match_before.run_id IS 'Row of recompute_run.';
-- Rows are only ever copied in: nothing here needs to be unique.
CREATE INDEX fix_before_by_emitter ON fix_before (channel_id, emitter_id, run_id);
CREATE INDEX fix_before_by_transmission ON fix_before (channel_id, transmission_id, run_id);
CREATE INDEX fix_bearing_before_by_fix ON fix_bearing_before (channel_id, transmission_id, run_id);
CREATE INDEX emitter_before_by_emitter ON emitter_before (channel_id, emitter_id, run_id);
CREATE INDEX emitter_event_before_by_emitter
    ON emitter_event_before (channel_id, emitter_id, run_id);
CREATE INDEX track_point_before_by_emitter ON track_point_before (channel_id, emitter_id, run_id);
CREATE INDEX register_match_before_by_emitter
    ON register_match_before (channel_id, emitter_id, run_id);

GRANT SELECT, INSERT, UPDATE ON recompute_run TO fixwright_writer;
GRANT SELECT, INSERT ON fix_before, fix_bearing_before, emitter_before, emitter_event_before,
    track_point_before, register_match_before TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (16);
COMMIT;
