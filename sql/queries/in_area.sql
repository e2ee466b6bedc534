-- Emitters whose region reaches into an area, and which were on in a stretch of time.
-- An area across longitude 180 is two queries.
-- :west double precision [-180, 180]; longitude, degrees
-- :south double precision [-90, 90]; latitude, degrees
-- :east double precision [-180, 180]; longitude, degrees
-- :north double precision [-90, 90]; latitude, degrees
-- :days double precision [0, 4000] = 7; how far back
-- :until timestamptz = now; end of the stretch
SELECT e.channel_id, e.emitter_id, e.name, e.motion, h.first_hour, h.last_hour, h.transmissions,
       e.probability, e.region
FROM (SELECT b.channel_id, b.emitter_id, min(b.hour) AS first_hour, max(b.hour) AS last_hour,
             sum(b.transmissions)::bigint AS transmissions
      FROM emitter_by_hour AS b
      WHERE b.hour > :'until'::timestamptz - make_interval(hours => 1)
                     - :'days'::double precision * interval '1 day'
        AND b.hour <= :'until'::timestamptz
      GROUP BY 1, 2) AS h
JOIN emitter_region AS e ON e.channel_id = h.channel_id AND e.emitter_id = h.emitter_id
CROSS JOIN (SELECT ST_MakeEnvelope(:'west'::double precision, :'south'::double precision,
                                   :'east'::double precision, :'north'::double precision, 4326)
                   AS area) AS a
WHERE ST_Intersects(e.region, a.area)
   OR e.motion = 'moving' AND EXISTS (
          SELECT FROM emitter_track AS p
          WHERE p.channel_id = e.channel_id AND p.emitter_id = e.emitter_id
            AND p.at BETWEEN :'until'::timestamptz - :'days'::double precision * interval '1 day'
                         AND :'until'::timestamptz
            AND ST_Intersects(p.position, a.area))
ORDER BY e.channel_id, e.emitter_id
