-- 0010: two more verdicts of the register, and what each verdict rests on.
-- Why:  an emitter at a registered place beside its band, or whose entry has ended, is neither
--       registered nor unknown; and a verdict without its numbers can't be judged by a person.
-- Cost: checks the rows of register_match once, some thousands; defaults are not written to rows.
-- Undo: DELETE FROM register_match WHERE verdict IN ('off_frequency', 'out_of_validity'); drop the
--       view emitter_latest and the two columns; put back the check of 0006.
BEGIN;
ALTER TABLE register_match DROP CONSTRAINT register_match_verdict_check;
ALTER TABLE register_match ADD CONSTRAINT register_match_verdict_check
    CHECK (verdict IN ('registered', 'unregistered', 'position_disagrees', 'off_frequency',
                       'out_of_validity', 'undecided'));
ALTER TABLE register_match ADD COLUMN frequency_offset_hz double precision;
ALTER TABLE register_match ADD COLUMN evidence text NOT NULL DEFAULT '';
COMMENT ON COLUMN register_match.verdict IS 'registered; unregistered: not found in the register; position_disagrees: a registered channel, at another place; off_frequency: a registered place, beside its band; out_of_validity: as an entry says that has ended or not begun; undecided.';
COMMENT ON COLUMN register_match.frequency_offset_hz IS 'Of the emitter from the centre of licence_id, Hz; null with it.';
COMMENT ON COLUMN register_match.evidence IS 'What the verdict rests on, one line for a person; empty: decided before it was kept.';
INSERT INTO schema_version (version) VALUES (10);
COMMIT;
