-- 0006: the register of licensed transmitters, what it says about emitters, and alerts.
-- Why:  the comparison is per emitter, not per fix; alerts outlive the server's restarts.
-- Cost: new, empty tables.
-- Undo: DROP TABLE alert, register_match, licence; who acknowledged what is then lost.
BEGIN;
CREATE TABLE licence (
    licence_id       text PRIMARY KEY,
    holder           text NOT NULL,
    service          text NOT NULL,
    position         geography(Point, 4326) NOT NULL,
    position_sigma_m double precision NOT NULL,
    frequency_hz     double precision NOT NULL,
    bandwidth_hz     double precision NOT NULL,
    valid_from       timestamptz,
    valid_until      timestamptz
);
COMMENT ON TABLE licence IS 'The register of licensed transmitters, replaced whole by each import.';
COMMENT ON COLUMN licence.licence_id IS 'As in the register.';
COMMENT ON COLUMN licence.holder IS 'As in the register.';
COMMENT ON COLUMN licence.service IS 'As in the register.';
COMMENT ON COLUMN licence.position IS 'WGS84 longitude and latitude, degrees.';
COMMENT ON COLUMN licence.position_sigma_m IS 'Accuracy of the register''s position, one axis, one standard deviation, m.';
COMMENT ON COLUMN licence.frequency_hz IS 'Centre, Hz.';
COMMENT ON COLUMN licence.bandwidth_hz IS 'Width, Hz.';
COMMENT ON COLUMN licence.valid_from IS 'UTC; null: always was.';
COMMENT ON COLUMN licence.valid_until IS 'UTC; null: no end.';
CREATE INDEX licence_by_frequency ON licence (frequency_hz);
CREATE INDEX licence_by_position ON licence USING gist (position);

CREATE TABLE register_match (
    channel_id bigint NOT NULL,
    emitter_id bigint NOT NULL,
    verdict    text NOT NULL CHECK (verdict IN ('registered', 'unregistered',
                                                'position_disagrees', 'undecided')),
    posterior  double precision NOT NULL CHECK (posterior BETWEEN 0 AND 1),
    licence_id text,
    distance_m double precision,
    PRIMARY KEY (channel_id, emitter_id)
);
COMMENT ON TABLE register_match IS 'What the register says about an emitter. No accusation.';
COMMENT ON COLUMN register_match.channel_id IS 'As in emitter.';
COMMENT ON COLUMN register_match.emitter_id IS 'As in emitter.';
COMMENT ON COLUMN register_match.verdict IS 'registered; unregistered: not found in the register; position_disagrees: a registered channel, at another place; undecided.';
COMMENT ON COLUMN register_match.posterior IS 'Probability of the verdict, [0, 1].';
COMMENT ON COLUMN register_match.licence_id IS 'The likeliest entry; null: none is near.';
COMMENT ON COLUMN register_match.distance_m IS 'From the emitter to that entry, m.';

CREATE TABLE alert (
    alert_id        text PRIMARY KEY,
    rule            text NOT NULL,
    severity        text NOT NULL CHECK (severity IN ('notice', 'warning', 'urgent')),
    raised_at       timestamptz NOT NULL,
    channel_id      bigint,
    emitter_id      bigint,
    station_id      integer,
    message         text NOT NULL,
    acknowledged_at timestamptz,
    acknowledged_by text,
    CONSTRAINT alert_is_acknowledged_by_somebody
        CHECK ((acknowledged_at IS NULL) = (acknowledged_by IS NULL))
);
COMMENT ON TABLE alert IS 'Things a person should know. Evidence, never an accusation.';
COMMENT ON COLUMN alert.alert_id IS 'From rule and subject: the same event raises the same alert.';
COMMENT ON COLUMN alert.rule IS 'Which rule raised it: new_unregistered_emitter, station_silent and so on.';
COMMENT ON COLUMN alert.severity IS 'notice, warning or urgent.';
COMMENT ON COLUMN alert.raised_at IS 'Event time, UTC.';
COMMENT ON COLUMN alert.channel_id IS 'Of the emitter it is about; null: about none.';
COMMENT ON COLUMN alert.emitter_id IS 'The emitter it is about, with channel_id.';
COMMENT ON COLUMN alert.station_id IS 'The station it is about; null: about none.';
COMMENT ON COLUMN alert.message IS 'One line for a person.';
COMMENT ON COLUMN alert.acknowledged_at IS 'When a person acknowledged it, UTC; null: open.';
COMMENT ON COLUMN alert.acknowledged_by IS 'Who did.';
CREATE INDEX alert_by_time ON alert (raised_at DESC) WHERE acknowledged_at IS NULL;

GRANT SELECT, INSERT, UPDATE, DELETE ON licence, register_match, alert TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (6);
COMMIT;
