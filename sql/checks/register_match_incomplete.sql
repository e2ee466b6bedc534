-- A verdict that speaks of an entry names it, with distance and offset; a person's need not.
SELECT channel_id, emitter_id, verdict, licence_id, distance_m, frequency_offset_hz
FROM register_match AS m
WHERE (verdict IN ('registered', 'position_disagrees', 'off_frequency', 'out_of_validity')
       AND licence_id IS NULL
       AND NOT EXISTS (SELECT FROM register_opinion AS o
                       WHERE o.channel_id = m.channel_id AND o.emitter_id = m.emitter_id))
   OR (licence_id IS NULL) <> (distance_m IS NULL)
   OR (licence_id IS NULL AND frequency_offset_hz IS NOT NULL)
   OR distance_m < 0;
