-- 0009: what was heard, summed by the hour.
-- Why:  a year holds tens of millions of bearings; when an emitter was on, how busy a channel was
--       and what a station missed must not read them. The server writes the sums in the
--       transaction of the rows that they sum, so that each counts once: results are taken out
--       before they change and put in again after. No trigger does it.
-- Cost: four small tables, filled from what is there: about a minute for each 10 million bearings,
--       while the server is stopped.
-- Undo: DROP FUNCTION rebuild_hours, count_results, parts_of_hours; DROP TABLE station_hour,
--       channel_hour, emitter_hour, hearing_hour, hour_turn; after the views that name them.
BEGIN;
CREATE TABLE station_hour (
    station_id integer NOT NULL,
    hour       timestamptz NOT NULL,
    bearings   bigint NOT NULL,
    minutes    bigint NOT NULL,
    PRIMARY KEY (station_id, hour)
);
COMMENT ON TABLE station_hour IS 'Bearings of a station that start in an hour. Stays when a day of bearings is dropped.';
COMMENT ON COLUMN station_hour.station_id IS 'Row of station.';
COMMENT ON COLUMN station_hour.hour IS 'Begin of the hour, UTC.';
COMMENT ON COLUMN station_hour.bearings IS 'How many.';
COMMENT ON COLUMN station_hour.minutes IS 'Bit m (of value 2^m) is set when one starts in minute m, 0 to 59.';
CREATE INDEX station_hour_by_time ON station_hour (hour);

CREATE TABLE channel_hour (
    channel_id    bigint NOT NULL,
    hour          timestamptz NOT NULL,
    transmissions bigint NOT NULL,
    busy_us       bigint NOT NULL,
    PRIMARY KEY (channel_id, hour)
);
COMMENT ON TABLE channel_hour IS 'Transmissions of a channel, withdrawn ones left out; a row may be all zero.';
COMMENT ON COLUMN channel_hour.channel_id IS 'As in transmission.';
COMMENT ON COLUMN channel_hour.hour IS 'Begin of the hour, UTC.';
COMMENT ON COLUMN channel_hour.transmissions IS 'How many start in it.';
COMMENT ON COLUMN channel_hour.busy_us IS 'Their length and that of others inside the hour, us.';

CREATE TABLE emitter_hour (
    channel_id    bigint NOT NULL,
    emitter_id    bigint NOT NULL,
    hour          timestamptz NOT NULL,
    transmissions bigint NOT NULL,
    on_us         bigint NOT NULL,
    PRIMARY KEY (channel_id, emitter_id, hour)
);
COMMENT ON TABLE emitter_hour IS 'Transmissions that have a fix of the emitter, made or refused; a row may be all zero.';
COMMENT ON COLUMN emitter_hour.channel_id IS 'As in fix.';
COMMENT ON COLUMN emitter_hour.emitter_id IS 'As in fix.';
COMMENT ON COLUMN emitter_hour.hour IS 'Begin of the hour, UTC.';
COMMENT ON COLUMN emitter_hour.transmissions IS 'How many start in it.';
COMMENT ON COLUMN emitter_hour.on_us IS 'Length of transmissions inside the hour, us.';
CREATE INDEX emitter_hour_by_time ON emitter_hour (hour);

CREATE TABLE hearing_hour (
    channel_id    bigint NOT NULL,
    emitter_id    bigint NOT NULL,
    hour          timestamptz NOT NULL,
    station_id    integer NOT NULL,
    transmissions bigint NOT NULL,
    bearings      bigint NOT NULL,
    residual_udeg bigint NOT NULL,
    PRIMARY KEY (channel_id, emitter_id, hour, station_id)
);
COMMENT ON TABLE hearing_hour IS 'Transmissions of an emitter that a station heard with a bearing its fix used; a row may be zero.';
COMMENT ON COLUMN hearing_hour.channel_id IS 'As in fix.';
COMMENT ON COLUMN hearing_hour.emitter_id IS 'As in fix.';
COMMENT ON COLUMN hearing_hour.hour IS 'Begin of the hour, UTC.';
COMMENT ON COLUMN hearing_hour.station_id IS 'Row of station.';
COMMENT ON COLUMN hearing_hour.transmissions IS 'How many start in it.';
COMMENT ON COLUMN hearing_hour.bearings IS 'Those that its fixes used.';
COMMENT ON COLUMN hearing_hour.residual_udeg IS 'Sum of their residuals, each rounded to 1e-6 degrees: whole numbers add up exactly.';
CREATE INDEX hearing_hour_by_time ON hearing_hour (hour);

CREATE TABLE hour_turn (
    one boolean PRIMARY KEY CHECK (one)
);
COMMENT ON TABLE hour_turn IS 'One row. Who writes results holds its lock, so that nothing changes between taking out and putting in.';
COMMENT ON COLUMN hour_turn.one IS 'True.';
INSERT INTO hour_turn VALUES (true);

CREATE FUNCTION parts_of_hours(start_at timestamptz, end_at timestamptz)
RETURNS TABLE (hour timestamptz, us bigint, starts bigint)
LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT h, (extract(epoch FROM least(end_at, h + interval '1 hour') - greatest(start_at, h))
               * 1000000)::bigint,
           (start_at >= h)::integer::bigint
    FROM generate_series(date_bin('1 hour', start_at, '2000-01-01 00:00Z'), end_at,
                         interval '1 hour') AS h
$$;
COMMENT ON FUNCTION parts_of_hours(timestamptz, timestamptz) IS
    'The hours that an interval touches, its length in each, us, and 1 for the one in which it starts.';

