-- 0002: stations and channels, the small tables that everything refers to.
-- Why:  a bearing needs neither text nor geometry when its station and channel have numbers.
-- Cost: two small, empty tables, which a sharded PostgreSQL would copy everywhere.
-- Undo: DROP TABLE station, channel; the server writes them again from its configuration.
BEGIN;
CREATE TABLE station (
    station_id       integer PRIMARY KEY CHECK (station_id > 0),
    name             text NOT NULL UNIQUE CHECK (name ~ '^[A-Z0-9-]{1,32}$'),
    position         geography(Point, 4326) NOT NULL,
    antenna_height_m double precision NOT NULL,
    site_sigma_deg   double precision NOT NULL,
    bias_deg         double precision NOT NULL
);
COMMENT ON TABLE station IS 'Receiving sites that take bearings; rows are never removed.';
COMMENT ON COLUMN station.station_id IS 'Given once, 1 and up; orders bearings of one instant.';
COMMENT ON COLUMN station.name IS 'As in the configuration, [A-Z0-9-], 1 to 32 characters.';
COMMENT ON COLUMN station.position IS 'Registered place, WGS84 longitude and latitude, degrees.';
COMMENT ON COLUMN station.antenna_height_m IS 'Height of the antenna above ground, m.';
COMMENT ON COLUMN station.site_sigma_deg IS 'The site''s own error of azimuth that no averaging removes, one standard deviation, degrees.';
COMMENT ON COLUMN station.bias_deg IS 'Subtracted from each azimuth before use, degrees.';

CREATE TABLE channel (
    channel_id   bigint PRIMARY KEY,
    name         text NOT NULL,
    frequency_hz double precision NOT NULL,
    bandwidth_hz double precision NOT NULL
);
COMMENT ON TABLE channel IS 'The channel plan. Channels found on the raster, from 1 000 000 up, need no row.';
COMMENT ON COLUMN channel.channel_id IS 'From the plan, 1 to 999999.';
COMMENT ON COLUMN channel.name IS 'As in the plan.';
COMMENT ON COLUMN channel.frequency_hz IS 'Centre, Hz.';
COMMENT ON COLUMN channel.bandwidth_hz IS 'Width, Hz.';

GRANT SELECT, INSERT, UPDATE ON station, channel TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (2);
COMMIT;
