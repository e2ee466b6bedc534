-- 0001: the schema's version, PostGIS, and the two roles that use this database.
-- Why:  the server must know what it talks to; nobody but the server writes, and people
--       and GIS clients read without being able to slow it down.
-- Cost: an empty database gets PostGIS. Roles belong to the whole cluster: kept if there.
-- Undo: DROP DATABASE; DROP ROLE fixwright_reader, fixwright_writer.
BEGIN;
CREATE EXTENSION IF NOT EXISTS postgis;

CREATE TABLE schema_version (
    version    integer PRIMARY KEY,
    applied_at timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE schema_version IS 'One row a migration; the highest is the schema''s version.';
COMMENT ON COLUMN schema_version.version IS 'Number of the file in sql/migrations.';
COMMENT ON COLUMN schema_version.applied_at IS 'When it was applied, UTC.';

CREATE TABLE view_version (
    name text PRIMARY KEY,
    md5  text NOT NULL
);
COMMENT ON TABLE view_version IS 'Which text of each file in sql/views is in force; migrate.sh keeps it.';
COMMENT ON COLUMN view_version.name IS 'File name in sql/views.';
COMMENT ON COLUMN view_version.md5 IS 'MD5 of the file, hexadecimal.';

-- Two databases of one cluster may be migrated at once: the second finds the role made.
DO $$
BEGIN
    CREATE ROLE fixwright_writer LOGIN;
EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
END $$;
DO $$
BEGIN
    CREATE ROLE fixwright_reader LOGIN CONNECTION LIMIT 20;
    ALTER ROLE fixwright_reader SET statement_timeout = '30s';
    ALTER ROLE fixwright_reader SET idle_in_transaction_session_timeout = '60s';
    ALTER ROLE fixwright_reader SET default_transaction_read_only = on;
    ALTER ROLE fixwright_reader SET jit = off;  -- it costs more than these queries
EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL;
END $$;
COMMENT ON ROLE fixwright_writer IS 'The Fixwright server: reads and writes, changes no table.';
COMMENT ON ROLE fixwright_reader IS 'People and GIS clients: the views of sql/views and nothing else.';

GRANT SELECT ON schema_version TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (1);
COMMIT;
