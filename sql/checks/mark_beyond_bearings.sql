-- A mark stands on a bearing that is stored, unless that bearing's day was dropped.
SELECT m.station_id, m.stream_id, m.sequence, m.last_start_at
FROM stream_mark AS m
WHERE m.sequence <> 0
  AND (m.last_start_at AT TIME ZONE 'UTC')::date IN (SELECT bearing_days())
  AND NOT EXISTS (SELECT FROM bearing AS b
                  WHERE b.station_id = m.station_id AND b.stream_id = m.stream_id
                    AND b.sequence = m.sequence AND b.start_at = m.last_start_at);
