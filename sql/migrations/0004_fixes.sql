-- 0004: transmissions, fixes and the bearings in them.
-- Why:  people filter by uncertainty and ask why there is no fix: the covariance is kept, not
--       only an ellipse drawn at one probability, and a refused fix is a row with its reason.
-- Cost: new, empty tables. The ellipse is stored as axes; views draw the polygon.
-- Undo: DROP TABLE fix_bearing, fix, transmission; a replay of bearings recomputes them.
BEGIN;
CREATE TABLE transmission (
    channel_id      bigint NOT NULL,
    transmission_id bigint NOT NULL,
    revision        bigint NOT NULL,
    state           text NOT NULL
        CHECK (state IN ('provisional', 'revised', 'final', 'withdrawn')),
    start_at        timestamptz NOT NULL,
    end_at          timestamptz NOT NULL,
    bearings        integer NOT NULL,
    stations        integer[] NOT NULL,
    PRIMARY KEY (channel_id, transmission_id)
);
COMMENT ON TABLE transmission IS 'Stretches of activity on a channel, as heard by all stations.';
COMMENT ON COLUMN transmission.channel_id IS 'As in bearing.channel_id.';
COMMENT ON COLUMN transmission.transmission_id IS 'Its start to the nanosecond: ns since 1970-01-01 UTC. With channel_id the identity.';
COMMENT ON COLUMN transmission.revision IS 'Grows with each change of content or state.';
COMMENT ON COLUMN transmission.state IS 'provisional: bearings may be on their way; revised: late ones may still change it; final; withdrawn: it was shown, and is no more.';
COMMENT ON COLUMN transmission.start_at IS 'Start of the first bearing, UTC.';
COMMENT ON COLUMN transmission.end_at IS 'End of the last bearing, UTC.';
COMMENT ON COLUMN transmission.bearings IS 'How many bearings it has.';
COMMENT ON COLUMN transmission.stations IS 'station_id of those that heard it, rising.';
CREATE INDEX transmission_by_time ON transmission USING brin (start_at);

