-- 0 < semi-minor <= semi-major, orientation in [0, 180), probability in (0, 1).
SELECT 'fix' AS what, channel_id, transmission_id AS id, semi_major_m, semi_minor_m, orientation_deg, probability
FROM fix WHERE position IS NOT NULL
  AND (semi_minor_m > 0 AND semi_minor_m <= semi_major_m AND semi_major_m < 'infinity' AND orientation_deg >= 0
       AND orientation_deg < 180 AND probability > 0 AND probability < 1) IS NOT TRUE
UNION ALL
SELECT 'emitter', channel_id, emitter_id, semi_major_m, semi_minor_m, orientation_deg, probability
FROM emitter WHERE position IS NOT NULL
  AND (semi_minor_m > 0 AND semi_minor_m <= semi_major_m AND semi_major_m < 'infinity' AND orientation_deg >= 0
       AND orientation_deg < 180 AND probability > 0 AND probability < 1) IS NOT TRUE;
