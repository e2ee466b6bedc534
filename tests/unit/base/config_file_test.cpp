/// Files that are no configuration at all are refused with one line; none ends the program.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "server/base/config.hpp"

namespace fixwright {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

std::string refusal_of(std::string_view toml) {
  const auto file = ConfigFile::from_text(toml, "server.toml");
  EXPECT_FALSE(file.ok()) << toml.substr(0, 80);
  const std::string line = file.ok() ? "" : file.error();
  EXPECT_EQ(line.find('\n'), std::string::npos);
  EXPECT_LT(line.size(), 400U);
  return line;
}

/// A file that is gone with the test.
class TemporaryFile {
 public:
  explicit TemporaryFile(std::string_view bytes)
      : path_(testing::TempDir() + "fixwright_config_" +
              testing::UnitTest::GetInstance()->current_test_info()->name() + ".toml") {
    std::ofstream{path_, std::ios::binary} << bytes;
  }
  ~TemporaryFile() { std::filesystem::remove(path_); }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

TEST(ConfigFile, SyntaxErrorIsToldWithLineAndColumn) {
  EXPECT_THAT(refusal_of("a = 1\nb = = 2\n"), StartsWith("server.toml:2: column 5: "));
  EXPECT_THAT(refusal_of("a = 1\nb\n"), StartsWith("server.toml:2: column "));
  EXPECT_THAT(refusal_of("a = \"never closed\n"), StartsWith("server.toml:1: column "));
}

TEST(ConfigFile, KeyGivenTwiceIsToldAtItsSecondPlace) {
  EXPECT_THAT(refusal_of("a = 1\nb = 2\na = 3\n"), StartsWith("server.toml:3: column "));
  EXPECT_THAT(refusal_of("[t]\nx = 1\n[t]\ny = 2\n"), StartsWith("server.toml:3: column "));
}

TEST(ConfigFile, OtherEncodingsAreRefusedAtTheirPlace) {
  EXPECT_THAT(refusal_of("x = 1\na = \"D\xFC"
                         "ne\"\n"),
              StartsWith("server.toml:2: column "));
  EXPECT_THAT(refusal_of(std::string_view{"\xff\xfe"
                                          "a\0 \0=\0 \0"
                                          "1\0",
                                          12}),
              StartsWith("server.toml:1: column 1: "));
  EXPECT_THAT(refusal_of(std::string_view{"a = 1\n\0b = 2", 12}), StartsWith("server.toml:2: "));
}

TEST(ConfigFile, ControlCharactersOfTheFileDoNotReachTheTerminal) {
  EXPECT_THAT(refusal_of("a = \x1b[2J\n"), Not(HasSubstr("\x1b")));
}

TEST(ConfigFile, EndlessNestingIsRefusedAndNoStackRunsOut) {
  std::string dotted = "a";
  for (int i = 0; i < 200'000; ++i) dotted += ".a";
  EXPECT_THAT(refusal_of(dotted + " = 1\n"), HasSubstr("more than 32 parts"));
  EXPECT_THAT(refusal_of("[" + dotted + "]\nx = 1\n"), HasSubstr("more than 32 parts"));
  EXPECT_THAT(refusal_of("x = " + std::string(200'000, '[')), StartsWith("server.toml:1: column"));
}

TEST(ConfigFile, DotsOfCommentsAndListsAreNoNesting) {
  std::string list = "hosts = [";
  for (int i = 0; i < 100; ++i) list += "\"10.0.0.1\", ";
  const auto file = ConfigFile::from_text("# " + std::string(90, '.') + "\n" + list + "]\n", "f");
  ASSERT_TRUE(file.ok()) << file.error();
  EXPECT_EQ(file->root().texts("hosts").size(), 100U);
}

TEST(ConfigFile, FileThatIsNotThereIsToldWithTheSystemsReason) {
  const auto file = ConfigFile::from_path("/nowhere/server.toml");
  ASSERT_FALSE(file.ok());
  EXPECT_EQ(file.error(), "/nowhere/server.toml: can't be read: No such file or directory");
}

TEST(ConfigFile, FolderIsRefused) {
  const auto file = ConfigFile::from_path("/tmp");
  ASSERT_FALSE(file.ok());
  EXPECT_EQ(file.error(), "/tmp: is a folder: give a TOML file");
}

TEST(ConfigFile, FileWithoutEndIsReadOnlyToTheLimit) {
  const auto file = ConfigFile::from_path("/dev/zero");
  ASSERT_FALSE(file.ok());
  EXPECT_THAT(file.error(), HasSubstr("longer than 1048576 bytes"));
}

TEST(ConfigFile, LongestFileAllowedIsReadAndOneByteMoreIsRefused) {
  const std::string comment = "a = 1\n#" + std::string(kMaxConfigBytes - 7, 'x');
  const TemporaryFile fits{comment};
  EXPECT_TRUE(ConfigFile::from_path(fits.path()).ok());
  EXPECT_THAT(refusal_of(comment + "x"), HasSubstr("longer than 1048576 bytes"));
}

TEST(ConfigFile, MessagesNameThePathAsItWasGiven) {
  const TemporaryFile typed{"a = 0\n"};
  const auto file = ConfigFile::from_path(typed.path());
  ASSERT_TRUE(file.ok()) << file.error();
  EXPECT_EQ(file->root().number("a", {.min = 1, .max = 2, .fallback = 1}), 1.0);
  EXPECT_THAT(file->problems(),
              testing::ElementsAre(typed.path().string() + ":1: a = 0: must be 1 to 2"));
}

}  // namespace
}  // namespace fixwright
