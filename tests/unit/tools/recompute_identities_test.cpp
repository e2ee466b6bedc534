/// Who is who when history is computed again. The rule is ours: the most bearings in common.

#include "server/tools/recompute_identities.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::tools {
namespace {

using testing::IsEmpty;
using testing::Pair;
using testing::UnorderedElementsAre;

constexpr EmitterKey kA{7, 1000}, kB{7, 1001}, kC{7, 5000};

TEST(RecomputeIdentities, ThoseThatAreTheSameNeedNoOther) {
  EXPECT_THAT(identities_of({{{kA, kA}, 9}, {{kB, kB}, 4}}, {kA, kB}, {kA, kB}), IsEmpty());
}

TEST(RecomputeIdentities, TwoThatChangedPlacesAreChangedBack) {
  const store::SharedBearings shared{{{kA, kB}, 90}, {{kB, kA}, 80}, {{kA, kA}, 3}, {{kB, kB}, 2}};
  EXPECT_THAT(identities_of(shared, {kA, kB}, {kA, kB}),
              UnorderedElementsAre(Pair(kA, kB), Pair(kB, kA)));
}

TEST(RecomputeIdentities, OneBornInAnotherTransmissionIsWhoItWas) {
  EXPECT_THAT(identities_of({{{kC, kA}, 12}}, {kC}, {kA}), UnorderedElementsAre(Pair(kC, kA)));
}

TEST(RecomputeIdentities, OfTwoThatShareOneTheOneWithMoreBearingsIsIt) {
  EXPECT_THAT(identities_of({{{kB, kA}, 12}, {{kC, kA}, 13}}, {kB, kC}, {kA}),
              UnorderedElementsAre(Pair(kC, kA)));
}

TEST(RecomputeIdentities, WithAsManyBearingsTheSameKeyIsIt) {
  EXPECT_THAT(identities_of({{{kA, kC}, 5}, {{kC, kC}, 5}}, {kA, kC}, {kC}), IsEmpty());
}

TEST(RecomputeIdentities, OneWhoseKeyIsAnothersByNowGetsTheNextThatNobodyHas) {
  // kC is kA by its bearings; what is born as kA is new, and kB was another's.
  EXPECT_THAT(identities_of({{{kC, kA}, 12}}, {kA, kC}, {kA, kB}),
              UnorderedElementsAre(Pair(kC, kA), Pair(kA, EmitterKey{7, 1002})));
}

}  // namespace
}  // namespace fixwright::tools
