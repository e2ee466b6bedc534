-- The ellipse is that of the covariance at its probability: semi-axes k sqrt(eigenvalue) with
-- k = sqrt(-2 ln(1 - p)), semi-major axis along orientation. Where the region is the likelihood
-- contour the ellipse covers that instead. Tolerance 1e-6 of the larger variance: the axes
-- are square roots kept to 1e-16, and the rest is room for another order of the sums.
WITH ellipse AS (
    SELECT 'fix' AS what, channel_id, transmission_id AS id, covariance_ee_m2 AS ee,
           covariance_en_m2 AS en, covariance_nn_m2 AS nn, semi_major_m, semi_minor_m,
           orientation_deg, -2 * ln(1 - probability) AS k2
    FROM fix WHERE position IS NOT NULL AND region_kind <> 'likelihood' AND probability < 1
    UNION ALL
    SELECT 'emitter', channel_id, emitter_id, covariance_ee_m2, covariance_en_m2,
           covariance_nn_m2, semi_major_m, semi_minor_m, orientation_deg,
           -2 * ln(1 - probability)
    FROM emitter WHERE position IS NOT NULL AND region_kind <> 'likelihood' AND probability < 1
), expected AS (
    -- The covariance that these axes, this orientation and this probability stand for.
    SELECT *, semi_major_m ^ 2 / k2 AS major, semi_minor_m ^ 2 / k2 AS minor,
           sind(orientation_deg) AS s, cosd(orientation_deg) AS c
    FROM ellipse
)
SELECT what, channel_id, id, ee, en, nn, semi_major_m, semi_minor_m, orientation_deg
FROM expected
WHERE (abs(ee - (major * s * s + minor * c * c)) <= 1e-6 * major
       AND abs(nn - (major * c * c + minor * s * s)) <= 1e-6 * major
       AND abs(en - (major - minor) * s * c) <= 1e-6 * major) IS NOT TRUE;
