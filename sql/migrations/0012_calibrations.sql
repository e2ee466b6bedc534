-- 0012: calibrations of stations, as proposed and as decided.
-- Why:  a bias moves every fix that its station has a part in. It is proposed with its evidence,
--       accepted or refused by a person, from a date on; nothing of that is ever overwritten.
-- Cost: two small, empty tables.
-- Undo: DROP TABLE calibration_decision, calibration; stations keep the bias of the configuration.
BEGIN;
CREATE TABLE calibration (
    calibration_id   bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    station_id       integer NOT NULL,
    method           text NOT NULL CHECK (method IN ('reference', 'joint')),
    bias_deg         double precision NOT NULL CHECK (bias_deg >= -180 AND bias_deg < 180),
    bias_sigma_deg   double precision NOT NULL CHECK (bias_sigma_deg >= 0),
    spread_deg       double precision NOT NULL CHECK (spread_deg >= 0),
    low_hz           double precision NOT NULL CHECK (low_hz >= 0),
    high_hz          double precision NOT NULL CHECK (high_hz > low_hz),
    from_azimuth_deg double precision NOT NULL CHECK (from_azimuth_deg BETWEEN 0 AND 360),
    to_azimuth_deg   double precision NOT NULL CHECK (to_azimuth_deg BETWEEN 0 AND 360),
    bearings         bigint NOT NULL CHECK (bearings > 0),
    transmitters     integer NOT NULL CHECK (transmitters > 0),
    first_at         timestamptz NOT NULL,
    last_at          timestamptz NOT NULL CHECK (last_at >= first_at),
    evidence         text NOT NULL,
    proposed_at      timestamptz NOT NULL DEFAULT now(),
    proposed_by      text NOT NULL CHECK (proposed_by <> '' AND length(proposed_by) <= 100)
);
COMMENT ON TABLE calibration IS 'Proposed calibrations of stations; rows are never changed.';
COMMENT ON COLUMN calibration.calibration_id IS 'Rises in the order of the proposals.';
COMMENT ON COLUMN calibration.station_id IS 'As in station.';
COMMENT ON COLUMN calibration.method IS 'reference: from transmitters whose place is known; joint: all stations together, from emitters heard again and again.';
COMMENT ON COLUMN calibration.bias_deg IS 'Indicated minus true azimuth, degrees.';
COMMENT ON COLUMN calibration.bias_sigma_deg IS 'One standard deviation of bias_deg, degrees.';
COMMENT ON COLUMN calibration.spread_deg IS 'What one bearing scatters about it, noise and site, one standard deviation, degrees.';
COMMENT ON COLUMN calibration.low_hz IS 'Of bearings from this frequency on, Hz.';
COMMENT ON COLUMN calibration.high_hz IS 'And below this one, Hz.';
COMMENT ON COLUMN calibration.from_azimuth_deg IS 'Of bearings that indicate this azimuth or more, degrees; more than to_azimuth_deg: through north.';
COMMENT ON COLUMN calibration.to_azimuth_deg IS 'And less than this one, degrees.';
COMMENT ON COLUMN calibration.bearings IS 'Bearings behind it.';
COMMENT ON COLUMN calibration.transmitters IS 'Transmitters behind it.';
COMMENT ON COLUMN calibration.first_at IS 'Of the bearings behind it, UTC.';
COMMENT ON COLUMN calibration.last_at IS 'Of the bearings behind it, UTC.';
COMMENT ON COLUMN calibration.evidence IS 'One line for a person.';
COMMENT ON COLUMN calibration.proposed_at IS 'When, UTC.';
COMMENT ON COLUMN calibration.proposed_by IS 'Who, as they said.';

CREATE TABLE calibration_decision (
    calibration_id bigint PRIMARY KEY REFERENCES calibration,
    accepted       boolean NOT NULL,
    valid_from     timestamptz,
    decided_at     timestamptz NOT NULL DEFAULT clock_timestamp(),
    decided_by     text NOT NULL CHECK (decided_by <> '' AND length(decided_by) <= 100),
    note           text NOT NULL DEFAULT '' CHECK (length(note) <= 2000),
    CONSTRAINT calibration_decision_has_a_date CHECK (accepted = (valid_from IS NOT NULL))
);
COMMENT ON TABLE calibration_decision IS 'What people decided about calibrations; rows are never changed.';
COMMENT ON COLUMN calibration_decision.calibration_id IS 'As in calibration.';
COMMENT ON COLUMN calibration_decision.accepted IS 'false: refused.';
COMMENT ON COLUMN calibration_decision.valid_from IS 'Bearings from then on have the bias taken off, UTC; null: refused.';
COMMENT ON COLUMN calibration_decision.decided_at IS 'When, UTC; of two accepted ones that cover a bearing the later decided counts.';
COMMENT ON COLUMN calibration_decision.decided_by IS 'Who, as they said.';
COMMENT ON COLUMN calibration_decision.note IS 'Why.';

GRANT SELECT, INSERT ON calibration, calibration_decision TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (12);
COMMIT;
