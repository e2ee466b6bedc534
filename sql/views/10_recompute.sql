-- History that was computed again, and what it was before.
CREATE OR REPLACE VIEW recompute_run_list AS
SELECT run_id, since, channels, done_at, done_by, note, fixes_before, fixes_after,
       emitters_before, emitters_gone, emitters_new, median_moved_m, largest_moved_m
FROM recompute_run;
COMMENT ON VIEW recompute_run_list IS 'Times at which history was computed again, with what came of it. Columns as in table recompute_run.';

CREATE OR REPLACE VIEW fix_before_list AS
SELECT run_id, channel_id, transmission_id, ordinal, revision, state, valid_at, frequency_hz,
       stations, emitter_id, refusal, grade, position::geometry(Point, 4326) AS position,
       covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
       semi_major_m, semi_minor_m, orientation_deg, probability, region_kind, region_open,
       chi_square, degrees_of_freedom, p_value, crossing_deg
FROM fix_before;
COMMENT ON VIEW fix_before_list IS 'Fixes as they were until a run replaced them; fix_latest has what replaced them. Columns as there.';
COMMENT ON COLUMN fix_before_list.run_id IS 'The run that replaced them, as in recompute_run_list.';

CREATE OR REPLACE VIEW emitter_before_list AS
SELECT b.run_id, b.channel_id, b.emitter_id, n.name, b.state, b.motion,
       b.position::geometry(Point, 4326) AS position, b.valid_at, b.frequency_hz,
       b.semi_major_m, b.semi_minor_m, b.orientation_deg, b.probability, b.region_kind,
       b.grade, b.refusal, b.first_heard, b.last_heard, b.bearings,
       station_names(b.stations) AS stations, m.verdict, m.posterior, m.licence_id, m.distance_m,
       m.evidence, ST_Distance(b.position, e.position) AS moved_m
FROM emitter_before AS b
LEFT JOIN emitter AS e ON e.channel_id = b.channel_id AND e.emitter_id = b.emitter_id
LEFT JOIN emitter_name AS n ON n.channel_id = b.channel_id AND n.emitter_id = b.emitter_id
LEFT JOIN register_match_before AS m ON m.channel_id = b.channel_id
                                    AND m.emitter_id = b.emitter_id AND m.run_id = b.run_id;
COMMENT ON VIEW emitter_before_list IS 'Emitters as they stood until a run replaced them, with what the register had said. Other columns as in emitter_latest.';
COMMENT ON COLUMN emitter_before_list.run_id IS 'The run that replaced them, as in recompute_run_list.';
COMMENT ON COLUMN emitter_before_list.moved_m IS 'From there to where the emitter now is, m.';
