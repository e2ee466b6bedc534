/// What people decide about emitters: kept for ever, taken back, refused in one line.

#include "server/store/decision_book.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <future>

#include "server/store/reader.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class DecisionBookTest : public testing::Test {
 protected:
  DecisionBookTest() {
    store::ResultBatch batch;
    batch.emitters = {sample_emitter(12, 1), sample_emitter(12, 2), sample_emitter(13, 3),
                      sample_emitter(12, 4)};
    store::ResultWriter(pool).write(batch);
  }

  static EmitterDecision wish(DecisionKind kind, EmitterKey emitter = {12, 1}) {
    EmitterDecision d;
    d.by = "mara";
    d.kind = kind;
    d.emitter = emitter;
    return d;
  }
  static EmitterDecision rename(const std::string& name) {
    EmitterDecision d = wish(DecisionKind::rename);
    d.name = name;
    return d;
  }
  static EmitterDecision merge(std::int64_t one, std::int64_t other) {
    EmitterDecision d = wish(DecisionKind::merge, {12, one});
    d.other = other;
    return d;
  }
  static EmitterDecision undo(std::int64_t id) {
    EmitterDecision d = wish(DecisionKind::undo, {});
    d.undoes = id;
    return d;
  }
  std::int64_t decide(const EmitterDecision& d) {
    const auto decided = book.decide(d);
    EXPECT_TRUE(decided.ok()) << decided.error();
    return decided->id;
  }
  std::string refusal(const EmitterDecision& d) {
    const auto decided = book.decide(d);
    return decided ? "decided" : decided.error();
  }
  std::optional<std::string> name() { return reader.emitter({12, 1})->name; }
  std::string count() { return value(database.owner(), "SELECT count(*) FROM emitter_decision"); }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 4, std::chrono::seconds(5)}};
  store::DecisionBook book{pool};
  store::Reader reader{pool};
};

TEST_F(DecisionBookTest, NameIsGivenReplacedAndTakenAway) {
  decide(rename("first"));
  decide(rename("second"));
  EXPECT_EQ(name(), "second");
  decide(rename(""));
  EXPECT_FALSE(name());
  EXPECT_EQ(count(), "3");
}

TEST_F(DecisionBookTest, UndoingARenameGivesTheNameBeforeItBack) {
  decide(rename("first"));
  const auto second = decide(rename("second"));
  const auto third = decide(rename("third"));
  decide(undo(second));  // not the latest: the latest goes on standing
  EXPECT_EQ(name(), "third");
  decide(undo(third));
  EXPECT_EQ(name(), "first");
}

TEST_F(DecisionBookTest, WatchIsSeenInReaderAndViewAndIsUndone) {
  const auto watch = decide(wish(DecisionKind::watch));
  EXPECT_TRUE(reader.emitter({12, 1})->watched);
  EXPECT_FALSE(reader.emitter({12, 2})->watched);
  EXPECT_EQ(value(database.reader(), "SELECT emitter_id FROM emitter_latest WHERE watched"), "1");
  decide(undo(watch));
  EXPECT_FALSE(reader.emitter({12, 1})->watched);
  decide(wish(DecisionKind::watch));
  decide(wish(DecisionKind::unwatch));
  EXPECT_FALSE(reader.emitter({12, 1})->watched);
}

TEST_F(DecisionBookTest, EveryNoteIsKeptAndTheLatestIsShown) {
  EmitterDecision note = wish(DecisionKind::note);
  note.note = "mast with a red light";
  decide(note);
  note.note = "the light is off";
  const auto second = decide(note);
  const std::string shown = "SELECT note FROM emitter_latest WHERE emitter_id = 1";
  EXPECT_EQ(value(database.reader(), shown), "the light is off");
  decide(undo(second));
  EXPECT_EQ(value(database.reader(), shown), "mast with a red light");
  EXPECT_THAT(rows(database.reader(),
                   "SELECT kind, note, undone_by FROM emitter_decision_list ORDER BY decision_id"),
              ElementsAre("note|mast with a red light|", "note|the light is off|3", "undo||"));
}

