#include "server/web/http/target.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace fixwright::web {
namespace {

using testing::HasSubstr;
using testing::Pair;

TEST(Target, PathAndQueryArePercentDecodedOnce) {
  const auto target = parse_target("/a%20b?name=M%C3%B6we&x=%2541&flag");
  ASSERT_TRUE(target.ok());
  EXPECT_EQ(target->path, "/a b");
  EXPECT_THAT(target->query, testing::ElementsAre(Pair("name", "M\xC3\xB6we"), Pair("x", "%41"),
                                                  Pair("flag", "")));
}

TEST(Target, ClimbingOutOfTheFolderIsRefusedHoweverItIsSpelled) {
  for (const char* spelled : {"/../etc/passwd", "/a/../../b", "/%2e%2e/etc/passwd", "/..%2fetc",
                              "/a/%2E%2E/b", "/.", "/..", "/a/..", "/..\\etc", "/a%5c..%5cb"}) {
    EXPECT_FALSE(parse_target(spelled).ok()) << spelled;
  }
}

TEST(Target, DotsInsideAFileNameAreAllowed) {
  EXPECT_EQ(parse_target("/assets/index..v1.js")->path, "/assets/index..v1.js");
  EXPECT_EQ(parse_target("/.well-known")->path, "/.well-known");
}

TEST(Target, ControlCharactersAreRefused) {
  EXPECT_THAT(parse_target("/a%00b").error(), HasSubstr("control characters"));
  EXPECT_FALSE(parse_target("/a%0d%0aSet-Cookie:x").ok());
}

TEST(Target, BrokenPercentTriplesAreRefused) {
  for (const char* broken : {"/%", "/%4", "/%zz", "/a?b=%", "/a?%=1"}) {
    EXPECT_FALSE(parse_target(broken).ok()) << broken;
  }
}

TEST(Target, OnlyTheOriginFormIsTaken) {
  for (const char* other : {"", "*", "http://127.0.0.1/", "a/b"}) {
    EXPECT_FALSE(parse_target(other).ok()) << other;
  }
}

}  // namespace
}  // namespace fixwright::web
