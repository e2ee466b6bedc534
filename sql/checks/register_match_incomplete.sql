-- A verdict that speaks of an entry names it, with distance and offset.
SELECT channel_id, emitter_id, verdict, licence_id, distance_m, frequency_offset_hz
FROM register_match
WHERE (verdict IN ('registered', 'position_disagrees', 'off_frequency', 'out_of_validity')
       AND licence_id IS NULL)
   OR (licence_id IS NULL) <> (distance_m IS NULL)
   OR (licence_id IS NULL AND frequency_offset_hz IS NOT NULL)
   OR distance_m < 0;
