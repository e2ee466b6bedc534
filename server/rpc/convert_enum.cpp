#include "server/rpc/convert_enum.hpp"

namespace fixwright::rpc {

query_v1::EmitterState to_proto(EmitterState s) {
  switch (s) {
    case EmitterState::tentative:
      return query_v1::EMITTER_STATE_TENTATIVE;
    case EmitterState::confirmed:
      return query_v1::EMITTER_STATE_CONFIRMED;
    case EmitterState::silent:
      return query_v1::EMITTER_STATE_SILENT;
    case EmitterState::retired:
      return query_v1::EMITTER_STATE_RETIRED;
  }
  return query_v1::EMITTER_STATE_UNSPECIFIED;
}

query_v1::Motion to_proto(Motion m) {
  switch (m) {
    case Motion::still:
      return query_v1::MOTION_STILL;
    case Motion::moving:
      return query_v1::MOTION_MOVING;
  }
  return query_v1::MOTION_UNSPECIFIED;
}

query_v1::RegisterVerdict to_proto(RegisterVerdict v) {
  switch (v) {
    case RegisterVerdict::registered:
      return query_v1::REGISTER_VERDICT_REGISTERED;
    case RegisterVerdict::unregistered:
      return query_v1::REGISTER_VERDICT_UNREGISTERED;
    case RegisterVerdict::position_disagrees:
      return query_v1::REGISTER_VERDICT_POSITION_DISAGREES;
    case RegisterVerdict::off_frequency:
      return query_v1::REGISTER_VERDICT_OFF_FREQUENCY;
    case RegisterVerdict::out_of_validity:
      return query_v1::REGISTER_VERDICT_OUT_OF_VALIDITY;
    case RegisterVerdict::undecided:
      return query_v1::REGISTER_VERDICT_UNDECIDED;
  }
  return query_v1::REGISTER_VERDICT_UNSPECIFIED;
}

query_v1::FixState to_proto(ResultState s) {
  switch (s) {
    case ResultState::provisional:
      return query_v1::FIX_STATE_PROVISIONAL;
    case ResultState::revised:
      return query_v1::FIX_STATE_REVISED;
    case ResultState::final:
      return query_v1::FIX_STATE_FINAL;
    case ResultState::withdrawn:
      return query_v1::FIX_STATE_WITHDRAWN;
  }
  return query_v1::FIX_STATE_UNSPECIFIED;
}

query_v1::AlertSeverity to_proto(AlertSeverity s) {
  switch (s) {
    case AlertSeverity::notice:
      return query_v1::ALERT_SEVERITY_NOTICE;
    case AlertSeverity::warning:
      return query_v1::ALERT_SEVERITY_WARNING;
    case AlertSeverity::urgent:
      return query_v1::ALERT_SEVERITY_URGENT;
  }
  return query_v1::ALERT_SEVERITY_UNSPECIFIED;
}

std::optional<EmitterState> from_proto(query_v1::EmitterState s) {
  for (const EmitterState known : {EmitterState::tentative, EmitterState::confirmed,
                                   EmitterState::silent, EmitterState::retired}) {
    if (to_proto(known) == s) return known;
  }
  return std::nullopt;
}

std::optional<RegisterVerdict> from_proto(query_v1::RegisterVerdict v) {
  switch (v) {
    case query_v1::REGISTER_VERDICT_REGISTERED:
      return RegisterVerdict::registered;
    case query_v1::REGISTER_VERDICT_UNREGISTERED:
      return RegisterVerdict::unregistered;
    case query_v1::REGISTER_VERDICT_POSITION_DISAGREES:
      return RegisterVerdict::position_disagrees;
    case query_v1::REGISTER_VERDICT_OFF_FREQUENCY:
      return RegisterVerdict::off_frequency;
    case query_v1::REGISTER_VERDICT_OUT_OF_VALIDITY:
      return RegisterVerdict::out_of_validity;
    case query_v1::REGISTER_VERDICT_UNDECIDED:
      return RegisterVerdict::undecided;
    default:
      return std::nullopt;
  }
}

}  // namespace fixwright::rpc
