-- No bearing is past its stream's mark: both are written in one transaction.
SELECT b.station_id, b.stream_id, b.sequence, m.sequence AS mark
FROM bearing AS b
LEFT JOIN stream_mark AS m ON m.station_id = b.station_id AND m.stream_id = b.stream_id
WHERE m.sequence IS NULL OR b.sequence > m.sequence;
