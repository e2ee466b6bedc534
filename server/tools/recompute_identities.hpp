#pragma once
/// Who is who when history is computed again: names and decisions hang on identities, and an
/// identity comes from the transmission in which an emitter was born. Another calibration may have
/// it born in another one, or with another ordinal, so emitters are known by what was heard of
/// them.

#include <map>
#include <set>
#include <vector>

#include "server/app/pipeline/pipeline.hpp"
#include "server/model/identities.hpp"
#include "server/store/recompute_book.hpp"

namespace fixwright::tools {

/// One emitter of before for each of now: the pair with the most bearings in common first, with as
/// many the one that has the same key. An emitter left over keeps its key, or, if that is another's
/// by now, gets the next one that nobody has.
///
/// \param heard  all emitters of now
/// \param known  all emitters of before
/// \return those that are to be called otherwise than they would be
Identities identities_of(const store::SharedBearings& shared, const std::set<EmitterKey>& heard,
                         const std::set<EmitterKey>& known);

/// What a first playback says of who was heard; nothing is written.
class HeardEmitters {
 public:
  HeardEmitters(store::RecomputeSink& sink, TimePoint since) : sink_(sink), since_(since) {}

  void take(const app::PipelineOutput& output);
  /// The playback is over.
  [[nodiscard]] Identities identities();

 private:
  void add(const Fix& fix);
  void compare();

  store::RecomputeSink& sink_;
  const TimePoint since_;
  std::set<EmitterKey> heard_;
  std::map<FixKey, Fix> open_;  // may still change
  std::vector<store::UsedBearing> used_;
  store::SharedBearings shared_;
};

}  // namespace fixwright::tools
