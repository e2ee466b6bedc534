#include "server/tools/register_command.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <optional>
#include <sstream>
#include <stdexcept>
#include <vector>

namespace fixwright::tools {
namespace {

using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr const char* kHeader = "id,latitude,longitude,frequency_hz\n";

struct Outcome {
  int exit_code = -1;
  std::optional<std::vector<Licence>> written;
  std::string out;
  std::string err;
};

Outcome import(const std::string& text, RegisterImportOptions options = {}) {
  Outcome o;
  std::istringstream in{text};
  std::ostringstream out;
  std::ostringstream err;
  const LicenceSink sink = [&](std::span<const Licence> licences) {
    o.written.emplace(licences.begin(), licences.end());
  };
  o.exit_code = run_register_import(in, "licences.csv", options, sink, out, err);
  o.out = out.str();
  o.err = err.str();
  return o;
}

TEST(RegisterImport, GoodFileReplacesTheRegister) {
  const auto o = import(std::string{kHeader} + "OSM-1,41,-150,150e6\nOSM-2,41.1,-150.1,151e6\n");
  EXPECT_EQ(o.exit_code, 0);
  ASSERT_TRUE(o.written.has_value());
  EXPECT_EQ(o.written->size(), 2U);
  EXPECT_THAT(o.out,
              HasSubstr("licences.csv: 2 licences, 0 rows refused; the register was replaced"));
  EXPECT_THAT(o.err, IsEmpty());
}

TEST(RegisterImport, OneRefusedRowWritesNothingUnlessAskedTo) {
  const std::string text = std::string{kHeader} + "OSM-1,91,-150,150e6\nOSM-2,41,-150,151e6\n";
  const auto held = import(text);
  EXPECT_EQ(held.exit_code, 1);
  EXPECT_FALSE(held.written.has_value());
  EXPECT_THAT(held.err, HasSubstr("licences.csv:2: latitude = \"91\": must be a number"));
  EXPECT_THAT(held.err, HasSubstr("1 licences, 1 rows refused; nothing was written"));

  RegisterImportOptions options;
  options.skip_refused = true;
  const auto rest = import(text, options);
  EXPECT_EQ(rest.exit_code, 1);
  ASSERT_TRUE(rest.written.has_value());
  EXPECT_EQ(rest.written->front().id, "OSM-2");
}

TEST(RegisterImport, DryRunReadsAllAndWritesNothing) {
  RegisterImportOptions options;
  options.dry_run = true;
  const auto o = import(std::string{kHeader} + "OSM-1,41,-150,150e6\n", options);
  EXPECT_EQ(o.exit_code, 0);
  EXPECT_FALSE(o.written.has_value());
  EXPECT_THAT(o.out, HasSubstr("1 licences, 0 rows refused; dry run"));
}

TEST(RegisterImport, ThousandBadRowsAreAHundredLinesAndACount) {
  std::string text = kHeader;
  for (int i = 0; i < 1000; ++i) text += "OSM-" + std::to_string(i) + ",91,-150,150e6\n";
  const auto o = import(text);
  EXPECT_EQ(std::ranges::count(o.err, '\n'), 102);
  EXPECT_THAT(o.err, HasSubstr("and 900 more rows\n"));
}

TEST(RegisterImport, HeaderOrDatabaseThatCannotBeUsedIsExitTwo) {
  EXPECT_EQ(import("id,latitude\n1,2\n").exit_code, 2);

  std::istringstream in{std::string{kHeader} + "OSM-1,41,-150,150e6\n"};
  std::ostringstream out;
  std::ostringstream err;
  const LicenceSink away = [](std::span<const Licence>) {
    throw std::runtime_error("lost the database");
  };
  EXPECT_EQ(run_register_import(in, "licences.csv", {}, away, out, err), 2);
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
