#pragma once
/// Decides once an emitter, not once a fix: its fixes share the same bias, so a verdict asked
/// again and again would sooner or later be wrong by chance.

#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "server/model/emitter.hpp"
#include "server/model/register_import.hpp"
#include "server/register/register.hpp"

namespace fixwright::register_ {

class RegisterDecisions {
 public:
  explicit RegisterDecisions(std::shared_ptr<const Register> known);

  /// Call for every change of an emitter, in event order. \return a match when one was made
  /// that says something new; nothing otherwise. An emitter is decided when it is confirmed,
  /// and again when its fix has changed materially (RegisterRules::moved_sigmas, area_factor),
  /// its frequency has left the tolerance, or another UTC day began (licences begin and end).
  /// A retired emitter is forgotten.
  std::optional<RegisterMatch> on_emitter(const Emitter& emitter);

  /// The match in force for an emitter, if any.
  [[nodiscard]] const RegisterMatch* find(EmitterKey key) const;

  /// Takes over a match from the database after a start: the hysteresis goes on from it.
  /// \param emitter  as it is stored with it.
  void restore(const RegisterMatch& match, const Emitter& emitter);

  /// A new register, and people's words on emitters: every emitter is to be decided again. A
  /// person's word stands over the register's, which its evidence goes on to tell; its
  /// probability is 1.
  void replace(std::shared_ptr<const Register> known,
               std::map<EmitterKey, RegisterOpinion> opinions = {});

  /// An emitter with a match that says something new.
  struct News {
    Emitter emitter;  // as it was when it was last decided on
    RegisterMatch match;
  };
  /// After replace(), decides on all again, heard or silent. \return what is new; nothing the
  /// second time.
  std::vector<News> decide_again();

 private:
  struct Decision {
    RegisterMatch match;        // in force
    RegisterMatch by_register;  // without people's words: the hysteresis goes on from it
    Emitter decided_on;         // as it was then
  };
  bool due(const Decision& decision, const Emitter& emitter) const;
  /// \return whether the match says something new.
  bool decide(Decision& decision, const Emitter& emitter);
  /// The register's match, or a person's word over it.
  RegisterMatch in_force(const RegisterMatch& by_register, const Emitter& emitter) const;

  std::shared_ptr<const Register> known_;
  std::map<EmitterKey, RegisterOpinion> opinions_;
  std::map<EmitterKey, Decision> decisions_;
  bool replaced_ = false;  // and not yet decided again
};

}  // namespace fixwright::register_
