-- Licences
-- The register of licensed transmitters as last imported; it may be late or wrong.
SELECT licence_id AS id, concat_ws(', ', licence_id, nullif(holder, '')) AS title,
       valid_from AS begin_at, valid_until AS end_at, holder, service, frequency_hz, bandwidth_hz,
       power_w, emission, position_sigma_m, position AS geometry
FROM licence_list WHERE position IS NOT NULL
