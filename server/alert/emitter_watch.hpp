#pragma once
/// Alerts about emitters: what the register says, moves, returns, activity in a watched area, and
/// transmitters that ought to be heard always.

#include <functional>
#include <map>
#include <string>
#include <vector>

#include "server/alert/event_book.hpp"
#include "server/alert/rules.hpp"
#include "server/model/emitter.hpp"
#include "server/model/licence.hpp"

namespace fixwright::alert {

/// Whether a person watches an emitter.
using Watched = std::function<bool(EmitterKey)>;

class EmitterWatch {
 public:
  /// \param book  outlives it.
  EmitterWatch(EventBook& book, Watched watched) : book_(book), watched_(std::move(watched)) {}

  /// \param match  the register's, in force; nullptr: none.
  std::vector<Alert> on_emitter(const AlertRules& rules, const std::vector<WatchedArea>& areas,
                                const Emitter& emitter, const RegisterMatch* match);
  /// \param emitter  as it is after the event; nullptr: not known.
  std::vector<Alert> on_event(const AlertRules& rules, const EmitterEvent& event,
                              const Emitter* emitter);
  std::vector<Alert> on_tick(const AlertRules& rules, TimePoint now);

  /// Silence of the references counts from here until they are heard.
  void expect_references(const AlertRules& rules, TimePoint since);

 private:
  std::vector<Alert> follow_verdict(const AlertRules& rules, AlertKind kind,
                                    RegisterVerdict verdict, const Emitter& emitter,
                                    const RegisterMatch& match);
  std::vector<Alert> follow_area(const AlertRule& rule, const WatchedArea& area,
                                 const Emitter& emitter);
  std::vector<Alert> hear_reference(const Emitter& emitter, const RegisterMatch& match);
  std::vector<Alert> forget(const EmitterEvent& event);

  EventBook& book_;
  Watched watched_;
  std::map<std::string, TimePoint> references_;  // by licence: last heard
};

}  // namespace fixwright::alert
