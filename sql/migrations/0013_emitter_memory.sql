-- 0013: what the server remembers of emitters over a stop.
-- Why:  an emitter was known at the next start only if it had been heard within recover.hours;
--       else it came back as another, and its name, notes and history stayed with the old one.
-- Cost: a new table, one row a channel with emitters, some 4 kB an emitter.
-- Undo: DROP TABLE emitter_memory; emitters are then found anew from the latest bearings.
BEGIN;
CREATE TABLE emitter_memory (
    channel_id bigint PRIMARY KEY,
    through_ns bigint NOT NULL,
    state      bytea NOT NULL
);
COMMENT ON TABLE emitter_memory IS 'What a channel''s bearings came to, for the server only; replaced whole, in the transaction of the results that it goes with.';
COMMENT ON COLUMN emitter_memory.channel_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_memory.through_ns IS 'Start of the last bearing that is in it, ns since 1970-01-01 UTC.';
COMMENT ON COLUMN emitter_memory.state IS 'Sums and filters of its emitters; says itself which version wrote it.';
GRANT SELECT, INSERT, UPDATE, DELETE ON emitter_memory TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (13);
COMMIT;
