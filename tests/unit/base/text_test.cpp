/// What a peer sends must not forge a line of the log.

#include "server/base/text.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/base/utf8.hpp"

namespace fixwright {
namespace {

TEST(OneLine, OrdinaryTextStaysAsItIs) {
  EXPECT_EQ(one_line("station HILL-1: 5° \\ ü 測 🛰"), "station HILL-1: 5° \\ ü 測 🛰");
}

TEST(OneLine, LineEndsAndTabsAreShown) { EXPECT_EQ(one_line("a\nb\r\nc\td"), "a\\nb\\r\\nc\\td"); }

TEST(OneLine, TerminalControlIsShown) {
  EXPECT_EQ(one_line("\x1b[2J\x7f"), "\\x1B[2J\\x7F");
  EXPECT_EQ(one_line(std::string_view{"a\0b", 3}), "a\\x00b");
  EXPECT_EQ(one_line("\xc2\x9b"), "\\xC2\\x9B");  // U+009B, a control sequence in one byte
}

// U+2028, U+202E and U+2066: separators and marks that move text about.
TEST(OneLine, SeparatorsAndReorderingAreShown) {
  EXPECT_EQ(one_line("\xe2\x80\xa8"), "\\xE2\\x80\\xA8");
  EXPECT_EQ(one_line("\xe2\x80\xae"), "\\xE2\\x80\\xAE");
  EXPECT_EQ(one_line("\xe2\x81\xa6"), "\\xE2\\x81\\xA6");
}

// Overlong and surrogate forms: RFC 3629, sections 3 and 10.
TEST(OneLine, BytesThatAreNotUtf8AreShown) {
  EXPECT_EQ(one_line("\xff"), "\\xFF");
  EXPECT_EQ(one_line("\xc0\x80"), "\\xC0\\x80");
  EXPECT_EQ(one_line("\xed\xa1\x8c"), "\\xED\\xA1\\x8C");
  EXPECT_EQ(one_line("cut \xe6\xb8"), "cut \\xE6\\xB8");
}

TEST(OneLine, LongTextIsCutBetweenCharactersAndSaysSo) {
  EXPECT_EQ(one_line("abcdef", 4), "abcd… (2 more bytes)");
  EXPECT_EQ(one_line("abcdef", 6), "abcdef");
  EXPECT_EQ(one_line("abü", 3), "ab… (2 more bytes)");
  EXPECT_LT(one_line(std::string(10'000'000, 'x')).size(), 4100U);
}

TEST(OneLine, EveryByteBecomesVisibleValidText) {
  for (int byte = 0; byte < 256; ++byte) {
    const std::string shown = one_line(std::string(1, static_cast<char>(byte)));
    EXPECT_TRUE(is_utf8(shown)) << byte;
    EXPECT_EQ(shown.find_first_of("\n\r\x1b"), std::string::npos) << byte;
    EXPECT_FALSE(shown.empty()) << byte;
  }
}

TEST(ValidUtf8, ReplacesOnlyWhatIsNot) {
  EXPECT_EQ(valid_utf8("a\xff ü\n"), "a\xEF\xBF\xBD ü\n");
  EXPECT_TRUE(is_utf8(valid_utf8("\xc3\x28 \xe2\x82 \xf0\x9f")));
}

// kitten and sitting: the usual worked example of Levenshtein's distance.
TEST(EditDistance, CountsInsertionsDeletionsReplacementsAndSwaps) {
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3U);
  EXPECT_EQ(edit_distance("", "abc"), 3U);
  EXPECT_EQ(edit_distance("abc", ""), 3U);
  EXPECT_EQ(edit_distance("same", "same"), 0U);
  EXPECT_EQ(edit_distance("lateness", "latenses"), 1U);
}

}  // namespace
}  // namespace fixwright
