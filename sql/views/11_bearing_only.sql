-- Emitters that one station alone hears.
CREATE OR REPLACE VIEW bearing_only_list AS
SELECT b.channel_id, b.line_id, b.station_id, s.name AS station, c.name AS channel, b.state,
       azimuth_line(b.start, b.azimuth_deg, 50000)::geometry(MultiLineString, 4326) AS line,
       b.azimuth_deg, b.sigma_deg, b.frequency_hz, b.first_heard, b.last_heard, b.bearings,
       b.transmissions, coalesce(r.kept_id, b.emitter_id) AS emitter_id
FROM bearing_only AS b
LEFT JOIN station AS s ON s.station_id = b.station_id
LEFT JOIN channel AS c ON c.channel_id = b.channel_id
LEFT JOIN emitter_redirect AS r ON r.channel_id = b.channel_id AND r.emitter_id = b.emitter_id;
COMMENT ON VIEW bearing_only_list IS 'Emitters that one station alone heard again and again: a line, no place, until a second station hears them. Evidence, never proof of who transmits.';
COMMENT ON COLUMN bearing_only_list.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN bearing_only_list.line_id IS 'With channel_id and station_id the identity.';
COMMENT ON COLUMN bearing_only_list.station_id IS 'The station that hears it.';
COMMENT ON COLUMN bearing_only_list.station IS 'Its name.';
COMMENT ON COLUMN bearing_only_list.channel IS 'Name of the channel; null: not in the plan.';
COMMENT ON COLUMN bearing_only_list.state IS 'waiting for a second station; located: an emitter was found where it pointed; ended: not heard for long, or withdrawn.';
COMMENT ON COLUMN bearing_only_list.line IS '50 km of the geodesic from the station, WGS84: not a range.';
COMMENT ON COLUMN bearing_only_list.azimuth_deg IS 'Mean, from true north, degrees, [0, 360).';
COMMENT ON COLUMN bearing_only_list.sigma_deg IS 'Of the mean, one standard deviation, degrees.';
COMMENT ON COLUMN bearing_only_list.frequency_hz IS 'Mean, Hz.';
COMMENT ON COLUMN bearing_only_list.first_heard IS 'First bearing, UTC.';
COMMENT ON COLUMN bearing_only_list.last_heard IS 'Latest bearing, UTC.';
COMMENT ON COLUMN bearing_only_list.bearings IS 'Bearings behind the mean.';
COMMENT ON COLUMN bearing_only_list.transmissions IS 'Transmissions in which it was heard.';
COMMENT ON COLUMN bearing_only_list.emitter_id IS 'Of a located one: the emitter it turned out to be.';
