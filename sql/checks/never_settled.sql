-- A transmission a day older than the newest is settled: final, or withdrawn.
SELECT channel_id, transmission_id, state, end_at
FROM transmission
WHERE state IN ('provisional', 'revised')
  AND end_at < (SELECT max(end_at) FROM transmission) - interval '1 day';
