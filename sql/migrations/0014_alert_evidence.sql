-- 0014: what an alert rests on, when what it tells has ended, and what people set for alerts.
-- Why:  an alert without its evidence can't be judged by the one who is woken by it; rules,
--       watched areas and mutes change without a restart, and say who changed them.
-- Cost: columns with constant defaults and three small, empty tables; old alerts that told of their
--       end are marked as ended.
-- Undo: ALTER TABLE alert DROP COLUMN stations, DROP COLUMN position, DROP COLUMN semi_major_m,
--       DROP COLUMN semi_minor_m, DROP COLUMN orientation_deg, DROP COLUMN probability,
--       DROP COLUMN posterior, DROP COLUMN would_change, DROP COLUMN ended_at, DROP COLUMN muted;
--       DROP TABLE alert_rule, watched_area, alert_mute.
BEGIN;
ALTER TABLE alert
    ADD COLUMN stations        integer[] NOT NULL DEFAULT '{}',
    ADD COLUMN position        geography(Point, 4326),
    ADD COLUMN semi_major_m    double precision,
    ADD COLUMN semi_minor_m    double precision,
    ADD COLUMN orientation_deg double precision,
    ADD COLUMN probability     double precision,
    ADD COLUMN posterior       double precision CHECK (posterior BETWEEN 0 AND 1),
    ADD COLUMN would_change    text NOT NULL DEFAULT '',
    ADD COLUMN ended_at        timestamptz,
    ADD COLUMN muted           boolean NOT NULL DEFAULT false;
UPDATE alert SET ended_at = raised_at WHERE rule = 'emitter_moved' OR message LIKE '%; now: %';
COMMENT ON COLUMN alert.stations IS 'Ids of the stations that heard the emitter, or that it is about.';
COMMENT ON COLUMN alert.position IS 'Of the emitter when it was raised, WGS84 longitude and latitude, degrees; null: it is about no emitter.';
COMMENT ON COLUMN alert.semi_major_m IS 'Of the ellipse about position, m.';
COMMENT ON COLUMN alert.semi_minor_m IS 'Of the ellipse about position, m.';
COMMENT ON COLUMN alert.orientation_deg IS 'Azimuth of the semi-major axis, degrees, [0, 180).';
COMMENT ON COLUMN alert.probability IS 'That the ellipse holds the emitter.';
COMMENT ON COLUMN alert.posterior IS 'Probability of the register''s verdict, [0, 1]; null: it rests on none.';
COMMENT ON COLUMN alert.would_change IS 'What would change it.';
COMMENT ON COLUMN alert.ended_at IS 'When what it tells ended, UTC; null: it goes on.';
COMMENT ON COLUMN alert.muted IS 'Somebody asked not to be told of such.';
CREATE INDEX alert_that_goes_on ON alert (raised_at) WHERE ended_at IS NULL;

