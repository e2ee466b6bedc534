#include "server/register/difference.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/register/simulated_register.hpp"

namespace fixwright::register_ {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

Licence row(const std::string& id, double frequency_hz = 150e6) {
  return testing::licence_at(id, testing::kOsmere, frequency_hz);
}

std::vector<std::string> ids(const std::vector<Licence>& licences) {
  std::vector<std::string> out;
  for (const Licence& l : licences) out.push_back(l.id);
  return out;
}

TEST(RegisterDifference, EveryEntryIsAddedChangedEndedOrUnchanged) {
  const auto d = difference({row("SAME"), row("MOVED"), row("GONE")},
                            {row("NEW"), row("MOVED", 151e6), row("SAME")});
  EXPECT_THAT(ids(d.added), ElementsAre("NEW"));
  ASSERT_EQ(d.changed.size(), 1U);
  EXPECT_EQ(d.changed[0].before.frequency_hz, 150e6);
  EXPECT_EQ(d.changed[0].after.frequency_hz, 151e6);
  EXPECT_THAT(ids(d.ended), ElementsAre("GONE"));
  EXPECT_EQ(d.unchanged, 1U);
}

TEST(RegisterDifference, RefusedRowsEntryStaysAsItIs) {
  const auto d = difference({row("A"), row("B")}, {row("A")}, {"B"});
  EXPECT_THAT(d.ended, IsEmpty());
  EXPECT_EQ(d.unchanged, 2U);
}

TEST(RegisterDifference, FileThatEndsAFifthOfTheRegisterIsSuspected) {
  std::vector<Licence> before;
  for (int i = 0; i < 100; ++i) before.push_back(row(std::to_string(i)));
  const std::vector<Licence> most{before.begin(), before.begin() + 81};
  const std::vector<Licence> fewer{before.begin(), before.begin() + 80};
  EXPECT_FALSE(ends_too_many(difference(before, most)));
  EXPECT_TRUE(ends_too_many(difference(before, fewer)));
  EXPECT_FALSE(ends_too_many(difference({row("A"), row("B")}, {})));  // a handful may go at once
}

TEST(RegisterDifference, ChangeNamesEachFieldWithItsOldAndItsNewValue) {
  Licence after = row("A", 150.0125e6);
  after.holder = "Harbour Office";
  after.power_w = 25.0;
  after.valid_until = *parse_rfc3339("2032-01-01T00:00:00Z");
  EXPECT_EQ(
      change_text(row("A"), after),
      "holder none -> Harbour Office; frequency_hz 150000000 -> 150012500; power_w none -> 25; "
      "valid_until none -> 2032-01-01T00:00:00Z");
  EXPECT_EQ(change_text(after, after), "");
}

}  // namespace
}  // namespace fixwright::register_
