-- Emitters near a point, with the probability that each lies within a distance of it.
-- :latitude double precision [-90, 90]; of the point, degrees
-- :longitude double precision [-180, 180]; of the point, degrees
-- :radius double precision [1, 1000000] = 1000; distance, m
-- :at_least double precision [0, 1] = 0.01; smallest probability shown
SELECT channel_id, emitter_id, name, state, last_heard, round(distance_m::numeric) AS distance_m,
       round(within::numeric, 3) AS within, round(ellipse::numeric, 3) AS ellipse, region_kind, position
FROM emitters_near(:'latitude'::double precision, :'longitude'::double precision,
                   :'radius'::double precision)
WHERE within >= :'at_least'::double precision
ORDER BY emitters_near.within DESC, channel_id, emitter_id
