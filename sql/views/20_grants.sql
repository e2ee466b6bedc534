-- What fixwright_reader, and so everybody, may see: these views. The server reads them too, for its
-- papers and layers.
GRANT SELECT ON station_status, channel_plan, bearing_line, transmission_list, fix_latest,
    fix_region, final_fix, calibration_list, fix_bearing_detail, emitter_latest, emitter_region, emitter_history,
    emitter_track, emitter_decision_list, emitter_redirect, licence_list, licence_history, register_import_list,
    register_opinion_list, alert_history, alert_open, alert_region, alert_rule_list,
    watched_area_list, alert_mute_list,
    recompute_run_list, fix_before_list, emitter_before_list, bearing_only_list,
    case_list, case_note_list, case_emitter_list,
    station_by_hour, channel_by_hour, emitter_by_hour, hearing_by_hour TO fixwright_reader, fixwright_writer;
