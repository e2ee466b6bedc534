-- What is said of an emitter is said of one that is there.
SELECT said.what, said.channel_id, said.emitter_id
FROM (SELECT 'event' AS what, channel_id, emitter_id FROM emitter_event
      UNION SELECT 'track point', channel_id, emitter_id FROM track_point
      UNION SELECT 'name', channel_id, emitter_id FROM emitter_name
      UNION SELECT 'decision', channel_id, emitter_id FROM emitter_decision
      UNION SELECT 'register match', channel_id, emitter_id FROM register_match
      UNION SELECT 'opinion', channel_id, emitter_id FROM register_opinion
      UNION SELECT 'alert', channel_id, emitter_id FROM alert WHERE emitter_id IS NOT NULL) AS said
WHERE NOT EXISTS (SELECT FROM emitter AS e
                  WHERE e.channel_id = said.channel_id AND e.emitter_id = said.emitter_id);
