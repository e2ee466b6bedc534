-- Nothing ends before it began, and a transmission's identity is its start.
SELECT 'transmission' AS what, channel_id, transmission_id AS id, start_at, end_at
FROM transmission
WHERE end_at < start_at
   OR floor(transmission_id / 1000.0) <> extract(epoch FROM start_at) * 1000000
UNION ALL
SELECT 'emitter', channel_id, emitter_id, first_heard, last_heard
FROM emitter WHERE last_heard < first_heard;