TEST_F(DecisionBookTest, DecisionComesBackAsItWasMade) {
  EmitterDecision made = rename("harbour 'mast'");
  made.note = "seen from the quay";
  const auto id = decide(made);
  const auto undo_id = decide(undo(id));
  const auto all = book.of({12, 1});
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].id, id);
  EXPECT_EQ(all[0].by, "mara");
  EXPECT_EQ(all[0].kind, DecisionKind::rename);
  EXPECT_EQ(all[0].name, made.name);
  EXPECT_EQ(all[0].note, made.note);
  EXPECT_EQ(all[0].undone_by, undo_id);
  EXPECT_EQ(all[1].undoes, id);
  EXPECT_EQ(all[1].emitter, (EmitterKey{12, 1}));
  EXPECT_EQ(book.after(id).size(), 1U);
}

TEST_F(DecisionBookTest, MarksAreWhatStands) {
  decide(rename("mast"));
  decide(wish(DecisionKind::watch, {13, 3}));
  const auto marks = book.marks();
  ASSERT_EQ(marks.size(), 2U);
  EXPECT_EQ(marks.at({12, 1}).name, "mast");
  EXPECT_FALSE(marks.at({12, 1}).watched);
  EXPECT_TRUE(marks.at({13, 3}).watched);
}

TEST_F(DecisionBookTest, WhatCannotBeDecidedIsOneLineAndLeavesNothing) {
  EXPECT_EQ(refusal(wish(DecisionKind::watch, {12, 404})),
            "there is no emitter 12/404: `fixwright emitters` and the view emitter_latest name "
            "those there are; nothing was decided");
  EXPECT_EQ(refusal(wish(DecisionKind::unwatch)),
            "emitter 12/1 is not watched; nothing was decided");
  EXPECT_EQ(refusal(rename("")), "emitter 12/1 has no name; nothing was decided");
  EXPECT_THAT(refusal(undo(7)), HasSubstr("there is no decision 7"));
  EXPECT_THAT(refusal(wish(DecisionKind::note)), HasSubstr("the note is empty"));
  EXPECT_THAT(refusal(rename("a\nb")), HasSubstr("name = \"a\\nb\": must be one line"));
  EXPECT_THAT(refusal(rename("a\xFF")), HasSubstr("must be one line of plain UTF-8 text"));
  EXPECT_THAT(refusal(rename(std::string(201, 'x'))), HasSubstr("name has 201 bytes"));
  EmitterDecision nobody = rename("mast");
  nobody.by = "";
  EXPECT_THAT(refusal(nobody), HasSubstr("nobody decides"));
  EXPECT_EQ(count(), "0");
}

TEST_F(DecisionBookTest, WhatStandsAlreadyOrWasTakenBackIsRefused) {
  const auto id = decide(rename("mast"));
  EXPECT_EQ(refusal(rename("mast")),
            "emitter 12/1 is called \"mast\" already; nothing was decided");
  const auto taken_back = decide(undo(id));
  EXPECT_THAT(refusal(undo(id)), HasSubstr("decision 1 was taken back already, by decision 2"));
  EXPECT_THAT(refusal(undo(taken_back)), HasSubstr("that is final: decide anew"));
  decide(wish(DecisionKind::watch));
  EXPECT_EQ(refusal(wish(DecisionKind::watch)),
            "emitter 12/1 is watched already, by decision 3; nothing was decided");
}

TEST_F(DecisionBookTest, MergeKeepsTheOlderWhicheverIsNamedFirst) {
  const auto decided = book.decide(merge(2, 1));
  ASSERT_TRUE(decided);
  EXPECT_EQ(decided->emitter, (EmitterKey{12, 1}));
  EXPECT_EQ(decided->other, 2);
  EXPECT_THAT(book.redirects(), ElementsAre(std::pair(EmitterKey{12, 2}, EmitterKey{12, 1})));
  EXPECT_EQ(reader.emitter({12, 2})->merged_into, (EmitterKey{12, 1}));
  EXPECT_FALSE(reader.emitter({12, 1})->merged_into);
  EXPECT_EQ(value(database.reader(), "SELECT merged_into FROM emitter_latest WHERE emitter_id = 2"),
            "1");
  EXPECT_THAT(rows(database.reader(), "SELECT emitter_id, kind, evidence FROM emitter_history"),
              ElementsAre("2|merged|mara decided that it is one with emitter 1 (decision 1)"));
}

