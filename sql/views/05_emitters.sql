-- Emitters, their regions, history and tracks.
CREATE OR REPLACE VIEW emitter_redirect AS
WITH RECURSIVE step AS (
    SELECT channel_id, other_emitter_id AS emitter_id, emitter_id AS kept_id
    FROM emitter_decision WHERE kind = 'merge' AND undone_by IS NULL
    UNION ALL
    SELECT s.channel_id, s.emitter_id, d.emitter_id
    FROM step AS s
    JOIN emitter_decision AS d ON d.channel_id = s.channel_id AND d.other_emitter_id = s.kept_id
    WHERE d.kind = 'merge' AND d.undone_by IS NULL
)
SELECT channel_id, emitter_id, min(kept_id) AS kept_id FROM step GROUP BY channel_id, emitter_id;
COMMENT ON VIEW emitter_redirect IS 'Emitters that a person declared one with an older one, and which; its fixes and track keep their own emitter_id.';
COMMENT ON COLUMN emitter_redirect.channel_id IS 'As in emitter_latest.';
COMMENT ON COLUMN emitter_redirect.emitter_id IS 'The one that is shown as another.';
COMMENT ON COLUMN emitter_redirect.kept_id IS 'The emitter_id that it is shown as, the eldest.';

CREATE OR REPLACE VIEW emitter_latest AS
SELECT e.channel_id, e.emitter_id, n.name, c.name AS channel, e.state, e.motion,
       e.position::geometry(Point, 4326) AS position, e.valid_at, e.frequency_hz,
       e.semi_major_m, e.semi_minor_m, e.orientation_deg, e.probability, e.region_kind,
       e.covariance_ee_m2, e.covariance_en_m2, e.covariance_nn_m2,
       e.grade, e.refusal, e.first_heard, e.last_heard, e.bearings, e.looks,
       station_names(e.stations) AS stations,
       e.speed_m_per_s, e.course_deg, e.speed_sigma_m_per_s,
       m.verdict, m.posterior, m.licence_id, m.distance_m,
       coalesce(w.watched, false) AS watched, t.note, r.kept_id AS merged_into,
       m.frequency_offset_hz, m.evidence
FROM emitter AS e
LEFT JOIN channel AS c ON c.channel_id = e.channel_id
LEFT JOIN emitter_name AS n ON n.channel_id = e.channel_id AND n.emitter_id = e.emitter_id
LEFT JOIN register_match AS m ON m.channel_id = e.channel_id AND m.emitter_id = e.emitter_id
LEFT JOIN emitter_redirect AS r ON r.channel_id = e.channel_id AND r.emitter_id = e.emitter_id
LEFT JOIN LATERAL (
    SELECT d.kind = 'watch' AS watched FROM emitter_decision AS d
    WHERE d.channel_id = e.channel_id AND d.emitter_id = e.emitter_id
      AND d.kind IN ('watch', 'unwatch') AND d.undone_by IS NULL
    ORDER BY d.decision_id DESC LIMIT 1) AS w ON true
LEFT JOIN LATERAL (
    SELECT d.note FROM emitter_decision AS d
    WHERE d.channel_id = e.channel_id AND d.emitter_id = e.emitter_id
      AND d.kind = 'note' AND d.undone_by IS NULL
    ORDER BY d.decision_id DESC LIMIT 1) AS t ON true;
COMMENT ON VIEW emitter_latest IS 'Every emitter as it now stands, with what the register says. Evidence, never proof of who transmits.';
COMMENT ON COLUMN emitter_latest.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN emitter_latest.emitter_id IS 'With channel_id the identity, never reused.';
COMMENT ON COLUMN emitter_latest.name IS 'Given by a person.';
COMMENT ON COLUMN emitter_latest.channel IS 'Name of the channel; null: not in the plan.';
COMMENT ON COLUMN emitter_latest.state IS 'tentative, confirmed, silent or retired.';
COMMENT ON COLUMN emitter_latest.motion IS 'still or moving.';
COMMENT ON COLUMN emitter_latest.position IS 'Most likely place, WGS84; null when refusal says why there is none.';
COMMENT ON COLUMN emitter_latest.valid_at IS 'Time of the position, UTC.';
COMMENT ON COLUMN emitter_latest.frequency_hz IS 'Mean, Hz.';
COMMENT ON COLUMN emitter_latest.semi_major_m IS 'Of the ellipse at probability, m.';
COMMENT ON COLUMN emitter_latest.semi_minor_m IS 'Of the ellipse at probability, m.';
COMMENT ON COLUMN emitter_latest.orientation_deg IS 'Azimuth of the semi-major axis, degrees, [0, 180).';
COMMENT ON COLUMN emitter_latest.probability IS 'That the ellipse or region holds the emitter.';
COMMENT ON COLUMN emitter_latest.first_heard IS 'First bearing, UTC.';
COMMENT ON COLUMN emitter_latest.last_heard IS 'Latest bearing, UTC.';
COMMENT ON COLUMN emitter_latest.stations IS 'Names of those that heard it.';
COMMENT ON COLUMN emitter_latest.verdict IS 'registered, unregistered (no accusation), position_disagrees, off_frequency, out_of_validity, undecided; null: not compared yet.';
COMMENT ON COLUMN emitter_latest.posterior IS 'Probability of verdict, [0, 1].';
COMMENT ON COLUMN emitter_latest.licence_id IS 'The likeliest entry of the register.';
COMMENT ON COLUMN emitter_latest.distance_m IS 'From the emitter to that entry, m.';
COMMENT ON COLUMN emitter_latest.watched IS 'True: a person wants to hear of it.';
COMMENT ON COLUMN emitter_latest.merged_into IS 'The emitter_id that it is shown as, since a person declared them one.';
COMMENT ON COLUMN emitter_latest.note IS 'The latest note of a person; older ones are in emitter_decision_list.';
COMMENT ON COLUMN emitter_latest.frequency_offset_hz IS 'Of the emitter from that entry''s centre, Hz.';
COMMENT ON COLUMN emitter_latest.evidence IS 'What the verdict rests on, one line.';

