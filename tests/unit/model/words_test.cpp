/// One word a thing: the same in log, metrics, proto and SQL.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "server/model/alert.hpp"
#include "server/model/calibration.hpp"
#include "server/model/decision.hpp"
#include "server/model/emitter.hpp"
#include "server/model/fix.hpp"
#include "server/model/licence.hpp"

namespace fixwright {
namespace {

using Words = std::set<std::string>;

// A switch without default: the compiler refuses an enumerator that is not listed here, and the
// walk below refuses one that has no word, or another one.
std::string_view expected(Refusal e) {
  switch (e) {
    case Refusal::none:
      return "none";
    case Refusal::one_station:
      return "one_station";
    case Refusal::no_crossing:
      return "no_crossing";
    case Refusal::poor_geometry:
      return "poor_geometry";
    case Refusal::ambiguous:
      return "ambiguous";
    case Refusal::inconsistent:
      return "inconsistent";
    case Refusal::out_of_range:
      return "out_of_range";
    case Refusal::unbounded:
      return "unbounded";
  }
  return "";
}

std::string_view expected(CalibrationMethod e) {
  switch (e) {
    case CalibrationMethod::reference:
      return "reference";
    case CalibrationMethod::joint:
      return "joint";
  }
  return "";
}

std::string_view expected(CalibrationState e) {
  switch (e) {
    case CalibrationState::proposed:
      return "proposed";
    case CalibrationState::accepted:
      return "accepted";
    case CalibrationState::refused:
      return "refused";
  }
  return "";
}

std::string_view expected(FixGrade e) {
  switch (e) {
    case FixGrade::checked:
      return "checked";
    case FixGrade::unchecked:
      return "unchecked";
    case FixGrade::odd:
      return "odd";
  }
  return "";
}

std::string_view expected(RegionKind e) {
  switch (e) {
    case RegionKind::ellipse:
      return "ellipse";
    case RegionKind::posterior:
      return "posterior";
    case RegionKind::likelihood:
      return "likelihood";
  }
  return "";
}

std::string_view expected(ResultState e) {
  switch (e) {
    case ResultState::provisional:
      return "provisional";
    case ResultState::revised:
      return "revised";
    case ResultState::final:
      return "final";
    case ResultState::withdrawn:
      return "withdrawn";
  }
  return "";
}

std::string_view expected(EmitterState e) {
  switch (e) {
    case EmitterState::tentative:
      return "tentative";
    case EmitterState::confirmed:
      return "confirmed";
    case EmitterState::silent:
      return "silent";
    case EmitterState::retired:
      return "retired";
  }
  return "";
}

std::string_view expected(Motion e) {
  switch (e) {
    case Motion::still:
      return "still";
    case Motion::moving:
      return "moving";
  }
  return "";
}

std::string_view expected(EmitterEventKind e) {
  switch (e) {
    case EmitterEventKind::born:
      return "new";
    case EmitterEventKind::confirmed:
      return "confirmed";
    case EmitterEventKind::moved:
      return "moved";
    case EmitterEventKind::split:
      return "split";
    case EmitterEventKind::merged:
      return "merged";
    case EmitterEventKind::silent:
      return "silent";
    case EmitterEventKind::returned:
      return "returned";
    case EmitterEventKind::retired:
      return "retired";
  }
  return "";
}

std::string_view expected(DecisionKind e) {
  switch (e) {
    case DecisionKind::rename:
      return "rename";
    case DecisionKind::note:
      return "note";
    case DecisionKind::watch:
      return "watch";
    case DecisionKind::unwatch:
      return "unwatch";
    case DecisionKind::merge:
      return "merge";
    case DecisionKind::split:
      return "split";
    case DecisionKind::undo:
      return "undo";
  }
  return "";
}

std::string_view expected(RegisterVerdict e) {
  switch (e) {
    case RegisterVerdict::registered:
      return "registered";
    case RegisterVerdict::unregistered:
      return "unregistered";
    case RegisterVerdict::position_disagrees:
      return "position_disagrees";
    case RegisterVerdict::off_frequency:
      return "off_frequency";
    case RegisterVerdict::out_of_validity:
      return "out_of_validity";
    case RegisterVerdict::undecided:
      return "undecided";
  }
  return "";
}

std::string_view expected(AlertSeverity e) {
  switch (e) {
    case AlertSeverity::notice:
      return "notice";
    case AlertSeverity::warning:
      return "warning";
    case AlertSeverity::urgent:
      return "urgent";
  }
  return "";
}

/// The words of an enumeration, from its first enumerator to its last.
template <typename Enum>
Words words() {
  Words found;
  for (int i = 0; !expected(static_cast<Enum>(i)).empty(); ++i) {
    found.emplace(to_string(static_cast<Enum>(i)));
  }
  return found;
}

template <typename Enum>
class WordsOf : public testing::Test {};
using Enums = testing::Types<Refusal, FixGrade, RegionKind, ResultState, EmitterState, Motion,
                             EmitterEventKind, CalibrationMethod, CalibrationState, DecisionKind,
                             RegisterVerdict, AlertSeverity>;
TYPED_TEST_SUITE(WordsOf, Enums);

TYPED_TEST(WordsOf, EveryEnumeratorHasItsOwnWord) {
  int count = 0;
  for (; !expected(static_cast<TypeParam>(count)).empty(); ++count) {
    EXPECT_EQ(to_string(static_cast<TypeParam>(count)), expected(static_cast<TypeParam>(count)));
  }
  EXPECT_GE(count, 2);
  EXPECT_EQ(words<TypeParam>().size(), static_cast<std::size_t>(count));
}

TYPED_TEST(WordsOf, ValueThatIsNoEnumeratorIsOurBugAndGetsNoWord) {
  int count = 0;
  while (!expected(static_cast<TypeParam>(count)).empty()) ++count;
  EXPECT_THROW((void)to_string(static_cast<TypeParam>(count)), std::out_of_range);
}

// They become labels, column values and names: letters, digits and underscores only.
TYPED_TEST(WordsOf, WordsAreSnakeCase) {
  for (const std::string& word : words<TypeParam>()) {
    EXPECT_TRUE(std::regex_match(word, std::regex{"[a-z][a-z0-9_]*"})) << word;
  }
}

std::string file_text(const std::string& path) {
  std::ifstream file{std::string{FIXWRIGHT_ROOT} + "/" + path};
  EXPECT_TRUE(file.good()) << path;
  return {std::istreambuf_iterator<char>{file}, {}};
}

/// FIX_STATE_REVISED = 2 of an enum FixState gives "revised"; UNSPECIFIED is the wire's own.
Words proto_words(const std::string& proto, const std::string& prefix) {
  Words found;
  const std::regex value{prefix + "_([A-Z_]+) = [0-9]+;"};
  for (std::sregex_iterator i{proto.begin(), proto.end(), value}, end; i != end; ++i) {
    std::string word = (*i)[1];
    for (char& c : word) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    if (word != "unspecified") found.insert(word);
  }
  return found;
}

TEST(Words, OfTheWireAreThoseOfTheModel) {
  const std::string proto = file_text("proto/fixwright/query/v1/query.proto");
  EXPECT_EQ(proto_words(proto, "EMITTER_STATE"), words<EmitterState>());
  EXPECT_EQ(proto_words(proto, "FIX_STATE"), words<ResultState>());
  EXPECT_EQ(proto_words(proto, "MOTION"), words<Motion>());
  EXPECT_EQ(proto_words(proto, "REGISTER_VERDICT"), words<RegisterVerdict>());
  EXPECT_EQ(proto_words(proto, "ALERT_SEVERITY"), words<AlertSeverity>());
}

/// "column IN ('a', 'b')" inside CREATE or ALTER TABLE t gives t.column its words.
std::map<std::string, Words> sql_words(const std::string& sql) {
  std::map<std::string, Words> found;
  const std::regex piece{R"((?:CREATE|ALTER) TABLE (\w+)|(\w+) IN\s*\(([^)]*)\))"};
  const std::regex quoted{"'([^']*)'"};
  std::string table;
  for (std::sregex_iterator i{sql.begin(), sql.end(), piece}, end; i != end; ++i) {
    if ((*i)[1].matched) table = (*i)[1];
    if (!(*i)[2].matched) continue;
    const std::string list = (*i)[3];
    for (std::sregex_iterator w{list.begin(), list.end(), quoted}; w != end; ++w) {
      found[table + "." + (*i)[2].str()].insert((*w)[1]);
    }
  }
  return found;
}

TEST(Words, OfTheDatabasesChecksAreThoseOfTheModel) {
  std::map<std::string, Words> found;
  for (const char* file : {"0004_fixes.sql", "0005_emitters.sql", "0006_register_and_alerts.sql",
                           "0010_register_verdicts.sql"}) {
    for (auto& [column, words] : sql_words(file_text(std::string{"sql/migrations/"} + file))) {
      found[column] = words;  // the last file's check is the one in force
    }
  }
  EXPECT_EQ(found["transmission.state"], words<ResultState>());
  EXPECT_EQ(found["fix.state"], words<ResultState>());
  EXPECT_EQ(found["fix.refusal"], words<Refusal>());
  EXPECT_EQ(found["fix.grade"], words<FixGrade>());
  EXPECT_EQ(found["fix.region_kind"], words<RegionKind>());
  EXPECT_EQ(found["emitter.state"], words<EmitterState>());
  EXPECT_EQ(found["emitter.motion"], words<Motion>());
  EXPECT_EQ(found["emitter.grade"], words<FixGrade>());
  EXPECT_EQ(found["emitter.region_kind"], words<RegionKind>());
  EXPECT_EQ(found["emitter_event.kind"], words<EmitterEventKind>());
  EXPECT_EQ(found["register_match.verdict"], words<RegisterVerdict>());
  EXPECT_EQ(found["alert.severity"], words<AlertSeverity>());
}

}  // namespace
}  // namespace fixwright
