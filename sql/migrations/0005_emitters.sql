-- 0005: emitters, what happened to them, and the tracks of those that move.
-- Why:  people ask for transmitters, not for fixes; each change carries its evidence, so that
--       a person can doubt it.
-- Cost: new, empty tables.
-- Undo: DROP TABLE emitter_name, track_point, emitter_event, emitter; a replay recomputes all
--       but emitter_name, which people wrote: save it first.
BEGIN;
CREATE TABLE emitter (
    channel_id          bigint NOT NULL,
    emitter_id          bigint NOT NULL,
    revision            bigint NOT NULL,
    state               text NOT NULL
        CHECK (state IN ('tentative', 'confirmed', 'silent', 'retired')),
    motion              text NOT NULL CHECK (motion IN ('still', 'moving')),
    valid_at            timestamptz NOT NULL,
    frequency_hz        double precision NOT NULL,
    first_heard         timestamptz NOT NULL,
    last_heard          timestamptz NOT NULL,
    bearings            bigint NOT NULL,
    looks               bigint NOT NULL,
    stations            integer[] NOT NULL,
    speed_m_per_s       double precision,
    course_deg          double precision,
    speed_sigma_m_per_s double precision,
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
    PRIMARY KEY (channel_id, emitter_id),
    CONSTRAINT emitter_refusal_is_a_known_word CHECK (refusal IN
        ('none', 'one_station', 'no_crossing', 'poor_geometry', 'ambiguous', 'inconsistent',
         'out_of_range', 'unbounded')),
    CONSTRAINT emitter_region_kind_is_a_known_word
        CHECK (region_kind IN ('ellipse', 'posterior', 'likelihood')),
    CONSTRAINT emitter_has_a_position_unless_refused
        CHECK ((refusal = 'none') = (position IS NOT NULL)),
    CONSTRAINT emitter_position_has_its_uncertainty
        CHECK (position IS NULL OR num_nulls(covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
               semi_major_m, semi_minor_m, orientation_deg, probability, region_kind) = 0),
    CONSTRAINT emitter_covariance_is_positive_definite
        CHECK (covariance_ee_m2 > 0 AND covariance_nn_m2 > 0
               AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2)
);
COMMENT ON TABLE emitter IS 'Transmitters that were located: what all their fixes have in common.';
COMMENT ON COLUMN emitter.channel_id IS 'As in bearing.channel_id.';
COMMENT ON COLUMN emitter.emitter_id IS 'With channel_id the identity, never reused: from the start of the transmission that gave birth to it.';
COMMENT ON COLUMN emitter.revision IS 'Grows with each change; an older one never replaces a newer.';
COMMENT ON COLUMN emitter.state IS 'tentative: seen too little to be believed; confirmed; silent: confirmed, not heard for a while; retired: not heard for long, merged or withdrawn.';
COMMENT ON COLUMN emitter.motion IS 'still or moving.';
COMMENT ON COLUMN emitter.valid_at IS 'Time of the position, UTC.';
COMMENT ON COLUMN emitter.frequency_hz IS 'Mean of its bearings, Hz.';
COMMENT ON COLUMN emitter.first_heard IS 'First bearing, UTC.';
COMMENT ON COLUMN emitter.last_heard IS 'Latest bearing, UTC.';
COMMENT ON COLUMN emitter.bearings IS 'How many bearings belong to it.';
COMMENT ON COLUMN emitter.looks IS 'Transmissions in which three stations or more heard it.';
COMMENT ON COLUMN emitter.stations IS 'station_id of those that heard it, rising.';
COMMENT ON COLUMN emitter.speed_m_per_s IS 'Speed over ground, m/s; null unless moving.';
COMMENT ON COLUMN emitter.course_deg IS 'Direction of motion from true north, degrees, [0, 360).';
COMMENT ON COLUMN emitter.speed_sigma_m_per_s IS 'One standard deviation of speed_m_per_s, m/s.';
COMMENT ON COLUMN emitter.refusal IS 'Why there is no position: one_station, no_crossing, poor_geometry, ambiguous, inconsistent, out_of_range, unbounded; none: there is one.';
COMMENT ON COLUMN emitter.grade IS 'checked: three or more stations agree; unchecked: two stations, nobody can check; odd: residuals disagree with the stated sigmas.';
COMMENT ON COLUMN emitter.position IS 'Most likely place, WGS84 longitude and latitude, degrees; null when refused.';
COMMENT ON COLUMN emitter.covariance_ee_m2 IS 'Variance of east, m^2.';
COMMENT ON COLUMN emitter.covariance_en_m2 IS 'Covariance of east and north, m^2.';
COMMENT ON COLUMN emitter.covariance_nn_m2 IS 'Variance of north, m^2.';
COMMENT ON COLUMN emitter.semi_major_m IS 'Semi-major axis of the error ellipse, m.';
COMMENT ON COLUMN emitter.semi_minor_m IS 'Semi-minor axis of the error ellipse, m.';
COMMENT ON COLUMN emitter.orientation_deg IS 'Azimuth of the semi-major axis from true north, degrees, [0, 180).';
COMMENT ON COLUMN emitter.probability IS 'That the ellipse, or region, holds the emitter, (0, 1).';
COMMENT ON COLUMN emitter.region_kind IS 'ellipse: near-linear; posterior: mildly curved; likelihood: the contour in region, which the ellipse only covers.';
COMMENT ON COLUMN emitter.region IS 'The likelihood region at probability, WGS84; null where the ellipse is the region.';
COMMENT ON COLUMN emitter.region_open IS 'True: region was cut off at the range limit.';
COMMENT ON COLUMN emitter.chi_square IS 'Of the used bearings'' residuals, no unit.';
COMMENT ON COLUMN emitter.degrees_of_freedom IS 'Used stations - 2, >= 0.';
COMMENT ON COLUMN emitter.p_value IS 'Chance of a chi_square at least as large, [0, 1]; 1 with no degree of freedom.';
COMMENT ON COLUMN emitter.crossing_deg IS 'Largest angle between two used bearings, folded to [0, 90], degrees.';
CREATE INDEX emitter_by_last_heard ON emitter (last_heard DESC);
CREATE INDEX emitter_by_position ON emitter USING gist (position);

