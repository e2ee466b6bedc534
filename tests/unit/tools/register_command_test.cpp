#include "server/tools/register_command.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <optional>
#include <sstream>
#include <stdexcept>
#include <vector>

namespace fixwright::tools {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr const char* kHeader = "id,latitude,longitude,frequency_hz\n";

struct Outcome {
  int exit_code = -1;
  std::optional<RegisterDifference> written;
  RegisterImport note;
  std::string out;
  std::string err;
};

Licence row(const std::string& id, double frequency_hz) {
  Licence l;
  l.id = id;
  l.position = {41.0, -150.0};
  l.position_sigma_m = 100.0;
  l.frequency_hz = frequency_hz;
  return l;
}

Outcome import(const std::string& text, const RegisterImportOptions& options = {},
               const std::vector<Licence>& before = {}) {
  Outcome o;
  std::istringstream in{text};
  std::ostringstream out;
  std::ostringstream err;
  const RegisterTarget target{[&] { return before; },
                              [&](const RegisterDifference& d, const RegisterImport& note) {
                                o.written = d;
                                o.note = note;
                                RegisterImport done = note;
                                done.id = 7;
                                return done;
                              }};
  o.exit_code = run_register_import(in, "licences.csv", options, &target, out, err);
  o.out = out.str();
  o.err = err.str();
  return o;
}

TEST(RegisterImport, GoodFileIsTakenOverAsADifference) {
  const auto o = import(std::string{kHeader} +
                            "OSM-1,41,-150,150e6\nOSM-2,41,-150,151e6\n"
                            "OSM-3,41,-150,153e6\n",
                        {}, {row("OSM-1", 150e6), row("OSM-3", 152e6), row("OSM-4", 154e6)});
  EXPECT_EQ(o.exit_code, 0);
  ASSERT_TRUE(o.written.has_value());
  EXPECT_EQ(o.written->added.size(), 1U);
  EXPECT_EQ(o.written->changed.size(), 1U);
  EXPECT_EQ(o.written->ended.size(), 1U);
  EXPECT_EQ(o.note.source, "licences.csv");
  EXPECT_THAT(o.out, HasSubstr("licences.csv: 3 licences, 0 rows refused; import 7: 1 added, 1 "
                               "changed, 1 ended, 1 unchanged"));
  EXPECT_THAT(o.err, IsEmpty());
}

TEST(RegisterImport, OneRefusedRowWritesNothingUnlessAskedToAndThenEndsNoEntry) {
  const std::string text = std::string{kHeader} + "OSM-1,91,-150,150e6\nOSM-2,41,-150,151e6\n";
  const auto held = import(text);
  EXPECT_EQ(held.exit_code, 1);
  EXPECT_FALSE(held.written.has_value());
  EXPECT_THAT(held.err, HasSubstr("licences.csv:2: latitude = \"91\": must be a number"));
  EXPECT_THAT(held.err, HasSubstr("1 licences, 1 rows refused; nothing was written"));

  RegisterImportOptions options;
  options.skip_refused = true;
  const auto rest = import(text, options, {row("OSM-1", 150e6)});
  EXPECT_EQ(rest.exit_code, 1);
  ASSERT_TRUE(rest.written.has_value());
  EXPECT_EQ(rest.written->added.at(0).id, "OSM-2");
  EXPECT_THAT(rest.written->ended, IsEmpty());
  EXPECT_EQ(rest.note.refused, 1U);
}

TEST(RegisterImport, DryRunShowsCountsSamplesChangesAndWritesNothing) {
  RegisterImportOptions options;
  options.dry_run = true;
  const auto o = import(std::string{kHeader} + "OSM-1,41,-150,150.0125e6\n", options,
                        {row("OSM-1", 150e6), row("OSM-2", 151e6)});
  EXPECT_EQ(o.exit_code, 0);
  EXPECT_FALSE(o.written.has_value());
  EXPECT_THAT(o.out, HasSubstr("1 licences, 0 rows refused; dry run"));
  EXPECT_THAT(o.out, HasSubstr("OSM-1  150.0125 MHz  0 kHz      41.00000 -150.00000  100 m"));
  EXPECT_THAT(o.out, AllOf(HasSubstr("against the register: 0 added, 1 changed, 1 ended"),
                           HasSubstr("changed OSM-1: frequency_hz 150000000 -> 150012500"),
                           HasSubstr("ended OSM-2")));
}

TEST(RegisterImport, ThousandBadRowsAreAHundredLinesAndACountButAllOfThemInADryRun) {
  std::string text = kHeader;
  for (int i = 0; i < 1000; ++i) text += "OSM-" + std::to_string(i) + ",91,-150,150e6\n";
  const auto o = import(text);
  EXPECT_EQ(std::ranges::count(o.err, '\n'), 102);
  EXPECT_THAT(o.err, HasSubstr("and 900 more rows\n"));
  RegisterImportOptions options;
  options.dry_run = true;
  EXPECT_EQ(std::ranges::count(import(text, options).err, '\n'), 1000);
}

TEST(RegisterImport, FileThatEndsMuchOfTheRegisterMustBeMeant) {
  std::vector<Licence> before;
  for (int i = 0; i < 50; ++i) before.push_back(row("OSM-" + std::to_string(i), 150e6));
  const std::string text = std::string{kHeader} + "OSM-1,41,-150,150e6\n";
  const auto held = import(text, {}, before);
  EXPECT_EQ(held.exit_code, 1);
  EXPECT_FALSE(held.written.has_value());
  EXPECT_THAT(held.err,
              HasSubstr("49 ended, 1 unchanged; nothing was written: is the file whole?"));
  RegisterImportOptions options;
  options.end_many = true;
  EXPECT_TRUE(import(text, options, before).written.has_value());
}

TEST(RegisterImport, MappingFileIsReadAndItsMistakesAreExitTwo) {
  const std::string path = ::testing::TempDir() + "/register_command_mapping.toml";
  std::ofstream{path} << "[columns]\nid = \"Call\"\nlatitude = \"Lat\"\nlongitude = \"Lon\"\n"
                         "frequency = \"MHz\"\n[units]\nfrequency = \"MHz\"\n";
  RegisterImportOptions options;
  options.mapping = path;
  options.position_sigma_m = 20.0;
  const auto o = import("MHz,Lon,Lat,Call\n156.8,-150,41,OSM-1\n", options);
  ASSERT_TRUE(o.written.has_value()) << o.err;
  EXPECT_EQ(o.written->added.at(0).frequency_hz, 156.8e6);
  EXPECT_EQ(o.written->added.at(0).position_sigma_m, 20.0);
  options.mapping = "/nowhere/mapping.toml";
  EXPECT_EQ(import("", options).exit_code, 2);
}

TEST(RegisterImport, HeaderOrDatabaseThatCannotBeUsedIsExitTwo) {
  EXPECT_EQ(import("id,latitude\n1,2\n").exit_code, 2);

  std::istringstream in{std::string{kHeader} + "OSM-1,41,-150,150e6\n"};
  std::ostringstream out;
  std::ostringstream err;
  const RegisterTarget away{
      []() -> std::vector<Licence> { throw std::runtime_error("lost the database"); }, {}};
  EXPECT_EQ(run_register_import(in, "licences.csv", {}, &away, out, err), 2);
  EXPECT_EQ(err.str(), "register: nothing was written: lost the database\n");
  EXPECT_THAT(out.str(), IsEmpty());
}

TEST(RegisterImport, NoDatabaseAndNoFileAreToldBeforeAnythingIsDone) {
  std::ostringstream out;
  std::ostringstream err;
  RegisterImportOptions options;
  options.input = "licences.csv";
  EXPECT_EQ(run_register_import(options, out, err), 2);
  EXPECT_THAT(err.str(), HasSubstr("no database; give --database"));
  options.input = "/nowhere/licences.csv";
  options.dry_run = true;
  EXPECT_EQ(run_register_import(options, out, err), 2);
  EXPECT_THAT(err.str(), HasSubstr("/nowhere/licences.csv: cannot be read"));
}

}  // namespace
}  // namespace fixwright::tools
