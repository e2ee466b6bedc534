-- Occupancy of a channel by hour of the day, the mean and the highest of many days. Hours in which
-- no station delivered anything are left out of the mean.
-- :channel bigint; channel_id
-- :days integer [1, 4000] = 28; how far back
-- :until timestamptz = now; end of the stretch
-- :zone text = UTC; whose hours, such as Europe/Paris
SELECT extract(hour FROM s.hour AT TIME ZONE :'zone') AS hour_of_day, count(*) AS hours,
       round((avg(coalesce(c.busy_s, 0)) / 36)::numeric, 2) AS mean_percent,
       round((max(coalesce(c.busy_s, 0)) / 36)::numeric, 2) AS highest_percent
FROM (SELECT DISTINCT hour FROM station_by_hour
      WHERE hour > :'until'::timestamptz - make_interval(days => :'days'::integer)
        AND hour <= :'until'::timestamptz) AS s
LEFT JOIN channel_by_hour AS c ON c.channel_id = :'channel'::bigint AND c.hour = s.hour
GROUP BY 1 ORDER BY 1
