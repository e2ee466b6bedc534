-- Who was on when a log of complaints says so. Being on at a time is evidence, never proof of having
-- caused what was complained of. Emitters on at most entries come first.
-- :log file; the log's text: a time and a note a line, with a comma between; a first line "at,note" may stand
-- :margin double precision [0, 86400] = 120; how much before and after a time counts too, s
WITH complaint AS (
    SELECT split_part(line, ',', 1)::timestamptz AS at,
           substr(line, length(split_part(line, ',', 1)) + 2) AS note
    FROM regexp_split_to_table(:'log', '\r?\n') AS line
    WHERE line <> '' AND line NOT LIKE 'at%'),
matched AS (
    SELECT c.at, c.note, o.channel_id, o.emitter_id
    FROM complaint AS c CROSS JOIN LATERAL
         on_the_air(c.at - :'margin'::double precision * interval '1 s',
                    c.at + :'margin'::double precision * interval '1 s') AS o)
SELECT m.channel_id, m.emitter_id, e.name, count(*) AS entries,
       (SELECT count(*) FROM complaint) AS of_entries, min(m.at) AS first_at, max(m.at) AS last_at,
       string_agg(m.note, '; ' ORDER BY m.at) AS notes
FROM matched AS m
JOIN emitter_latest AS e ON e.channel_id = m.channel_id AND e.emitter_id = m.emitter_id
GROUP BY m.channel_id, m.emitter_id, e.name
ORDER BY entries DESC, m.channel_id, m.emitter_id
