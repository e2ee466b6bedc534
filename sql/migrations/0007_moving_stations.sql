-- 0007: stations that move: which they are, and how well each of their places is known.
-- Why:  an error of the station's place turns its line of sight; without it in the row a replay
--       would believe a vehicle more than the server did.
-- Cost: two new columns; a default that is not written to rows, so no table is rewritten.
-- Undo: ALTER TABLE bearing DROP COLUMN station_sigma_m; ALTER TABLE station DROP COLUMN moves;
--       after dropping the views that name them. Vehicles' places are then taken as exact.
BEGIN;
ALTER TABLE station ADD COLUMN moves boolean NOT NULL DEFAULT false;
COMMENT ON COLUMN station.moves IS 'A vehicle or hand-carried station: each bearing says where it was; position is where it is kept.';
ALTER TABLE bearing ADD COLUMN station_sigma_m double precision;
COMMENT ON COLUMN bearing.station_sigma_m IS 'Error of a moving station''s place, one standard deviation on each axis, m; null: a fixed station, or not told.';
INSERT INTO schema_version (version) VALUES (7);
COMMIT;
