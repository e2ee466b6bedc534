-- A covariance is finite and positive definite wherever there is a position.
SELECT 'fix' AS what, channel_id, transmission_id AS id
FROM fix WHERE position IS NOT NULL
  AND (covariance_ee_m2 > 0 AND covariance_ee_m2 < 'infinity' AND covariance_nn_m2 > 0
       AND covariance_nn_m2 < 'infinity'
       AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2) IS NOT TRUE
UNION ALL
SELECT 'emitter', channel_id, emitter_id
FROM emitter WHERE position IS NOT NULL
  AND (covariance_ee_m2 > 0 AND covariance_ee_m2 < 'infinity' AND covariance_nn_m2 > 0
       AND covariance_nn_m2 < 'infinity'
       AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2) IS NOT TRUE
UNION ALL
SELECT 'track_point', channel_id, emitter_id
FROM track_point
WHERE (covariance_ee_m2 > 0 AND covariance_ee_m2 < 'infinity' AND covariance_nn_m2 > 0
       AND covariance_nn_m2 < 'infinity'
       AND covariance_ee_m2 * covariance_nn_m2 > covariance_en_m2 * covariance_en_m2) IS NOT TRUE;
