-- Bearings outside the ranges of their columns: the server lets none in.
SELECT station_id, stream_id, sequence, start_at, azimuth_deg, sigma_deg
FROM bearing
WHERE NOT (azimuth_deg >= 0 AND azimuth_deg < 360) OR NOT (sigma_deg > 0 AND sigma_deg <= 90)
   OR integration_ns < 0 OR clock_error_ns < 0 OR start_ns NOT BETWEEN 0 AND 999
   OR NOT (frequency_hz > 0 AND frequency_hz < 'infinity')
   OR station_moves <> (station_latitude_deg IS NOT NULL AND station_longitude_deg IS NOT NULL)
   OR NOT (coalesce(station_sigma_m, 0) BETWEEN 0 AND 100000)
   OR (station_sigma_m IS NOT NULL AND NOT station_moves)
   OR coalesce(cardinality(alternative_azimuth_deg), 0) <> coalesce(cardinality(alternative_weight), 0);
