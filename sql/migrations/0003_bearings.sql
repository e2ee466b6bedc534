-- 0003: bearings by day, and how far each stream of bearings is durable.
-- Why:  everything else can be computed again from bearings. Exactly once comes from
--       stream_mark, locked and moved in the transaction that adds the rows: no unique
--       index is needed, which would cost a third of the rate and reach across channels.
-- Cost: empty tables. A row takes about 165 bytes with its index; a day is dropped whole.
-- Undo: DROP TABLE bearing, stream_mark; DROP FUNCTION make_bearing_day, bearing_days.
--       Bearings are then lost: nothing recomputes them.
BEGIN;
CREATE TABLE bearing (
    channel_id                bigint NOT NULL,
    start_at                  timestamptz NOT NULL,
    stream_id                 bigint NOT NULL,
    sequence                  bigint NOT NULL,
    integration_ns            bigint NOT NULL,
    clock_error_ns            bigint NOT NULL,
    frequency_hz              double precision NOT NULL,
    azimuth_deg               double precision NOT NULL,
    sigma_deg                 double precision NOT NULL,
    station_id                integer NOT NULL,
    flags                     integer NOT NULL,
    start_ns                  smallint NOT NULL,
    station_moves             boolean NOT NULL,
    station_latitude_deg      double precision,
    station_longitude_deg     double precision,
    field_strength_dbuv_per_m double precision,
    level_dbfs                double precision,
    snr_db                    double precision,
    bandwidth_hz              double precision,
    label                     text,
    alternative_azimuth_deg   double precision[],
    alternative_weight        double precision[]
) PARTITION BY RANGE (start_at);
COMMENT ON TABLE bearing IS 'Admitted bearings, as sent. One partition a UTC day. Identity is (station_id, stream_id, sequence), kept by stream_mark; no foreign key: the server checks.';
COMMENT ON COLUMN bearing.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN bearing.start_at IS 'Start of the integration interval by the station''s clock, UTC, cut to the microsecond.';
COMMENT ON COLUMN bearing.stream_id IS 'One life of an agent''s spool: 64 random bits, shown as a signed number.';
COMMENT ON COLUMN bearing.sequence IS 'Within the stream, 1 and up.';
COMMENT ON COLUMN bearing.integration_ns IS 'Length of the integration interval, ns.';
COMMENT ON COLUMN bearing.clock_error_ns IS 'Bound of the station''s clock error, ns, >= 0.';
COMMENT ON COLUMN bearing.frequency_hz IS 'Measured or tuned frequency, Hz.';
COMMENT ON COLUMN bearing.azimuth_deg IS 'Azimuth of arrival from true north, degrees, [0, 360); the station''s bias is not yet subtracted.';
COMMENT ON COLUMN bearing.sigma_deg IS 'One standard deviation of azimuth_deg, degrees, (0, 90].';
COMMENT ON COLUMN bearing.station_id IS 'Row of station.';
COMMENT ON COLUMN bearing.flags IS 'Bits: 1 overload, 2 uncalibrated, 4 clock unsynchronised, 8 simulated.';
COMMENT ON COLUMN bearing.start_ns IS 'What start_at lacks to the true start, ns, 0 to 999.';
COMMENT ON COLUMN bearing.station_moves IS 'True when the station''s place is in this row.';
COMMENT ON COLUMN bearing.station_latitude_deg IS 'Where a moving station stood, WGS84, degrees; null: at its registered place.';
COMMENT ON COLUMN bearing.station_longitude_deg IS 'Where a moving station stood, WGS84, degrees; null: at its registered place.';
COMMENT ON COLUMN bearing.field_strength_dbuv_per_m IS 'Field strength at the antenna, dB above 1 uV/m; null: uncalibrated.';
COMMENT ON COLUMN bearing.level_dbfs IS 'Level, dB below the receiver''s full scale.';
COMMENT ON COLUMN bearing.snr_db IS 'Signal to noise ratio, dB.';
COMMENT ON COLUMN bearing.bandwidth_hz IS 'Measured bandwidth of the signal, Hz.';
COMMENT ON COLUMN bearing.label IS 'What was decoded from the signal, as sent.';
COMMENT ON COLUMN bearing.alternative_azimuth_deg IS 'Other azimuths the measurement admits, degrees, [0, 360).';
COMMENT ON COLUMN bearing.alternative_weight IS 'Likelihood of each relative to azimuth_deg, (0, 1].';
CREATE INDEX bearing_by_channel_and_time ON bearing (channel_id, start_at);
CREATE INDEX bearing_by_time ON bearing USING brin (start_at);

CREATE TABLE stream_mark (
    station_id    integer NOT NULL,
    stream_id     bigint NOT NULL,
    sequence      bigint NOT NULL,
    bearings      bigint NOT NULL,
    last_start_at timestamptz,
    moved_at      timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (station_id, stream_id)
);
COMMENT ON TABLE stream_mark IS 'How far each stream of bearings is durable. Only the server''s append moves it.';
COMMENT ON COLUMN stream_mark.station_id IS 'Row of station.';
COMMENT ON COLUMN stream_mark.stream_id IS 'As in bearing.stream_id.';
COMMENT ON COLUMN stream_mark.sequence IS 'Highest sequence that is durable; 0 before the first.';
COMMENT ON COLUMN stream_mark.bearings IS 'Bearings stored of this stream, ever.';
COMMENT ON COLUMN stream_mark.last_start_at IS 'start_at of the bearing with that sequence, UTC.';
COMMENT ON COLUMN stream_mark.moved_at IS 'When the mark last moved, database clock, UTC.';

-- The writer may not change tables; this one change it may ask for. The lock makes a second
-- caller wait for the first instead of failing; readers and appends are not blocked.
CREATE FUNCTION make_bearing_day(day date) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp AS $$
DECLARE
    part text := 'bearing_' || to_char(day, 'YYYYMMDD');
BEGIN
    IF to_regclass('public.' || part) IS NOT NULL THEN
        RETURN false;
    END IF;
    LOCK TABLE public.bearing IN SHARE UPDATE EXCLUSIVE MODE;
    IF to_regclass('public.' || part) IS NOT NULL THEN
        RETURN false;
    END IF;
    EXECUTE format('CREATE TABLE public.%I (LIKE public.bearing INCLUDING COMMENTS)', part);
    EXECUTE format('COMMENT ON TABLE public.%I IS %L', part, 'Bearings that start on ' || day || ' UTC.');
    EXECUTE format('ALTER TABLE public.bearing ATTACH PARTITION public.%I FOR VALUES FROM (%L) TO (%L)',
                   part, day::timestamp AT TIME ZONE 'UTC', (day + 1)::timestamp AT TIME ZONE 'UTC');
    RETURN true;
END $$;
COMMENT ON FUNCTION make_bearing_day(date) IS 'Makes the partition of a UTC day; false: it was there.';
REVOKE ALL ON FUNCTION make_bearing_day(date) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION make_bearing_day(date) TO fixwright_writer;

CREATE FUNCTION bearing_days() RETURNS SETOF date
LANGUAGE sql STABLE SET search_path = pg_catalog, public, pg_temp AS $$
    SELECT to_date(right(part.relname, 8), 'YYYYMMDD')
    FROM pg_inherits JOIN pg_class AS part ON part.oid = inhrelid
    WHERE inhparent = 'public.bearing'::regclass
    ORDER BY 1
$$;
COMMENT ON FUNCTION bearing_days() IS 'The UTC days that have a partition, rising.';

GRANT SELECT, INSERT ON bearing TO fixwright_writer;
GRANT SELECT, INSERT, UPDATE ON stream_mark TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (3);
COMMIT;
