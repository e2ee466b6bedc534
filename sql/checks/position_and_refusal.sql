-- A fix, and an emitter, has either a position or a reason why not.
SELECT 'fix' AS what, channel_id, transmission_id AS id, refusal
FROM fix WHERE (refusal = 'none') <> (position IS NOT NULL)
UNION ALL
SELECT 'emitter', channel_id, emitter_id, refusal
FROM emitter WHERE (refusal = 'none') <> (position IS NOT NULL);
