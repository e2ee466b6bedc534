-- Transmissions and fixes, made and refused.
CREATE OR REPLACE VIEW transmission_list AS
SELECT t.channel_id, t.transmission_id, c.name AS channel, t.state, t.start_at, t.end_at,
       extract(epoch FROM t.end_at - t.start_at)::double precision AS length_s, t.bearings,
       station_names(t.stations) AS stations
FROM transmission AS t LEFT JOIN channel AS c ON c.channel_id = t.channel_id
WHERE t.state <> 'withdrawn';
COMMENT ON VIEW transmission_list IS 'Stretches of activity on a channel, as heard by all stations.';
COMMENT ON COLUMN transmission_list.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN transmission_list.transmission_id IS 'Its start, ns since 1970-01-01 UTC.';
COMMENT ON COLUMN transmission_list.channel IS 'Name of the channel; null: not in the plan.';
COMMENT ON COLUMN transmission_list.state IS 'provisional, revised or final.';
COMMENT ON COLUMN transmission_list.start_at IS 'Start of the first bearing, UTC.';
COMMENT ON COLUMN transmission_list.end_at IS 'End of the last bearing, UTC.';
COMMENT ON COLUMN transmission_list.length_s IS 's.';
COMMENT ON COLUMN transmission_list.bearings IS 'How many.';
COMMENT ON COLUMN transmission_list.stations IS 'Names of those that heard it.';

CREATE OR REPLACE VIEW fix_latest AS
SELECT channel_id, transmission_id, ordinal, revision, state, valid_at, frequency_hz, stations,
       emitter_id, refusal, grade, position::geometry(Point, 4326) AS position,
       covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
       semi_major_m, semi_minor_m, orientation_deg, probability, region_kind, region_open,
       chi_square, degrees_of_freedom, p_value, crossing_deg
FROM fix WHERE state <> 'withdrawn';
COMMENT ON VIEW fix_latest IS 'Every fix as it now stands; where refusal is not none there is no position, and that is why. Columns as in table fix.';
COMMENT ON COLUMN fix_latest.position IS 'Most likely place, WGS84. Evidence, never proof.';
COMMENT ON COLUMN fix_latest.state IS 'provisional, revised or final.';
COMMENT ON COLUMN fix_latest.refusal IS 'none, or why there is no position.';
COMMENT ON COLUMN fix_latest.grade IS 'checked, unchecked or odd.';
COMMENT ON COLUMN fix_latest.semi_major_m IS 'Of the ellipse at probability, m.';
COMMENT ON COLUMN fix_latest.semi_minor_m IS 'Of the ellipse at probability, m.';
COMMENT ON COLUMN fix_latest.orientation_deg IS 'Azimuth of the semi-major axis, degrees, [0, 180).';

CREATE OR REPLACE VIEW fix_region AS
SELECT channel_id, transmission_id, ordinal, state, valid_at, emitter_id, grade, probability,
       region_kind, region_open,
       region_polygon(region, position, semi_major_m, semi_minor_m,
                      orientation_deg)::geometry(MultiPolygon, 4326) AS region
FROM fix WHERE state <> 'withdrawn' AND refusal = 'none';
COMMENT ON VIEW fix_region IS 'The region that holds the emitter with the stated probability, as a polygon.';
COMMENT ON COLUMN fix_region.region IS 'WGS84; the ellipse, or the likelihood region where region_kind says so.';
COMMENT ON COLUMN fix_region.probability IS 'That region holds the emitter, (0, 1).';

-- What a replay of the same bearings must give again, byte for byte: no revision counts.
CREATE OR REPLACE VIEW final_fix AS
SELECT channel_id, transmission_id, ordinal, valid_at, frequency_hz, stations, emitter_id,
       refusal, grade, position::geometry(Point, 4326) AS position,
       covariance_ee_m2, covariance_en_m2, covariance_nn_m2,
       semi_major_m, semi_minor_m, orientation_deg, probability, region_kind, region_open,
       region::geometry(Polygon, 4326) AS region,
       chi_square, degrees_of_freedom, p_value, crossing_deg
FROM fix WHERE state = 'final';
COMMENT ON VIEW final_fix IS 'Fixes that nothing admitted live can change any more. Columns as in table fix.';
COMMENT ON COLUMN final_fix.position IS 'Most likely place, WGS84.';
COMMENT ON COLUMN final_fix.region IS 'The likelihood region, WGS84; null where the ellipse is the region.';

CREATE OR REPLACE VIEW fix_bearing_detail AS
SELECT p.channel_id, p.transmission_id, p.ordinal, f.valid_at, f.emitter_id, s.name AS station,
       p.stream_id, p.sequence, b.start_at, b.azimuth_deg, b.sigma_deg, b.snr_db,
       p.residual_deg, p.used, p.station_id, b.digest
FROM fix_bearing AS p
JOIN fix AS f ON f.channel_id = p.channel_id AND f.transmission_id = p.transmission_id
             AND f.ordinal = p.ordinal AND f.state <> 'withdrawn'
JOIN station AS s ON s.station_id = p.station_id
LEFT JOIN transmission AS t ON t.channel_id = p.channel_id
                           AND t.transmission_id = p.transmission_id
-- Looked up bearing by bearing, in the transmission's day alone: OFFSET 0 keeps the planner from
-- joining with every day.
LEFT JOIN LATERAL (SELECT b.start_at, b.azimuth_deg, b.sigma_deg, b.snr_db,
                          bearing_digest(b) AS digest FROM bearing AS b
                   WHERE b.channel_id = p.channel_id
                     AND b.start_at BETWEEN t.start_at AND t.end_at
                     AND b.station_id = p.station_id AND b.stream_id = p.stream_id
                     AND b.sequence = p.sequence OFFSET 0) AS b ON true;
COMMENT ON VIEW fix_bearing_detail IS 'What each bearing said in a fix. Ask by channel_id and transmission_id, or emitter_id.';
COMMENT ON COLUMN fix_bearing_detail.station IS 'Name of the station.';
COMMENT ON COLUMN fix_bearing_detail.start_at IS 'Start of the bearing, UTC; null when its day was dropped.';
COMMENT ON COLUMN fix_bearing_detail.azimuth_deg IS 'As sent: from true north, degrees.';
COMMENT ON COLUMN fix_bearing_detail.sigma_deg IS 'One standard deviation, degrees.';
COMMENT ON COLUMN fix_bearing_detail.snr_db IS 'dB.';
COMMENT ON COLUMN fix_bearing_detail.residual_deg IS 'Azimuth observed minus computed, degrees, [-180, 180).';
COMMENT ON COLUMN fix_bearing_detail.used IS 'False: set aside.';
COMMENT ON COLUMN fix_bearing_detail.station_id IS 'Of the station.';
COMMENT ON COLUMN fix_bearing_detail.digest IS 'SHA-256 of all that the station sent of the bearing; null when its day was dropped.';