CREATE FUNCTION count_results(channels bigint[], transmissions bigint[], sign integer) RETURNS void
LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO channel_hour AS old (channel_id, hour, transmissions, busy_us)
    SELECT t.channel_id, h.hour, sign * sum(h.starts), sign * sum(h.us)
    FROM unnest(channels, transmissions) AS given (channel_id, transmission_id)
    JOIN transmission AS t ON t.channel_id = given.channel_id
                          AND t.transmission_id = given.transmission_id
    CROSS JOIN LATERAL parts_of_hours(t.start_at, t.end_at) AS h
    WHERE t.state <> 'withdrawn'
    GROUP BY 1, 2 ORDER BY 1, 2
    ON CONFLICT (channel_id, hour) DO UPDATE
    SET transmissions = old.transmissions + excluded.transmissions,
        busy_us = old.busy_us + excluded.busy_us;

    INSERT INTO emitter_hour AS old (channel_id, emitter_id, hour, transmissions, on_us)
    SELECT f.channel_id, f.emitter_id, h.hour, sign * sum(h.starts), sign * sum(h.us)
    FROM (SELECT DISTINCT fix.channel_id, fix.transmission_id, fix.emitter_id
          FROM unnest(channels, transmissions) AS given (channel_id, transmission_id)
          JOIN fix ON fix.channel_id = given.channel_id
                  AND fix.transmission_id = given.transmission_id
          WHERE fix.state <> 'withdrawn' AND fix.emitter_id IS NOT NULL) AS f
    JOIN transmission AS t ON t.channel_id = f.channel_id AND t.transmission_id = f.transmission_id
    CROSS JOIN LATERAL parts_of_hours(t.start_at, t.end_at) AS h
    WHERE t.state <> 'withdrawn'
    GROUP BY 1, 2, 3 ORDER BY 1, 2, 3
    ON CONFLICT (channel_id, emitter_id, hour) DO UPDATE
    SET transmissions = old.transmissions + excluded.transmissions,
        on_us = old.on_us + excluded.on_us;

    INSERT INTO hearing_hour AS old (channel_id, emitter_id, hour, station_id, transmissions,
                                     bearings, residual_udeg)
    SELECT p.channel_id, p.emitter_id, date_bin('1 hour', t.start_at, '2000-01-01 00:00Z'),
           p.station_id, sign * count(*), sign * sum(p.bearings), sign * sum(p.residual_udeg)
    FROM (SELECT fix.channel_id, fix.transmission_id, fix.emitter_id, b.station_id,
                 count(*) AS bearings, sum(round(b.residual_deg * 1e6)::bigint) AS residual_udeg
          FROM unnest(channels, transmissions) AS given (channel_id, transmission_id)
          JOIN fix ON fix.channel_id = given.channel_id
                  AND fix.transmission_id = given.transmission_id
          JOIN fix_bearing AS b ON b.channel_id = fix.channel_id
                               AND b.transmission_id = fix.transmission_id
                               AND b.ordinal = fix.ordinal
          WHERE fix.state <> 'withdrawn' AND fix.emitter_id IS NOT NULL AND b.used
          GROUP BY 1, 2, 3, 4) AS p
    JOIN transmission AS t ON t.channel_id = p.channel_id AND t.transmission_id = p.transmission_id
    WHERE t.state <> 'withdrawn'
    GROUP BY 1, 2, 3, 4 ORDER BY 1, 2, 3, 4
    ON CONFLICT (channel_id, emitter_id, hour, station_id) DO UPDATE
    SET transmissions = old.transmissions + excluded.transmissions,
        bearings = old.bearings + excluded.bearings,
        residual_udeg = old.residual_udeg + excluded.residual_udeg;
END $$;
COMMENT ON FUNCTION count_results(bigint[], bigint[], integer) IS
    'Adds (1) or takes out (-1) the sums of these transmissions, each named once, as their rows now stand. The caller holds hour_turn.';

CREATE FUNCTION rebuild_hours() RETURNS void
LANGUAGE plpgsql AS $$
DECLARE
    day timestamptz;
BEGIN
    DELETE FROM station_hour WHERE hour >= (SELECT min(start_at) FROM bearing) - interval '1 hour';
    DELETE FROM channel_hour;
    DELETE FROM emitter_hour;
    DELETE FROM hearing_hour;
    INSERT INTO station_hour (station_id, hour, bearings, minutes)
    SELECT station_id, date_bin('1 hour', start_at, '2000-01-01 00:00Z'), count(*),
           bit_or(1::bigint << extract(minute FROM start_at AT TIME ZONE 'UTC')::integer)
    FROM bearing GROUP BY 1, 2
    ON CONFLICT (station_id, hour) DO UPDATE
    SET bearings = excluded.bearings, minutes = excluded.minutes;
    FOR day IN SELECT generate_series(date_bin('1 day', min(start_at), '2000-01-01 00:00Z'),
                                      max(start_at), interval '1 day') FROM transmission LOOP
        PERFORM count_results(array_agg(channel_id), array_agg(transmission_id), 1)
        FROM transmission WHERE start_at >= day AND start_at < day + interval '1 day';
    END LOOP;
END $$;
COMMENT ON FUNCTION rebuild_hours() IS
    'Counts everything anew, while nobody writes. Hours of stations whose bearings were all dropped stay.';
REVOKE ALL ON FUNCTION count_results(bigint[], bigint[], integer), rebuild_hours() FROM PUBLIC;

SELECT rebuild_hours();

GRANT SELECT, INSERT, UPDATE ON station_hour, channel_hour, emitter_hour, hearing_hour, hour_turn
    TO fixwright_writer;
GRANT EXECUTE ON FUNCTION count_results(bigint[], bigint[], integer) TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (9);
COMMIT;
