-- 0015: who is to be told of which alert.
-- Why:  a message that is written down in the transaction that raises its alert is neither lost
--       with a crash nor sent for an alert that was never kept.
-- Cost: a small, empty table.
-- Undo: DROP TABLE alert_outbox; nobody is told of what was not yet delivered.
BEGIN;
CREATE TABLE alert_outbox (
    alert_id     text NOT NULL,
    occasion     text NOT NULL CHECK (occasion IN ('raised', 'escalated')),
    destination  text NOT NULL CHECK (destination <> ''),
    not_before   timestamptz NOT NULL,
    gathered     boolean NOT NULL,
    next_try_at  timestamptz NOT NULL,
    tries        integer NOT NULL DEFAULT 0 CHECK (tries >= 0),
    last_error   text NOT NULL DEFAULT '',
    ended_at     timestamptz,
    outcome      text CHECK (outcome IN ('delivered', 'needless', 'given_up')),
    PRIMARY KEY (alert_id, occasion, destination),
    CONSTRAINT alert_outbox_ends_with_an_outcome CHECK ((ended_at IS NULL) = (outcome IS NULL))
);
COMMENT ON TABLE alert_outbox IS 'Who is to be told of which alert.';
COMMENT ON COLUMN alert_outbox.alert_id IS 'As in alert.';
COMMENT ON COLUMN alert_outbox.occasion IS 'raised: the alert is new; escalated: nobody acknowledged it for long.';
COMMENT ON COLUMN alert_outbox.destination IS 'As configured.';
COMMENT ON COLUMN alert_outbox.not_before IS 'When it is to be told, UTC.';
COMMENT ON COLUMN alert_outbox.gathered IS 'May come in one message with others of the same time.';
COMMENT ON COLUMN alert_outbox.next_try_at IS 'When it is tried next, UTC.';
COMMENT ON COLUMN alert_outbox.tries IS 'That failed.';
COMMENT ON COLUMN alert_outbox.last_error IS 'Why the last try failed.';
COMMENT ON COLUMN alert_outbox.ended_at IS 'When it was done with, UTC; null: it waits.';
COMMENT ON COLUMN alert_outbox.outcome IS 'delivered; needless: acknowledged or ended before it was to be told; given_up.';
CREATE INDEX alert_outbox_waiting ON alert_outbox (next_try_at) WHERE ended_at IS NULL;

GRANT SELECT, INSERT, UPDATE, DELETE ON alert_outbox TO fixwright_writer;
INSERT INTO schema_version (version) VALUES (15);
COMMIT;
