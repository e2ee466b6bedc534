-- Stations and the channel plan.
CREATE OR REPLACE VIEW station_status AS
SELECT s.station_id, s.name, s.position::geometry(Point, 4326) AS position,
       s.antenna_height_m, s.site_sigma_deg, s.bias_deg,
       count(m.stream_id) AS streams,
       coalesce(sum(m.bearings), 0)::bigint AS bearings,
       max(m.last_start_at) AS last_bearing_at,
       max(m.moved_at) FILTER (WHERE m.bearings > 0) AS last_stored_at,
       s.moves
FROM station AS s LEFT JOIN stream_mark AS m ON m.station_id = s.station_id
GROUP BY s.station_id;
COMMENT ON VIEW station_status IS 'Every station, with what it has delivered.';
COMMENT ON COLUMN station_status.station_id IS 'Given once, 1 and up.';
COMMENT ON COLUMN station_status.name IS 'As in the configuration.';
COMMENT ON COLUMN station_status.position IS 'Registered place, WGS84.';
COMMENT ON COLUMN station_status.antenna_height_m IS 'Above ground, m.';
COMMENT ON COLUMN station_status.site_sigma_deg IS 'The site''s own error of azimuth, one standard deviation, degrees.';
COMMENT ON COLUMN station_status.bias_deg IS 'Subtracted from each azimuth before use, degrees.';
COMMENT ON COLUMN station_status.streams IS 'Lives of its agent''s spool.';
COMMENT ON COLUMN station_status.bearings IS 'Bearings stored, ever.';
COMMENT ON COLUMN station_status.last_bearing_at IS 'Start of the latest bearing of its streams, station clock, UTC.';
COMMENT ON COLUMN station_status.last_stored_at IS 'When one was last stored, database clock, UTC.';
COMMENT ON COLUMN station_status.moves IS 'A vehicle or hand-carried station: position is where it is kept.';

CREATE OR REPLACE VIEW channel_plan AS
SELECT channel_id, name, frequency_hz, bandwidth_hz FROM channel;
COMMENT ON VIEW channel_plan IS 'Channels with a name; others are on the raster, from 1000000 up.';
COMMENT ON COLUMN channel_plan.channel_id IS 'From the plan.';
COMMENT ON COLUMN channel_plan.name IS 'From the plan.';
COMMENT ON COLUMN channel_plan.frequency_hz IS 'Centre, Hz.';
COMMENT ON COLUMN channel_plan.bandwidth_hz IS 'Width, Hz.';
