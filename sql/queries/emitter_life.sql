-- The life of an emitter: what happened to it, and each month that it was on.
-- :channel bigint; channel_id of the emitter
-- :emitter bigint; emitter_id
SELECT at, what, detail FROM (
    SELECT at, kind AS what, evidence AS detail FROM emitter_history
    WHERE channel_id = :'channel'::bigint AND emitter_id = :'emitter'::bigint
    UNION ALL
    SELECT date_trunc('month', hour, 'UTC'), 'month',
           format('on %s days, %s transmissions, %s min', count(DISTINCT date_trunc('day', hour, 'UTC')),
                  sum(transmissions), round(sum(on_s)::numeric / 60, 1))
    FROM emitter_by_hour
    WHERE channel_id = :'channel'::bigint AND emitter_id = :'emitter'::bigint
    GROUP BY 1) AS life
ORDER BY at, what
