-- A likelihood region is stored, and is a valid polygon.
SELECT 'fix' AS what, channel_id, transmission_id AS id, region_kind
FROM fix WHERE (region_kind = 'likelihood' AND region IS NULL)
            OR NOT ST_IsValid(cut_at_antimeridian(region::geometry))
UNION ALL
SELECT 'emitter', channel_id, emitter_id, region_kind
FROM emitter WHERE (region_kind = 'likelihood' AND region IS NULL)
                OR NOT ST_IsValid(cut_at_antimeridian(region::geometry));
