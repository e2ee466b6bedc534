-- 0011: the register over time: imports, former versions of its entries, people's word on emitters.
-- Why:  an import is a difference, and "since when" and "until when" are asked of the register as
--       of emitters; and a person who knows better must be able to say so, with the reason.
-- Cost: three new, empty tables; columns with defaults that are not written to rows.
-- Undo: DROP TABLE register_opinion, licence_version, register_import; drop the views that name
--       them and the three columns of licence. What the register was, and who decided, is lost.
BEGIN;
ALTER TABLE licence ADD COLUMN power_w double precision;
ALTER TABLE licence ADD COLUMN emission text NOT NULL DEFAULT '';
ALTER TABLE licence ADD COLUMN import_id bigint NOT NULL DEFAULT 0;
COMMENT ON TABLE licence IS 'The register of licensed transmitters, as last imported.';
COMMENT ON COLUMN licence.power_w IS 'As licensed: of the transmitter, or radiated, W; null: not told.';
COMMENT ON COLUMN licence.emission IS 'Designation by Appendix 1 of the ITU''s Radio Regulations; empty: not told.';
COMMENT ON COLUMN licence.import_id IS 'The import this version came with; 0: before imports were kept.';

CREATE TABLE register_import (
    import_id   bigint PRIMARY KEY,
    imported_at timestamptz NOT NULL,
    source      text NOT NULL,
    added       bigint NOT NULL,
    changed     bigint NOT NULL,
    ended       bigint NOT NULL,
    unchanged   bigint NOT NULL,
    refused     bigint NOT NULL
);
COMMENT ON TABLE register_import IS 'One row an import of the register.';
COMMENT ON COLUMN register_import.import_id IS '1 and up.';
COMMENT ON COLUMN register_import.imported_at IS 'By the database''s clock, UTC.';
COMMENT ON COLUMN register_import.source IS 'Name of the file.';
COMMENT ON COLUMN register_import.added IS 'Entries that were not there before.';
COMMENT ON COLUMN register_import.changed IS 'Entries that differ from before.';
COMMENT ON COLUMN register_import.ended IS 'Entries that the file has no more.';
COMMENT ON COLUMN register_import.unchanged IS 'Entries as before; also those whose row was refused.';
COMMENT ON COLUMN register_import.refused IS 'Rows that were not taken.';

CREATE TABLE licence_version (
    licence_id       text NOT NULL,
    import_id        bigint NOT NULL,
    until_import_id  bigint NOT NULL,
    until_at         timestamptz NOT NULL,
    became           text NOT NULL CHECK (became IN ('changed', 'ended')),
    holder           text NOT NULL,
    service          text NOT NULL,
    position         geography(Point, 4326) NOT NULL,
    position_sigma_m double precision NOT NULL,
    frequency_hz     double precision NOT NULL,
    bandwidth_hz     double precision NOT NULL,
    valid_from       timestamptz,
    valid_until      timestamptz,
    power_w          double precision,
    emission         text NOT NULL,
    PRIMARY KEY (licence_id, import_id)
);
COMMENT ON TABLE licence_version IS 'Former versions of entries of the register.';
COMMENT ON COLUMN licence_version.licence_id IS 'As in licence.';
COMMENT ON COLUMN licence_version.import_id IS 'The import it came with.';
COMMENT ON COLUMN licence_version.until_import_id IS 'The import that changed or ended it.';
COMMENT ON COLUMN licence_version.until_at IS 'When that was, UTC.';
COMMENT ON COLUMN licence_version.became IS 'changed: another version followed; ended: the file had it no more.';
COMMENT ON COLUMN licence_version.holder IS 'As in licence.';
COMMENT ON COLUMN licence_version.service IS 'As in licence.';
COMMENT ON COLUMN licence_version.position IS 'As in licence.';
COMMENT ON COLUMN licence_version.position_sigma_m IS 'As in licence, m.';
COMMENT ON COLUMN licence_version.frequency_hz IS 'As in licence, Hz.';
COMMENT ON COLUMN licence_version.bandwidth_hz IS 'As in licence, Hz.';
COMMENT ON COLUMN licence_version.valid_from IS 'As in licence, UTC.';
COMMENT ON COLUMN licence_version.valid_until IS 'As in licence, UTC.';
COMMENT ON COLUMN licence_version.power_w IS 'As in licence, W.';
COMMENT ON COLUMN licence_version.emission IS 'As in licence.';

CREATE TABLE register_opinion (
    channel_id bigint NOT NULL,
    emitter_id bigint NOT NULL,
    opinion    bigint NOT NULL,
    verdict    text CHECK (verdict IN ('registered', 'unregistered', 'position_disagrees',
                                       'off_frequency', 'out_of_validity', 'undecided')),
    licence_id text,
    note       text NOT NULL CHECK (note <> ''),
    decided_by text NOT NULL CHECK (decided_by <> ''),
    decided_at timestamptz NOT NULL,
    PRIMARY KEY (channel_id, emitter_id, opinion)
);
COMMENT ON TABLE register_opinion IS 'A person''s word on an emitter, against or beside the register''s. The latest counts.';
COMMENT ON COLUMN register_opinion.channel_id IS 'As in emitter.';
COMMENT ON COLUMN register_opinion.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN register_opinion.opinion IS '1 and up for each emitter.';
COMMENT ON COLUMN register_opinion.verdict IS 'As in register_match; null: as the register says.';
COMMENT ON COLUMN register_opinion.licence_id IS 'The entry it is, as far as the person knows.';
COMMENT ON COLUMN register_opinion.note IS 'Why.';
COMMENT ON COLUMN register_opinion.decided_by IS 'Who decided.';
COMMENT ON COLUMN register_opinion.decided_at IS 'When, UTC.';

GRANT SELECT, INSERT ON register_import, licence_version, register_opinion TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (11);
COMMIT;
