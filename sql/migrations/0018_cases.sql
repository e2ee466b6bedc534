-- 0018: cases: what somebody investigates, and what belongs to it.
-- Why:  interference is a question with a beginning and an end, asked of several emitters; who asked,
--       what was noted on the way and what came of it was kept nowhere.
-- Cost: new tables, written by people.
-- Undo: DROP TABLE case_emitter, case_note, case_file, after the views that name them.
BEGIN;
CREATE TABLE case_file (
    case_id      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    opened_at    timestamptz NOT NULL DEFAULT now(),
    opened_by    text NOT NULL CHECK (opened_by <> '' AND length(opened_by) <= 100),
    question     text NOT NULL CHECK (question <> '' AND length(question) <= 2000),
    complaint    text NOT NULL DEFAULT '' CHECK (length(complaint) <= 2000),
    alert_id     text,
    since        timestamptz NOT NULL,
    until        timestamptz NOT NULL,
    frequency_hz double precision CHECK (frequency_hz > 0),
    place        geography(Point, 4326),
    radius_m     double precision CHECK (radius_m > 0),
    closed_at    timestamptz,
    closed_by    text CHECK (closed_by <> '' AND length(closed_by) <= 100),
    outcome      text CHECK (length(outcome) <= 2000),
    CHECK (until > since),
    CHECK ((place IS NULL) = (radius_m IS NULL)),
    CHECK ((closed_at IS NULL) = (closed_by IS NULL) AND (closed_at IS NULL) = (outcome IS NULL))
);
COMMENT ON TABLE case_file IS 'What somebody investigates.';
COMMENT ON COLUMN case_file.case_id IS 'Rises in the order in which they were opened.';
COMMENT ON COLUMN case_file.opened_at IS 'When, UTC.';
COMMENT ON COLUMN case_file.opened_by IS 'Who, as they said.';
COMMENT ON COLUMN case_file.question IS 'What somebody wants to know.';
COMMENT ON COLUMN case_file.complaint IS 'What was heard, or disturbed, as it was told; may be empty.';
COMMENT ON COLUMN case_file.alert_id IS 'The alert that it began with; null: none.';
COMMENT ON COLUMN case_file.since IS 'Begin of the stretch that it is about, UTC.';
COMMENT ON COLUMN case_file.until IS 'End of it, UTC.';
COMMENT ON COLUMN case_file.frequency_hz IS 'That it is about, Hz; null: any.';
COMMENT ON COLUMN case_file.place IS 'Where it was noticed, WGS84; null: not told.';
COMMENT ON COLUMN case_file.radius_m IS 'Emitters within so far of it may matter, m.';
COMMENT ON COLUMN case_file.closed_at IS 'When, UTC; null: open.';
COMMENT ON COLUMN case_file.closed_by IS 'Who, as they said.';
COMMENT ON COLUMN case_file.outcome IS 'What came of it.';
CREATE TABLE case_note (
    note_id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    case_id bigint NOT NULL REFERENCES case_file,
    at      timestamptz NOT NULL DEFAULT now(),
    by      text NOT NULL CHECK (by <> '' AND length(by) <= 100),
    note    text NOT NULL CHECK (note <> '' AND length(note) <= 2000)
);
COMMENT ON TABLE case_note IS 'What was noted in the course of a case; never changed.';
COMMENT ON COLUMN case_note.note_id IS 'Rises.';
COMMENT ON COLUMN case_note.case_id IS 'Row of case_file.';
COMMENT ON COLUMN case_note.at IS 'When, UTC.';
COMMENT ON COLUMN case_note.by IS 'Who, as they said.';
COMMENT ON COLUMN case_note.note IS 'One line.';
CREATE INDEX case_note_by_case ON case_note (case_id);
CREATE TABLE case_emitter (
    channel_id bigint NOT NULL,
    emitter_id bigint NOT NULL,
    case_id    bigint NOT NULL REFERENCES case_file,
    added_at   timestamptz NOT NULL DEFAULT now(),
    added_by   text NOT NULL CHECK (added_by <> '' AND length(added_by) <= 100),
    why        text NOT NULL DEFAULT '' CHECK (length(why) <= 2000),
    PRIMARY KEY (channel_id, emitter_id, case_id)
);
COMMENT ON TABLE case_emitter IS 'Emitters that belong to a case.';
COMMENT ON COLUMN case_emitter.channel_id IS 'As in emitter.';
COMMENT ON COLUMN case_emitter.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN case_emitter.case_id IS 'Row of case_file.';
COMMENT ON COLUMN case_emitter.added_at IS 'When, UTC.';
COMMENT ON COLUMN case_emitter.added_by IS 'Who, as they said.';
COMMENT ON COLUMN case_emitter.why IS 'Why it belongs to it.';
CREATE INDEX case_emitter_by_case ON case_emitter (case_id);
GRANT SELECT, INSERT, UPDATE ON case_file TO fixwright_writer;
GRANT SELECT, INSERT ON case_note, case_emitter TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (18);
COMMIT;