CREATE TABLE emitter_event (
    channel_id bigint NOT NULL,
    emitter_id bigint NOT NULL,
    at         timestamptz NOT NULL,
    kind       text NOT NULL CHECK (kind IN ('new', 'confirmed', 'moved', 'split', 'merged',
                                             'silent', 'returned', 'retired')),
    evidence   text NOT NULL,
    PRIMARY KEY (channel_id, emitter_id, at, kind)
);
COMMENT ON TABLE emitter_event IS 'What happened to emitters, and why we think so.';
COMMENT ON COLUMN emitter_event.channel_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_event.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_event.at IS 'Event time, UTC.';
COMMENT ON COLUMN emitter_event.kind IS 'new, confirmed, moved, split, merged, silent, returned, retired.';
COMMENT ON COLUMN emitter_event.evidence IS 'One line for a person.';
CREATE INDEX emitter_event_by_time ON emitter_event USING brin (at);

CREATE TABLE track_point (
    channel_id          bigint NOT NULL,
    emitter_id          bigint NOT NULL,
    at                  timestamptz NOT NULL,
    position            geography(Point, 4326) NOT NULL,
    covariance_ee_m2    double precision NOT NULL,
    covariance_en_m2    double precision NOT NULL,
    covariance_nn_m2    double precision NOT NULL,
    speed_m_per_s       double precision NOT NULL,
    course_deg          double precision NOT NULL,
    speed_sigma_m_per_s double precision NOT NULL,
    PRIMARY KEY (channel_id, emitter_id, at),
    CONSTRAINT track_point_covariance_is_positive_definite
        CHECK (covariance_ee_m2 > 0 AND covariance_nn_m2 > 0
               AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2)
);
COMMENT ON TABLE track_point IS 'Where moving emitters were.';
COMMENT ON COLUMN track_point.channel_id IS 'As in emitter.';
COMMENT ON COLUMN track_point.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN track_point.at IS 'Event time, UTC.';
COMMENT ON COLUMN track_point.position IS 'WGS84 longitude and latitude, degrees.';
COMMENT ON COLUMN track_point.covariance_ee_m2 IS 'Variance of east, m^2.';
COMMENT ON COLUMN track_point.covariance_en_m2 IS 'Covariance of east and north, m^2.';
COMMENT ON COLUMN track_point.covariance_nn_m2 IS 'Variance of north, m^2.';
COMMENT ON COLUMN track_point.speed_m_per_s IS 'Speed over ground, m/s.';
COMMENT ON COLUMN track_point.course_deg IS 'Direction of motion from true north, degrees, [0, 360).';
COMMENT ON COLUMN track_point.speed_sigma_m_per_s IS 'One standard deviation of speed_m_per_s, m/s.';
CREATE INDEX track_point_by_position ON track_point USING gist (position);

CREATE TABLE emitter_name (
    channel_id bigint NOT NULL,
    emitter_id bigint NOT NULL,
    name       text NOT NULL CHECK (name <> ''),
    PRIMARY KEY (channel_id, emitter_id)
);
COMMENT ON TABLE emitter_name IS 'Names people gave to emitters; no computation writes here.';
COMMENT ON COLUMN emitter_name.channel_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_name.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN emitter_name.name IS 'As people call it.';

GRANT SELECT, INSERT, UPDATE, DELETE ON emitter, emitter_event, track_point, emitter_name
    TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (5);
COMMIT;
