-- Every fix belongs to a transmission of its channel.
SELECT f.channel_id, f.transmission_id, f.ordinal
FROM fix AS f
WHERE NOT EXISTS (SELECT FROM transmission AS t
                  WHERE t.channel_id = f.channel_id AND t.transmission_id = f.transmission_id);