TEST_F(DecisionBookTest, ChainOfMergesLeadsToTheEldestAndIsTakenApartLinkByLink) {
  decide(merge(4, 2));
  decide(merge(2, 1));
  EXPECT_EQ(book.redirects(), (Redirects{{{12, 2}, {12, 1}}, {{12, 4}, {12, 1}}}));
  EXPECT_EQ(value(database.reader(), "SELECT kept_id FROM emitter_redirect WHERE emitter_id = 4"),
            "1");
  decide(wish(DecisionKind::split, {12, 2}));
  EXPECT_EQ(book.redirects(), (Redirects{{{12, 4}, {12, 2}}}));
  decide(undo(1));
  EXPECT_TRUE(book.redirects().empty());
  EXPECT_THAT(rows(database.reader(),
                   "SELECT emitter_id, kind FROM emitter_history ORDER BY at, emitter_id"),
              ElementsAre("4|merged", "2|merged", "2|split", "4|split"));
}

TEST_F(DecisionBookTest, FixesOfAMergedEmitterAreReadWithTheOneThatStays) {
  store::ResultBatch batch;
  const TimePoint noon = at("2031-05-04T12:00:00Z");
  batch.fixes = {sample_fix(12, noon), sample_fix(12, noon + std::chrono::seconds{1})};
  batch.fixes[0].emitter = EmitterKey{12, 1};
  batch.fixes[1].emitter = EmitterKey{12, 2};
  store::ResultWriter(pool).write(batch);
  EXPECT_EQ(reader.fixes({12, 1}, 10).size(), 1U);
  decide(merge(1, 2));
  EXPECT_EQ(reader.fixes({12, 1}, 10).size(), 2U);
  EXPECT_EQ(reader.fixes({12, 2}, 10).size(), 1U);
}

TEST_F(DecisionBookTest, ImpossibleMergesAndSplitsAreOneLine) {
  EXPECT_EQ(refusal(merge(1, 1)), "emitter 12/1 is one with itself already; nothing was decided");
  EXPECT_THAT(refusal(merge(1, 3)), HasSubstr("there is no emitter 12/3"));
  EXPECT_EQ(refusal(wish(DecisionKind::split)),
            "emitter 12/1 was not merged with another; nothing was decided");
  decide(merge(1, 2));
  EXPECT_EQ(refusal(merge(2, 4)),
            "emitter 12/2 is one with emitter 12/1 already, by decision 1: merge that one, or "
            "split first; nothing was decided");
  decide(merge(1, 4));
  EXPECT_EQ(refusal(wish(DecisionKind::split)),
            "emitter 12/1 was merged with 2 others: split one of those; nothing was decided");
  EXPECT_EQ(count(), "2");
}

TEST_F(DecisionBookTest, NobodyCanChangeOrDeleteWhatWasDecided) {
  decide(rename("mast"));
  EXPECT_THAT(complaint(database.writer(), "UPDATE emitter_decision SET decided_by = 'other'"),
              HasSubstr("permission denied"));
  EXPECT_THAT(complaint(database.writer(), "DELETE FROM emitter_decision"),
              HasSubstr("permission denied"));
}

TEST_F(DecisionBookTest, OfTwoWhoUndoAtOnceOneIsTold) {
  const auto id = decide(rename("mast"));
  const auto attempt = [&] { return store::DecisionBook(pool).decide(undo(id)).ok() ? 1 : 0; };
  auto other = std::async(std::launch::async, attempt);
  const int mine = attempt();
  EXPECT_EQ(mine + other.get(), 1);
  EXPECT_EQ(count(), "2");
}

}  // namespace
}  // namespace fixwright::test
