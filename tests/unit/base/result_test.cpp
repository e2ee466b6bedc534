#include "server/base/result.hpp"

#include <gtest/gtest.h>

#include <memory>

namespace fixwright {
namespace {

Result<int> halved(int n) {
  if (n % 2 != 0) return Error{"3: must be even"};
  return n / 2;
}

TEST(Result, HoldsAValueOrOneLineThatSaysWhyNot) {
  EXPECT_TRUE(halved(8).ok());
  EXPECT_EQ(*halved(8), 4);
  EXPECT_FALSE(halved(3));
  EXPECT_EQ(halved(3).error(), "3: must be even");
}

TEST(Result, GivesAwayAValueThatCannotBeCopied) {
  Result<std::unique_ptr<int>> result{std::make_unique<int>(7)};
  const std::unique_ptr<int> owned = std::move(result).value();
  EXPECT_EQ(*owned, 7);
}

// Text is a possible value too: it must not be taken for an error.
TEST(Result, TextIsAValueAndErrorIsNot) {
  const Result<std::string> text{std::string{"fine"}};
  ASSERT_TRUE(text.ok());
  EXPECT_EQ(text->size(), 4U);
}

}  // namespace
}  // namespace fixwright
