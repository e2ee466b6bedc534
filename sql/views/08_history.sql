-- What was heard, hour by hour: sums that the server keeps with what it stores. An hour begins at
-- hour, UTC; ask for a stretch of it.
CREATE OR REPLACE VIEW station_by_hour AS
SELECT s.name AS station, h.hour, h.bearings, bit_count(h.minutes::bit(64)) AS minutes
FROM station_hour AS h JOIN station AS s ON s.station_id = h.station_id;
COMMENT ON VIEW station_by_hour IS 'Bearings of each station; an hour without any has no row.';
COMMENT ON COLUMN station_by_hour.station IS 'Name of the station.';
COMMENT ON COLUMN station_by_hour.hour IS 'Its begin, UTC; a bearing counts where it starts.';
COMMENT ON COLUMN station_by_hour.bearings IS 'How many started in it.';
COMMENT ON COLUMN station_by_hour.minutes IS 'Minutes of it in which one started, 1 to 60.';

CREATE OR REPLACE VIEW channel_by_hour AS
SELECT channel_id, hour, transmissions, busy_us / 1e6::double precision AS busy_s
FROM channel_hour WHERE transmissions > 0 OR busy_us > 0;
COMMENT ON VIEW channel_by_hour IS 'How long each channel was busy; an hour without a transmission has no row.';
COMMENT ON COLUMN channel_by_hour.channel_id IS 'From the channel plan, or 1000000 + raster slot.';
COMMENT ON COLUMN channel_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN channel_by_hour.transmissions IS 'How many started in it.';
COMMENT ON COLUMN channel_by_hour.busy_s IS 'Transmissions'' length inside the hour, s, 0 to 3600; pauses shorter than the one that ends a transmission count as busy.';

CREATE OR REPLACE VIEW emitter_by_hour AS
SELECT channel_id, emitter_id, hour, transmissions, on_us / 1e6::double precision AS on_s
FROM emitter_hour WHERE transmissions > 0 OR on_us > 0;
COMMENT ON VIEW emitter_by_hour IS 'When each emitter was on; an hour in which it wasn''t heard has no row.';
COMMENT ON COLUMN emitter_by_hour.channel_id IS 'As in emitter_latest.';
COMMENT ON COLUMN emitter_by_hour.emitter_id IS 'As in emitter_latest.';
COMMENT ON COLUMN emitter_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN emitter_by_hour.transmissions IS 'With a fix of it, made or refused; where they start.';
COMMENT ON COLUMN emitter_by_hour.on_s IS 'Their length inside the hour, s; of one that two emitters share, both have all.';

CREATE OR REPLACE VIEW hearing_by_hour AS
SELECT h.channel_id, h.emitter_id, h.hour, s.name AS station, h.transmissions, h.bearings,
       h.residual_udeg / 1e6::double precision / h.bearings AS mean_residual_deg
FROM hearing_hour AS h JOIN station AS s ON s.station_id = h.station_id
WHERE h.transmissions > 0;
COMMENT ON VIEW hearing_by_hour IS 'Which station heard which emitter: with a bearing that its fix used.';
COMMENT ON COLUMN hearing_by_hour.channel_id IS 'As in emitter_latest.';
COMMENT ON COLUMN hearing_by_hour.emitter_id IS 'As in emitter_latest.';
COMMENT ON COLUMN hearing_by_hour.hour IS 'Its begin, UTC.';
COMMENT ON COLUMN hearing_by_hour.station IS 'Name of the station.';
COMMENT ON COLUMN hearing_by_hour.transmissions IS 'Of the emitter, that the station heard; where they start.';
COMMENT ON COLUMN hearing_by_hour.bearings IS 'Of the station, that fixes of the emitter used.';
COMMENT ON COLUMN hearing_by_hour.mean_residual_deg IS 'Mean of their residuals, azimuth observed minus computed, degrees.';