CREATE TABLE alert_rule (
    rule        text PRIMARY KEY CHECK (rule ~ '^[a-z_]{1,40}$'),
    enabled     boolean NOT NULL,
    severity    text NOT NULL CHECK (severity IN ('notice', 'warning', 'urgent')),
    hold_down_s double precision NOT NULL CHECK (hold_down_s BETWEEN 0 AND 86400),
    set_by      text NOT NULL CHECK (set_by <> '' AND length(set_by) <= 100),
    set_at      timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE alert_rule IS 'Rules of alerts that people set over the configured ones.';
COMMENT ON COLUMN alert_rule.rule IS 'As in alert.';
COMMENT ON COLUMN alert_rule.enabled IS 'false: nothing is raised.';
COMMENT ON COLUMN alert_rule.severity IS 'notice, warning or urgent.';
COMMENT ON COLUMN alert_rule.hold_down_s IS 'An event that recurs within it is the same event, s.';
COMMENT ON COLUMN alert_rule.set_by IS 'Who, as they said.';
COMMENT ON COLUMN alert_rule.set_at IS 'When, UTC.';

CREATE TABLE watched_area (
    name        text PRIMARY KEY CHECK (name <> '' AND length(name) <= 40 AND position('/' IN name) = 0),
    centre      geography(Point, 4326) NOT NULL,
    radius_m    double precision NOT NULL CHECK (radius_m BETWEEN 1 AND 1000000),
    days        smallint NOT NULL CHECK (days BETWEEN 1 AND 127),
    from_minute smallint NOT NULL CHECK (from_minute BETWEEN 0 AND 1439),
    to_minute   smallint NOT NULL CHECK (to_minute BETWEEN 0 AND 1439),
    low_hz      double precision NOT NULL CHECK (low_hz >= 0),
    high_hz     double precision NOT NULL CHECK (high_hz > low_hz),
    set_by      text NOT NULL CHECK (set_by <> '' AND length(set_by) <= 100),
    set_at      timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE watched_area IS 'Where and when any emitter that is heard is worth an alert.';
COMMENT ON COLUMN watched_area.name IS 'As people call it.';
COMMENT ON COLUMN watched_area.centre IS 'WGS84 longitude and latitude, degrees.';
COMMENT ON COLUMN watched_area.radius_m IS 'About it, m.';
COMMENT ON COLUMN watched_area.days IS 'Days on which the hours begin: 1 Monday, 2 Tuesday, 4 Wednesday, ... 64 Sunday, added up.';
COMMENT ON COLUMN watched_area.from_minute IS 'Of the day, UTC.';
COMMENT ON COLUMN watched_area.to_minute IS 'Of the day, UTC; not after from_minute: of the next day.';
COMMENT ON COLUMN watched_area.low_hz IS 'Emitters from this frequency on, Hz.';
COMMENT ON COLUMN watched_area.high_hz IS 'And below this one, Hz.';
COMMENT ON COLUMN watched_area.set_by IS 'Who, as they said.';
COMMENT ON COLUMN watched_area.set_at IS 'When, UTC.';

CREATE TABLE alert_mute (
    mute_id    bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    rule       text CHECK (rule ~ '^[a-z_]{1,40}$'),
    channel_id bigint,
    emitter_id bigint,
    station_id integer,
    until_at   timestamptz NOT NULL,
    muted_by   text NOT NULL CHECK (muted_by <> '' AND length(muted_by) <= 100),
    muted_at   timestamptz NOT NULL DEFAULT now(),
    note       text NOT NULL DEFAULT '' CHECK (length(note) <= 2000),
    ended_by   text CHECK (ended_by <> '' AND length(ended_by) <= 100),
    ended_at   timestamptz,
    CONSTRAINT alert_mute_covers_something
        CHECK (rule IS NOT NULL OR emitter_id IS NOT NULL OR station_id IS NOT NULL),
    CONSTRAINT alert_mute_names_a_whole_emitter CHECK ((channel_id IS NULL) = (emitter_id IS NULL)),
    CONSTRAINT alert_mute_is_ended_by_somebody CHECK ((ended_by IS NULL) = (ended_at IS NULL))
);
COMMENT ON TABLE alert_mute IS 'Alerts that nobody is told of for a while; they are raised and kept all the same.';
COMMENT ON COLUMN alert_mute.mute_id IS 'Rises in their order.';
COMMENT ON COLUMN alert_mute.rule IS 'As in alert; null: any.';
COMMENT ON COLUMN alert_mute.channel_id IS 'Of the emitter; null: any.';
COMMENT ON COLUMN alert_mute.emitter_id IS 'As in emitter; null: any.';
COMMENT ON COLUMN alert_mute.station_id IS 'As in station; null: any.';
COMMENT ON COLUMN alert_mute.until_at IS 'Alerts raised before this, UTC.';
COMMENT ON COLUMN alert_mute.muted_by IS 'Who, as they said.';
COMMENT ON COLUMN alert_mute.muted_at IS 'When, UTC.';
COMMENT ON COLUMN alert_mute.note IS 'Why.';
COMMENT ON COLUMN alert_mute.ended_by IS 'Who ended it before its time.';
COMMENT ON COLUMN alert_mute.ended_at IS 'When, UTC; null: it runs until until_at.';

GRANT SELECT, INSERT, UPDATE, DELETE ON alert_rule, watched_area TO fixwright_writer;
GRANT SELECT, INSERT, UPDATE ON alert_mute TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (14);
COMMIT;
