#include "server/store/register_book.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "server/store/reader.hpp"
#include "server/store/result_writer.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

Licence harbour() {
  Licence l{"OSM-12", "Osmere Harbour, \"Pilots\"", "maritime",  {41.2, -150.3}, 30.0, 156.8e6,
            16e3,     at("2030-01-01T00:00:00Z"),   std::nullopt};
  l.power_w = 19.952623149688797;
  l.emission = "16K0F3E";
  return l;
}

Licence light() {
  return {"OSM-7",        "Osmere Light", "fixed",
          {41.1, -150.2}, 100.0,          433.92e6,
          25e3,           std::nullopt,   at("2040-01-01T00:00:00Z")};
}

RegisterDifference adding(std::vector<Licence> licences) {
  RegisterDifference d;
  d.added = std::move(licences);
  return d;
}

class RegisterBookTest : public testing::Test {
 protected:
  RegisterImport import(const RegisterDifference& difference, const std::string& source = "a.csv") {
    RegisterImport note;
    note.source = source;
    note.refused = 3;
    return book.import(difference, note, book.state().imports);
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::RegisterBook book{pool};
};

TEST_F(RegisterBookTest, EntriesComeBackAsTheyWereGivenToTheLastBit) {
  EXPECT_EQ(import(adding({light(), harbour()})).id, 1);
  EXPECT_THAT(book.licences(), ElementsAre(harbour(), light()));
  EXPECT_THAT(book.former(), IsEmpty());
}

TEST_F(RegisterBookTest, ChangedAndEndedVersionsAreKept) {
  import(adding({harbour(), light()}));
  Licence moved = harbour();
  moved.position = {41.25, -150.35};
  RegisterDifference d;
  d.changed = {{harbour(), moved}};
  d.ended = {light()};
  d.unchanged = 0;
  const RegisterImport second = import(d, "b.csv");
  EXPECT_EQ(second.id, 2);
  EXPECT_THAT(book.licences(), ElementsAre(moved));

  const auto harbours = book.versions("OSM-12");
  ASSERT_EQ(harbours.size(), 2U);
  EXPECT_EQ(harbours[0].licence, harbour());
  EXPECT_EQ(harbours[0].from_import, 1);
  EXPECT_EQ(harbours[0].until_import, 2);
  EXPECT_FALSE(harbours[0].ended);
  EXPECT_EQ(harbours[1].licence, moved);
  EXPECT_EQ(harbours[1].from_import, 2);
  EXPECT_FALSE(harbours[1].until_import.has_value());

  const auto former = book.former();
  ASSERT_EQ(former.size(), 1U);
  EXPECT_EQ(former[0].id, "OSM-7");
  // Valid no longer than to the import that ended it, though its row said 2040.
  EXPECT_EQ(former[0].valid_until, book.versions("OSM-7")[0].until_at);
}

TEST_F(RegisterBookTest, EntryThatComesBackIsNoFormerOne) {
  import(adding({light()}));
  RegisterDifference gone;
  gone.ended = {light()};
  import(gone);
  EXPECT_EQ(book.former().size(), 1U);
  import(adding({light()}));
  EXPECT_THAT(book.former(), IsEmpty());
  ASSERT_EQ(book.versions("OSM-7").size(), 2U);
  EXPECT_TRUE(book.versions("OSM-7")[0].ended);
}

TEST_F(RegisterBookTest, ImportsAreListedNewestFirstWithTheirCounts) {
  import(adding({harbour(), light()}), "first.csv");
  RegisterDifference same;
  same.unchanged = 2;
  import(same, "second.csv");
  const auto imports = book.imports();
  ASSERT_EQ(imports.size(), 2U);
  EXPECT_EQ(imports[0].source, "second.csv");
  EXPECT_EQ(imports[0].unchanged, 2U);
  EXPECT_EQ(imports[1].added, 2U);
  EXPECT_EQ(imports[1].refused, 3U);
}

TEST_F(RegisterBookTest, ImportMadeFromAnOlderStateIsRefusedAndWritesNothing) {
  import(adding({harbour()}));
  try {
    book.import(adding({light()}), {}, 0);
    FAIL() << "was taken";
  } catch (const store::DatabaseRefused& refused) {
    EXPECT_THAT(refused.what(), HasSubstr("import 1 came between"));
  }
  EXPECT_THAT(book.licences(), ElementsAre(harbour()));
}

class RegisterOpinionTest : public RegisterBookTest {
 protected:
  RegisterOpinionTest() {
    import(adding({harbour()}));
    store::ResultBatch batch;
    batch.emitters = {sample_emitter(12, 5)};
    batch.matches = {{{12, 5}, RegisterVerdict::unregistered, 0.97, std::nullopt, std::nullopt}};
    store::ResultWriter(pool).write(batch);
  }
  static RegisterOpinion wish() {
    RegisterOpinion o;
    o.emitter = {12, 5};
    o.verdict = RegisterVerdict::registered;
    o.licence = "OSM-12";
    o.note = "moved to the new mast, seen by eye";
    o.by = "night watch";
    return o;
  }
  std::string complaint_of(const RegisterOpinion& o) {
    const auto decided = book.decide(o);
    return decided.ok() ? "decided" : decided.error();
  }
};

TEST_F(RegisterOpinionTest, PersonsWordIsKeptAndShownAtOnce) {
  const auto before = book.state();
  ASSERT_TRUE(book.decide(wish()).ok());
  EXPECT_FALSE(book.state() == before);
  const auto opinions = book.opinions();
  ASSERT_EQ(opinions.size(), 1U);
  EXPECT_EQ(opinions[0].verdict, RegisterVerdict::registered);
  EXPECT_EQ(opinions[0].licence, "OSM-12");
  const auto view = store::Reader{pool}.emitter({12, 5});
  ASSERT_TRUE(view && view->match);
  EXPECT_EQ(view->match->verdict, RegisterVerdict::registered);
  EXPECT_EQ(view->match->licence, "OSM-12");
  EXPECT_EQ(view->match->evidence, "night watch decided: moved to the new mast, seen by eye");
  EXPECT_NEAR(*view->match->distance_m, 0.0, 1e-6);  // the sample stands at the harbour's place
}

TEST_F(RegisterOpinionTest, LatestWordCountsAndMayGiveItBackToTheRegister) {
  ASSERT_TRUE(book.decide(wish()).ok());
  RegisterOpinion back = wish();
  back.verdict.reset();
  ASSERT_TRUE(book.decide(back).ok());
  EXPECT_THAT(book.opinions(), IsEmpty());
  EXPECT_THAT(
      rows(database.reader(), "SELECT opinion, verdict FROM register_opinion_list ORDER BY 1"),
      ElementsAre("1|registered", "2|"));
}

TEST_F(RegisterOpinionTest, EachMistakeIsOneLineAndDecidesNothing) {
  RegisterOpinion o = wish();
  o.note = "";
  EXPECT_THAT(complaint_of(o), HasSubstr("give --note"));
  o = wish();
  o.by = "";
  EXPECT_THAT(complaint_of(o), HasSubstr("say who"));
  o = wish();
  o.note = "two\nlines";
  EXPECT_THAT(complaint_of(o), HasSubstr("must be one line"));
  o = wish();
  o.emitter = {12, 404};
  EXPECT_THAT(complaint_of(o), HasSubstr("there is no emitter 12/404"));
  o = wish();
  o.licence = "OSM-404";
  EXPECT_THAT(complaint_of(o), HasSubstr("there is no entry OSM-404 in the register"));
  EXPECT_THAT(book.opinions(), IsEmpty());
}

}  // namespace
}  // namespace fixwright::test
