-- Every column in a fixed order and form, so that anybody can make the same digest again.
CREATE OR REPLACE FUNCTION bearing_digest(b bearing) RETURNS text
LANGUAGE sql STABLE PARALLEL SAFE SET extra_float_digits = 1 AS $$
    SELECT encode(sha256(convert_to(concat_ws('|', b.station_id, b.stream_id, b.sequence,
        b.channel_id, (extract(epoch FROM b.start_at) * 1000000)::bigint, b.start_ns,
        b.integration_ns, b.clock_error_ns, b.frequency_hz, b.azimuth_deg, b.sigma_deg, b.flags,
        coalesce(b.station_latitude_deg::text, '-'), coalesce(b.station_longitude_deg::text, '-'),
        coalesce(b.station_sigma_m::text, '-'), coalesce(b.field_strength_dbuv_per_m::text, '-'),
        coalesce(b.level_dbfs::text, '-'), coalesce(b.snr_db::text, '-'),
        coalesce(b.bandwidth_hz::text, '-'), coalesce(b.label, '-'),
        coalesce(b.alternative_azimuth_deg::text, '-'),
        coalesce(b.alternative_weight::text, '-')), 'UTF8')), 'hex')
$$;
COMMENT ON FUNCTION bearing_digest(bearing) IS
    'SHA-256 of all that a station sent of a bearing, hexadecimal: a report that quotes it can be checked.';

-- Bearings, each drawn as 50 km of geodesic. Ask for a stretch of start_at: days without it
-- are then not read. The line is drawn only by queries that name it.
CREATE OR REPLACE VIEW bearing_line AS
SELECT b.channel_id, b.start_at, s.name AS station, b.stream_id, b.sequence,
       b.frequency_hz, b.azimuth_deg, b.azimuth_deg - s.bias_deg AS corrected_azimuth_deg,
       b.sigma_deg, b.integration_ns / 1e9 AS integration_s, b.clock_error_ns / 1e9 AS clock_error_s,
       b.field_strength_dbuv_per_m, b.level_dbfs, b.snr_db, b.bandwidth_hz, b.label, b.flags,
       b.alternative_azimuth_deg, b.alternative_weight,
       50000.0::double precision AS length_m,
       azimuth_line(CASE WHEN b.station_moves
                         THEN ST_SetSRID(ST_MakePoint(b.station_longitude_deg, b.station_latitude_deg),
                                         4326)::geography
                         ELSE s.position END,
                    b.azimuth_deg - s.bias_deg, 50000)::geometry(MultiLineString, 4326) AS line,
       b.station_sigma_m, bearing_digest(b) AS digest
FROM bearing AS b JOIN station AS s ON s.station_id = b.station_id;
COMMENT ON VIEW bearing_line IS 'Admitted bearings with their station; line is 50 km of the geodesic, not a range.';
COMMENT ON COLUMN bearing_line.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN bearing_line.start_at IS 'Start of the integration interval, station clock, UTC.';
COMMENT ON COLUMN bearing_line.station IS 'Name of the station.';
COMMENT ON COLUMN bearing_line.stream_id IS 'One life of an agent''s spool.';
COMMENT ON COLUMN bearing_line.sequence IS 'Within the stream.';
COMMENT ON COLUMN bearing_line.frequency_hz IS 'Hz.';
COMMENT ON COLUMN bearing_line.azimuth_deg IS 'As sent: from true north, degrees, [0, 360).';
COMMENT ON COLUMN bearing_line.corrected_azimuth_deg IS 'Less the station''s bias as it is now, degrees; may leave [0, 360) by it.';
COMMENT ON COLUMN bearing_line.sigma_deg IS 'One standard deviation, degrees.';
COMMENT ON COLUMN bearing_line.integration_s IS 'Length of the integration interval, s.';
COMMENT ON COLUMN bearing_line.clock_error_s IS 'Bound of the station''s clock error, s.';
COMMENT ON COLUMN bearing_line.field_strength_dbuv_per_m IS 'dB above 1 uV/m.';
COMMENT ON COLUMN bearing_line.level_dbfs IS 'dB below full scale.';
COMMENT ON COLUMN bearing_line.snr_db IS 'dB.';
COMMENT ON COLUMN bearing_line.bandwidth_hz IS 'Hz.';
COMMENT ON COLUMN bearing_line.label IS 'What was decoded, as sent.';
COMMENT ON COLUMN bearing_line.flags IS 'Bits: 1 overload, 2 uncalibrated, 4 clock unsynchronised, 8 simulated.';
COMMENT ON COLUMN bearing_line.alternative_azimuth_deg IS 'Other azimuths the measurement admits, degrees.';
COMMENT ON COLUMN bearing_line.alternative_weight IS 'Likelihood of each relative to azimuth_deg.';
COMMENT ON COLUMN bearing_line.length_m IS 'Length of line as drawn, m.';
COMMENT ON COLUMN bearing_line.line IS 'From the station along corrected_azimuth_deg, WGS84.';
COMMENT ON COLUMN bearing_line.station_sigma_m IS 'Error of a moving station''s place, one standard deviation on each axis, m.';
COMMENT ON COLUMN bearing_line.digest IS 'SHA-256 of all that the station sent of it.';
