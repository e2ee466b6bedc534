-- Calibrations of stations, and what was decided about them.
CREATE OR REPLACE VIEW calibration_list AS
SELECT c.calibration_id, s.name AS station, c.method,
       CASE WHEN d.accepted THEN 'accepted' WHEN d.accepted IS NULL THEN 'proposed'
            ELSE 'refused' END AS state,
       c.bias_deg, c.bias_sigma_deg, c.spread_deg, c.low_hz, c.high_hz,
       c.from_azimuth_deg, c.to_azimuth_deg, c.bearings, c.transmitters, c.first_at, c.last_at,
       c.evidence, c.proposed_at, c.proposed_by,
       d.valid_from, d.decided_at, d.decided_by, d.note
FROM calibration AS c
JOIN station AS s ON s.station_id = c.station_id
LEFT JOIN calibration_decision AS d ON d.calibration_id = c.calibration_id;
COMMENT ON VIEW calibration_list IS 'Calibrations that were proposed, with their evidence, and what was decided about them.';
