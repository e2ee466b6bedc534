-- Occupancy of a channel, hour by hour: busy time as a share of the hour, which is what Rec. ITU-R
-- SM.1880 calls frequency channel occupancy. Empty in an hour in which no station delivered
-- anything at all: nobody can say then.
-- :channel bigint; channel_id
-- :hours integer [1, 9000] = 24; how far back
-- :until timestamptz = now; end of the stretch
SELECT h.hour, CASE WHEN s.stations > 0 THEN round((coalesce(c.busy_s, 0) / 36)::numeric, 2) END
           AS occupancy_percent,
       coalesce(c.transmissions, 0) AS transmissions, coalesce(s.stations, 0) AS stations
FROM generate_series(date_bin('1 hour', :'until'::timestamptz, '2000-01-01 00:00Z')
                         - make_interval(hours => :'hours'::integer),
                     :'until'::timestamptz - interval '1 hour', interval '1 hour') AS h (hour)
LEFT JOIN channel_by_hour AS c ON c.channel_id = :'channel'::bigint AND c.hour = h.hour
LEFT JOIN (SELECT hour, count(*) AS stations FROM station_by_hour
           WHERE hour > :'until'::timestamptz - make_interval(hours => :'hours'::integer + 1)
             AND hour <= :'until'::timestamptz
           GROUP BY hour) AS s ON s.hour = h.hour
ORDER BY h.hour
