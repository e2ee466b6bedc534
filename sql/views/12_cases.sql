-- Cases.
CREATE OR REPLACE VIEW case_list AS
SELECT c.case_id, c.closed_at IS NULL AS open, c.opened_at, c.opened_by, c.question, c.complaint,
       c.alert_id, c.since, c.until, c.frequency_hz, c.place::geometry(Point, 4326) AS place,
       c.radius_m, c.closed_at, c.closed_by, c.outcome,
       (SELECT count(*) FROM case_emitter AS e WHERE e.case_id = c.case_id) AS emitters,
       (SELECT count(*) FROM case_note AS n WHERE n.case_id = c.case_id) AS notes
FROM case_file AS c;
COMMENT ON VIEW case_list IS 'What is or was investigated. Columns as in table case_file.';
COMMENT ON COLUMN case_list.open IS 'False: it was closed, with an outcome.';
COMMENT ON COLUMN case_list.emitters IS 'How many belong to it.';
COMMENT ON COLUMN case_list.notes IS 'How many were made.';

CREATE OR REPLACE VIEW case_note_list AS
SELECT note_id, case_id, at, by, note FROM case_note;
COMMENT ON VIEW case_note_list IS 'What was noted in the course of cases. Columns as in table case_note.';

CREATE OR REPLACE VIEW case_emitter_list AS
SELECT c.case_id, c.channel_id, c.emitter_id, c.added_at, c.added_by, c.why, e.name, e.state,
       e.frequency_hz, e.first_heard, e.last_heard, e.verdict, e.position
FROM case_emitter AS c LEFT JOIN emitter_latest AS e USING (channel_id, emitter_id);
COMMENT ON VIEW case_emitter_list IS 'Emitters that belong to cases, as they now stand. Evidence, never proof of who transmits.';
COMMENT ON COLUMN case_emitter_list.case_id IS 'As in case_list.';
COMMENT ON COLUMN case_emitter_list.added_at IS 'When it was added, UTC.';
COMMENT ON COLUMN case_emitter_list.added_by IS 'By whom, as they said.';
COMMENT ON COLUMN case_emitter_list.why IS 'Why it belongs to it.';