CREATE TABLE fix (
    channel_id         bigint NOT NULL,
    transmission_id    bigint NOT NULL,
    ordinal            integer NOT NULL,
    revision           bigint NOT NULL,
    state              text NOT NULL
        CHECK (state IN ('provisional', 'revised', 'final', 'withdrawn')),
    valid_at           timestamptz NOT NULL,
    frequency_hz       double precision NOT NULL,
    stations           integer NOT NULL,
    emitter_id         bigint,
    refusal            text NOT NULL,
    grade              text NOT NULL CHECK (grade IN ('checked', 'unchecked', 'odd')),
    position           geography(Point, 4326),
    covariance_ee_m2   double precision,
    covariance_en_m2   double precision,
    covariance_nn_m2   double precision,
    semi_major_m       double precision,
    semi_minor_m       double precision,
    orientation_deg    double precision,
    probability        double precision,
    region_kind        text,
    region             geography(Polygon, 4326),
    region_open        boolean NOT NULL,
    chi_square         double precision NOT NULL,
    degrees_of_freedom integer NOT NULL,
    p_value            double precision NOT NULL,
    crossing_deg       double precision NOT NULL,
    PRIMARY KEY (channel_id, transmission_id, ordinal),
    CONSTRAINT fix_refusal_is_a_known_word CHECK (refusal IN
        ('none', 'one_station', 'no_crossing', 'poor_geometry', 'ambiguous', 'inconsistent',
         'out_of_range', 'unbounded')),
    CONSTRAINT fix_region_kind_is_a_known_word
        CHECK (region_kind IN ('ellipse', 'posterior', 'likelihood')),
    CONSTRAINT fix_has_a_position_unless_refused
        CHECK ((refusal = 'none') = (position IS NOT NULL)),
    CONSTRAINT fix_position_has_its_uncertainty
        CHECK (position IS NULL OR num_nulls(covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
               semi_major_m, semi_minor_m, orientation_deg, probability, region_kind) = 0),
    CONSTRAINT fix_covariance_is_positive_definite
        CHECK (covariance_ee_m2 > 0 AND covariance_nn_m2 > 0
               AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2)
);
COMMENT ON TABLE fix IS 'Cross-fixes, made and refused, of transmissions. Evidence, never proof of who transmits.';
COMMENT ON COLUMN fix.channel_id IS 'As in bearing.channel_id.';
COMMENT ON COLUMN fix.transmission_id IS 'Row of transmission on the same channel.';
COMMENT ON COLUMN fix.ordinal IS 'Tells the emitters of one transmission apart, 0 and up.';
COMMENT ON COLUMN fix.revision IS 'Grows with each change; an older one never replaces a newer.';
COMMENT ON COLUMN fix.state IS 'As in transmission.state.';
COMMENT ON COLUMN fix.valid_at IS 'Middle of its bearings, UTC.';
COMMENT ON COLUMN fix.frequency_hz IS 'Mean of its bearings, Hz.';
COMMENT ON COLUMN fix.stations IS 'How many stations contributed a used bearing.';
COMMENT ON COLUMN fix.emitter_id IS 'Row of emitter on the same channel, once joined to one.';
COMMENT ON COLUMN fix.refusal IS 'Why there is no position: one_station, no_crossing, poor_geometry, ambiguous, inconsistent, out_of_range, unbounded; none: there is one.';
COMMENT ON COLUMN fix.grade IS 'checked: three or more stations agree; unchecked: two stations, nobody can check; odd: residuals disagree with the stated sigmas.';
COMMENT ON COLUMN fix.position IS 'Most likely place, WGS84 longitude and latitude, degrees; null when refused.';
COMMENT ON COLUMN fix.covariance_ee_m2 IS 'Variance of east, m^2.';
COMMENT ON COLUMN fix.covariance_en_m2 IS 'Covariance of east and north, m^2.';
COMMENT ON COLUMN fix.covariance_nn_m2 IS 'Variance of north, m^2.';
COMMENT ON COLUMN fix.semi_major_m IS 'Semi-major axis of the error ellipse, m.';
COMMENT ON COLUMN fix.semi_minor_m IS 'Semi-minor axis of the error ellipse, m.';
COMMENT ON COLUMN fix.orientation_deg IS 'Azimuth of the semi-major axis from true north, degrees, [0, 180).';
COMMENT ON COLUMN fix.probability IS 'That the ellipse, or region, holds the emitter, (0, 1).';
COMMENT ON COLUMN fix.region_kind IS 'ellipse: near-linear; posterior: mildly curved; likelihood: the contour in region, which the ellipse only covers.';
COMMENT ON COLUMN fix.region IS 'The likelihood region at probability, WGS84; null where the ellipse is the region.';
COMMENT ON COLUMN fix.region_open IS 'True: region was cut off at the range limit.';
COMMENT ON COLUMN fix.chi_square IS 'Of the used bearings'' residuals, no unit.';
COMMENT ON COLUMN fix.degrees_of_freedom IS 'Used stations - 2, >= 0.';
COMMENT ON COLUMN fix.p_value IS 'Chance of a chi_square at least as large, [0, 1]; 1 with no degree of freedom.';
COMMENT ON COLUMN fix.crossing_deg IS 'Largest angle between two used bearings, folded to [0, 90], degrees.';
CREATE INDEX fix_by_emitter_and_time ON fix (channel_id, emitter_id, valid_at DESC);
CREATE INDEX fix_by_time ON fix USING brin (valid_at);
CREATE INDEX fix_by_position ON fix USING gist (position);

CREATE TABLE fix_bearing (
    channel_id      bigint NOT NULL,
    transmission_id bigint NOT NULL,
    ordinal         integer NOT NULL,
    station_id      integer NOT NULL,
    stream_id       bigint NOT NULL,
    sequence        bigint NOT NULL,
    residual_deg    double precision NOT NULL,
    used            boolean NOT NULL,
    PRIMARY KEY (channel_id, transmission_id, ordinal, station_id, stream_id, sequence)
);
COMMENT ON TABLE fix_bearing IS 'Each bearing''s part in a fix; replaced together with the fix.';
COMMENT ON COLUMN fix_bearing.channel_id IS 'As in fix.';
COMMENT ON COLUMN fix_bearing.transmission_id IS 'As in fix.';
COMMENT ON COLUMN fix_bearing.ordinal IS 'As in fix.';
COMMENT ON COLUMN fix_bearing.station_id IS 'As in bearing.';
COMMENT ON COLUMN fix_bearing.stream_id IS 'As in bearing.';
COMMENT ON COLUMN fix_bearing.sequence IS 'As in bearing.';
COMMENT ON COLUMN fix_bearing.residual_deg IS 'Azimuth observed minus computed, degrees, [-180, 180).';
COMMENT ON COLUMN fix_bearing.used IS 'False: set aside, as gross error or another emitter''s.';

GRANT SELECT, INSERT, UPDATE, DELETE ON transmission, fix, fix_bearing TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (4);
COMMIT;
