-- A bearing's part in a fix goes when the fix goes.
SELECT p.channel_id, p.transmission_id, p.ordinal, p.station_id, p.stream_id, p.sequence
FROM fix_bearing AS p
WHERE NOT EXISTS (SELECT FROM fix AS f
                  WHERE f.channel_id = p.channel_id AND f.transmission_id = p.transmission_id
                    AND f.ordinal = p.ordinal);