CREATE OR REPLACE VIEW emitter_region AS
SELECT e.channel_id, e.emitter_id, n.name, e.state, e.motion, e.valid_at, e.last_heard, e.grade,
       e.probability, e.region_kind, e.region_open,
       region_polygon(e.region, e.position, e.semi_major_m, e.semi_minor_m,
                      e.orientation_deg)::geometry(MultiPolygon, 4326) AS region
FROM emitter AS e
LEFT JOIN emitter_name AS n ON n.channel_id = e.channel_id AND n.emitter_id = e.emitter_id
WHERE e.refusal = 'none' AND e.state <> 'retired';
COMMENT ON VIEW emitter_region IS 'The region that holds each emitter with the stated probability, as a polygon; retired ones left out.';
COMMENT ON COLUMN emitter_region.region IS 'WGS84; the ellipse, or the likelihood region where region_kind says so.';
COMMENT ON COLUMN emitter_region.probability IS 'That region holds the emitter, (0, 1).';

CREATE OR REPLACE VIEW emitter_history AS
SELECT v.channel_id, v.emitter_id, n.name, v.at, v.kind, v.evidence
FROM emitter_event AS v
LEFT JOIN emitter_name AS n ON n.channel_id = v.channel_id AND n.emitter_id = v.emitter_id;
COMMENT ON VIEW emitter_history IS 'What happened to emitters, and why we think so.';
COMMENT ON COLUMN emitter_history.at IS 'Event time, UTC.';
COMMENT ON COLUMN emitter_history.kind IS 'new, confirmed, moved, split, merged, silent, returned, retired.';
COMMENT ON COLUMN emitter_history.evidence IS 'One line.';

CREATE OR REPLACE VIEW emitter_track AS
SELECT p.channel_id, p.emitter_id, p.at, p.position::geometry(Point, 4326) AS position,
       p.covariance_ee_m2, p.covariance_en_m2, p.covariance_nn_m2,
       p.speed_m_per_s, p.course_deg, p.speed_sigma_m_per_s
FROM track_point AS p;
COMMENT ON VIEW emitter_track IS 'Where moving emitters were, point by point: at first by what was heard until then, some minutes later by what was heard after too. Columns as in table track_point.';
COMMENT ON COLUMN emitter_track.position IS 'WGS84.';
COMMENT ON COLUMN emitter_track.at IS 'Event time, UTC.';

CREATE OR REPLACE VIEW emitter_decision_list AS
SELECT d.decision_id, d.decided_at, d.decided_by, d.kind, d.channel_id, d.emitter_id,
       n.name AS emitter_name, d.name, d.note, d.other_emitter_id, d.undoes, d.undone_by
FROM emitter_decision AS d
LEFT JOIN emitter_name AS n ON n.channel_id = d.channel_id AND n.emitter_id = d.emitter_id;
COMMENT ON VIEW emitter_decision_list IS 'What people decided about emitters, and whether it still stands.';
COMMENT ON COLUMN emitter_decision_list.decision_id IS 'Rises in the order in which they were decided.';
COMMENT ON COLUMN emitter_decision_list.decided_at IS 'When, UTC.';
COMMENT ON COLUMN emitter_decision_list.decided_by IS 'Who, as they said.';
COMMENT ON COLUMN emitter_decision_list.kind IS 'rename, note, watch, unwatch, merge, split, undo.';
COMMENT ON COLUMN emitter_decision_list.emitter_name IS 'What the emitter is called now.';
COMMENT ON COLUMN emitter_decision_list.name IS 'Of a rename: the name that was given.';
COMMENT ON COLUMN emitter_decision_list.note IS 'Why, or what is worth knowing.';
COMMENT ON COLUMN emitter_decision_list.other_emitter_id IS 'Of a merge: the emitter that is the same transmitter.';
COMMENT ON COLUMN emitter_decision_list.undoes IS 'The decision that it takes back.';
COMMENT ON COLUMN emitter_decision_list.undone_by IS 'The decision that took it back; null: it stands.';
