-- 0017: emitters that one station alone hears.
-- Why:  they have a direction and no place, so they were in no table: nobody could wait for a
--       second station, or send somebody who can hear them too.
-- Cost: new tables, one row a line.
-- Undo: DROP TABLE bearing_only, bearing_only_before, after the views that name them.
BEGIN;
CREATE TABLE bearing_only (
    channel_id    bigint NOT NULL,
    line_id       bigint NOT NULL,
    station_id    integer NOT NULL,
    revision      bigint NOT NULL,
    state         text NOT NULL CHECK (state IN ('waiting', 'located', 'ended')),
    start         geography(Point, 4326) NOT NULL,
    azimuth_deg   double precision NOT NULL CHECK (azimuth_deg >= 0 AND azimuth_deg < 360),
    sigma_deg     double precision NOT NULL CHECK (sigma_deg > 0),
    frequency_hz  double precision NOT NULL CHECK (frequency_hz > 0),
    first_heard   timestamptz NOT NULL,
    last_heard    timestamptz NOT NULL,
    bearings      bigint NOT NULL CHECK (bearings > 0),
    transmissions bigint NOT NULL CHECK (transmissions > 0),
    emitter_id    bigint,
    PRIMARY KEY (channel_id, line_id, station_id),
    CHECK ((state = 'located') = (emitter_id IS NOT NULL)),
    CHECK (last_heard >= first_heard)
);
COMMENT ON TABLE bearing_only IS 'Emitters that one station alone heard again and again: a direction, no place.';
COMMENT ON COLUMN bearing_only.channel_id IS 'As in transmission.';
COMMENT ON COLUMN bearing_only.line_id IS 'Start of the transmission in which it was first heard, as an emitter_id.';
COMMENT ON COLUMN bearing_only.station_id IS 'The station that hears it.';
COMMENT ON COLUMN bearing_only.revision IS 'Rises when the row changes.';
COMMENT ON COLUMN bearing_only.state IS 'waiting for a second station; located: an emitter was found where it pointed; ended: not heard for long, or withdrawn.';
COMMENT ON COLUMN bearing_only.start IS 'Where the line begins: the station, WGS84.';
COMMENT ON COLUMN bearing_only.azimuth_deg IS 'Mean, from true north, the station''s known bias taken off, degrees, [0, 360).';
COMMENT ON COLUMN bearing_only.sigma_deg IS 'Of the mean, the site''s floor included, one standard deviation, degrees.';
COMMENT ON COLUMN bearing_only.frequency_hz IS 'Mean, Hz.';
COMMENT ON COLUMN bearing_only.first_heard IS 'First bearing, UTC.';
COMMENT ON COLUMN bearing_only.last_heard IS 'Latest bearing, UTC.';
COMMENT ON COLUMN bearing_only.bearings IS 'Bearings behind the mean.';
COMMENT ON COLUMN bearing_only.transmissions IS 'Transmissions in which it was heard.';
COMMENT ON COLUMN bearing_only.emitter_id IS 'Of a located one: the emitter it turned out to be, with channel_id.';
CREATE TABLE bearing_only_before (run_id bigint NOT NULL, LIKE bearing_only INCLUDING COMMENTS);
COMMENT ON TABLE bearing_only_before IS 'Such lines as they stood before a run of recompute replaced them.';
COMMENT ON COLUMN bearing_only_before.run_id IS 'Row of recompute_run.';
GRANT SELECT, INSERT, UPDATE, DELETE ON bearing_only TO fixwright_writer;
GRANT SELECT, INSERT ON bearing_only_before TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (17);
COMMIT;
