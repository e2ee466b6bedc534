-- 0008: what people decide about emitters.
-- Why:  a name, a note or "these two are one" is a person's word: it has an author, a time and
--       a reason, and can be taken back. So it is kept beside what is computed, never instead.
-- Cost: a new table; the names there are become decisions of nobody known.
-- Undo: DROP TABLE emitter_decision; emitter_name still holds the names that stand.
BEGIN;
CREATE TABLE emitter_decision (
    decision_id      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    decided_at       timestamptz NOT NULL DEFAULT now(),
    decided_by       text NOT NULL CHECK (decided_by <> '' AND length(decided_by) <= 100),
    kind             text NOT NULL CHECK (kind IN ('rename', 'note', 'watch', 'unwatch', 'merge',
                                                   'split', 'undo')),
    channel_id       bigint NOT NULL,
    emitter_id       bigint NOT NULL,
    name             text CHECK (length(name) <= 200),
    note             text NOT NULL DEFAULT '' CHECK (length(note) <= 2000),
    other_emitter_id bigint,
    undoes           bigint UNIQUE REFERENCES emitter_decision,
    undone_by        bigint REFERENCES emitter_decision,
    CONSTRAINT emitter_decision_is_whole CHECK (
        (kind = 'rename') = (name IS NOT NULL)
        AND (kind <> 'note' OR note <> '')
        AND (kind = 'merge') = (other_emitter_id IS NOT NULL)
        AND (kind IN ('split', 'undo')) = (undoes IS NOT NULL)),
    CONSTRAINT emitter_decision_keeps_the_older CHECK (emitter_id < other_emitter_id)
);
COMMENT ON TABLE emitter_decision IS 'What people decided about emitters; rows are added, never changed but for undone_by.';
COMMENT ON COLUMN emitter_decision.decision_id IS 'Rises in the order in which they were decided.';
COMMENT ON COLUMN emitter_decision.decided_at IS 'When, UTC.';
COMMENT ON COLUMN emitter_decision.decided_by IS 'Who, as they said.';
COMMENT ON COLUMN emitter_decision.kind IS 'rename, note, watch, unwatch, merge, split (takes a merge back), undo.';
COMMENT ON COLUMN emitter_decision.channel_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_decision.emitter_id IS 'As in emitter; of a merge the older one, which keeps its identity.';
COMMENT ON COLUMN emitter_decision.name IS 'Of a rename: the new name; empty: none any more.';
COMMENT ON COLUMN emitter_decision.note IS 'Why, or what is worth knowing.';
COMMENT ON COLUMN emitter_decision.other_emitter_id IS 'Of a merge: the emitter that is the same transmitter.';
COMMENT ON COLUMN emitter_decision.undoes IS 'Of a split or an undo: the decision that it takes back.';
COMMENT ON COLUMN emitter_decision.undone_by IS 'The decision that took this one back; null: it stands.';
CREATE INDEX emitter_decision_by_emitter ON emitter_decision (channel_id, emitter_id);

INSERT INTO emitter_decision (decided_by, kind, channel_id, emitter_id, name, note)
SELECT 'unknown', 'rename', channel_id, emitter_id, left(name, 200), 'named before decisions were kept'
FROM emitter_name ORDER BY channel_id, emitter_id;
COMMENT ON TABLE emitter_name IS 'Names that stand, by emitter_decision.';

GRANT SELECT, INSERT, UPDATE (undone_by) ON emitter_decision TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (8);
COMMIT;
