-- Sums by the hour equal a recount of the rows; of stations where the hour's bearings are kept.
SELECT 'station_hour' AS table, r.station_id AS id, NULL::bigint AS emitter_id, r.hour
FROM (SELECT station_id, date_bin('1 hour', start_at, '2000-01-01 00:00Z') AS hour,
             count(*) AS bearings,
             bit_or(1::bigint << extract(minute FROM start_at AT TIME ZONE 'UTC')::integer) AS minutes
      FROM bearing GROUP BY 1, 2) AS r
LEFT JOIN station_hour AS h ON h.station_id = r.station_id AND h.hour = r.hour
WHERE (h.bearings, h.minutes) IS DISTINCT FROM (r.bearings, r.minutes)
UNION ALL
SELECT 'channel_hour', channel_id, NULL, hour
FROM (SELECT channel_id, hour, transmissions, busy_us FROM channel_hour
      UNION ALL
      SELECT t.channel_id, p.hour, -p.starts, -p.us
      FROM transmission AS t CROSS JOIN LATERAL parts_of_hours(t.start_at, t.end_at) AS p
      WHERE t.state <> 'withdrawn') AS both_counts
GROUP BY channel_id, hour HAVING sum(transmissions) <> 0 OR sum(busy_us) <> 0
UNION ALL
SELECT 'emitter_hour', channel_id, emitter_id, hour
FROM (SELECT channel_id, emitter_id, hour, transmissions, on_us FROM emitter_hour
      UNION ALL
      SELECT f.channel_id, f.emitter_id, p.hour, -p.starts, -p.us
      FROM (SELECT DISTINCT channel_id, transmission_id, emitter_id FROM fix
            WHERE state <> 'withdrawn' AND emitter_id IS NOT NULL) AS f
      JOIN transmission AS t ON t.channel_id = f.channel_id
                            AND t.transmission_id = f.transmission_id
      CROSS JOIN LATERAL parts_of_hours(t.start_at, t.end_at) AS p
      WHERE t.state <> 'withdrawn') AS both_counts
GROUP BY channel_id, emitter_id, hour HAVING sum(transmissions) <> 0 OR sum(on_us) <> 0
UNION ALL
SELECT 'hearing_hour', channel_id, emitter_id, hour
FROM (SELECT channel_id, emitter_id, hour, station_id, transmissions, bearings, residual_udeg
      FROM hearing_hour
      UNION ALL
      SELECT channel_id, emitter_id, hour, station_id, -1, -bearings, -residual_udeg
      FROM (SELECT b.channel_id, b.transmission_id, b.station_id, f.emitter_id,
                   date_bin('1 hour', t.start_at, '2000-01-01 00:00Z') AS hour,
                   count(*) AS bearings, sum(round(b.residual_deg * 1e6)::bigint) AS residual_udeg
            FROM fix_bearing AS b
            JOIN fix AS f ON f.channel_id = b.channel_id AND f.transmission_id = b.transmission_id
                         AND f.ordinal = b.ordinal
            JOIN transmission AS t ON t.channel_id = b.channel_id
                                  AND t.transmission_id = b.transmission_id
            WHERE b.used AND f.state <> 'withdrawn' AND t.state <> 'withdrawn'
              AND f.emitter_id IS NOT NULL
            GROUP BY 1, 2, 3, 4, 5) AS heard) AS both_counts
GROUP BY channel_id, emitter_id, hour, station_id
HAVING sum(transmissions) <> 0 OR sum(bearings) <> 0 OR sum(residual_udeg) <> 0;
