/// RFC 3629 (F. Yergeau, 2003), section 4 and the examples of section 7.

#include "server/base/utf8.hpp"

#include <gtest/gtest.h>

namespace fixwright {
namespace {

TEST(Utf8, ExamplesOfTheStandardPass) {
  EXPECT_TRUE(is_utf8(""));
  EXPECT_TRUE(is_utf8("A\xE2\x89\xA2\xCE\x91."));
  EXPECT_TRUE(is_utf8("\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4"));
  EXPECT_TRUE(is_utf8("\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E"));
  EXPECT_TRUE(is_utf8("\xEF\xBB\xBF\xF0\xA3\x8E\xB4"));
  EXPECT_TRUE(is_utf8("\xF4\x8F\xBF\xBF"));
}

TEST(Utf8, OverlongSurrogateOutOfRangeAndCutFormsAreRefused) {
  EXPECT_FALSE(is_utf8("\xC0\x80"));
  EXPECT_FALSE(is_utf8("\xE0\x80\x80"));
  EXPECT_FALSE(is_utf8("\xF0\x80\x80\x80"));
  EXPECT_FALSE(is_utf8("\xED\xA0\x80"));
  EXPECT_FALSE(is_utf8("\xF4\x90\x80\x80"));
  EXPECT_FALSE(is_utf8("\xF5\x80\x80\x80"));
  EXPECT_FALSE(is_utf8("\x80"));
  EXPECT_FALSE(is_utf8("\xE2\x89"));
  EXPECT_FALSE(
      is_utf8("\xE2\x89"
              "A"));
}

}  // namespace
}  // namespace fixwright
