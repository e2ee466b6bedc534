/// A running server notices what people decide, and the operator's command decides it.

#include "server/app/decision_watch.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <deque>
#include <sstream>

#include "server/app/decider.hpp"
#include "server/store/decision_book.hpp"
#include "server/tools/emitter_command.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

using testing::HasSubstr;

/// Emitters as those who watch are told of them.
class Told {
 public:
  void add(const EmitterView& view) {
    const std::lock_guard lock(mutex_);
    views_.push_back(view);
    changed_.notify_all();
  }
  /// The next one; nothing when none comes within 20 s.
  std::optional<EmitterView> next() {
    std::unique_lock lock(mutex_);
    if (!changed_.wait_for(lock, std::chrono::seconds{20}, [&] { return !views_.empty(); })) {
      return std::nullopt;
    }
    EmitterView view = views_.front();
    views_.pop_front();
    return view;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<EmitterView> views_;
};

class DecisionWatchTest : public testing::Test {
 protected:
  DecisionWatchTest() {
    store::ResultBatch batch;
    batch.emitters = {sample_emitter(12, 1), sample_emitter(12, 2)};
    store::ResultWriter(pool).write(batch);
    hub.add([this](const EmitterView& view) { told.add(view); });
  }

  app::DecisionWatch start() {
    return app::DecisionWatch(
        {pool, marks, hub, [this](Redirects r) { redirects.push_back(std::move(r)); }});
  }

  /// Runs the command. \return its exit code, both streams in `said`.
  int command(DecisionKind kind, const std::string& name = "",
              std::optional<std::int64_t> undoes = std::nullopt) {
    tools::DecideOptions options;
    options.database = database.writer();
    options.emitter = "12/1";
    options.wish.by = "mara";
    options.wish.kind = kind;
    options.wish.name = name;
    options.wish.undoes = undoes;
    std::ostringstream text;
    const int code = tools::run_decide(options, text, text);
    said = text.str();
    return code;
  }

  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  app::MarksBoard marks;
  std::vector<Redirects> redirects;  // as told; read when the watch has ended
  app::Hub<EmitterView> hub;
  Told told;
  std::string said;
};

TEST_F(DecisionWatchTest, WhoWatchesSeesANameAndItsUndoWithinSeconds) {
  const app::DecisionWatch watch = start();
  ASSERT_EQ(command(DecisionKind::rename, "harbour mast"), 0);
  EXPECT_EQ(said,
            "decision 1: emitter 12/1 is called \"harbour mast\" now; `fixwright emitter undo 1` "
            "takes it back\n");
  const auto renamed = told.next();
  ASSERT_TRUE(renamed);
  EXPECT_EQ(renamed->emitter.key, (EmitterKey{12, 1}));
  EXPECT_EQ(renamed->name, "harbour mast");
  ASSERT_EQ(command(DecisionKind::undo, "", 1), 0);
  EXPECT_EQ(said, "decision 2: emitter 12/1 is as it was before decision 1\n");
  const auto undone = told.next();
  ASSERT_TRUE(undone);
  EXPECT_FALSE(undone->name);
}

TEST_F(DecisionWatchTest, WhatAProgramDecidesIsSeenAsWhatAPersonTypes) {
  const app::DecisionWatch watch = start();
  const SystemClock clock;
  app::Decider decider(pool, clock);
  EmitterDecision wish;
  wish.by = "a script of mara's";
  wish.kind = DecisionKind::rename;
  wish.emitter = {12, 1};
  wish.name = "harbour mast";
  const auto kept = decider.decide(wish);
  ASSERT_TRUE(kept) << kept.error();
  const auto named = told.next();
  ASSERT_TRUE(named);
  EXPECT_EQ(named->name, "harbour mast");
  EXPECT_FALSE(decider.decide(wish)) << "it changes nothing";
  EXPECT_FALSE(decider.acknowledge_alert("no such alert", "mara"));
}

TEST_F(DecisionWatchTest, MarksStandAfterARestartAndGoWithEachChange) {
  ASSERT_EQ(command(DecisionKind::rename, "harbour mast"), 0);
  ASSERT_EQ(command(DecisionKind::watch), 0);
  const app::DecisionWatch watch = start();
  EmitterView view;
  view.emitter = sample_emitter(12, 1);
  marks.mark(view);
  EXPECT_EQ(view.name, "harbour mast");
  EXPECT_TRUE(view.watched);
  EmitterView other;
  other.emitter = sample_emitter(12, 2);
  marks.mark(other);
  EXPECT_FALSE(other.name);
  EXPECT_FALSE(other.watched);
}

TEST_F(DecisionWatchTest, MergesAreToldAtTheStartAndWhenTheyChange) {
  const auto decide = [&](DecisionKind kind, const std::string& other) {
    tools::DecideOptions options;
    options.database = database.writer();
    options.emitter = "12/2";
    options.other = other;
    options.wish.by = "mara";
    options.wish.kind = kind;
    std::ostringstream text;
    const int code = tools::run_decide(options, text, text);
    said = text.str();
    return code;
  };
  ASSERT_EQ(decide(DecisionKind::merge, "12/1"), 0) << said;
  {
    const app::DecisionWatch watch = start();
    ASSERT_EQ(decide(DecisionKind::split, ""), 0) << said;
    ASSERT_TRUE(told.next());
  }
  EXPECT_THAT(redirects, testing::ElementsAre(Redirects{{{12, 2}, {12, 1}}}, Redirects{}));
  EXPECT_EQ(decide(DecisionKind::merge, "13/1"), 2);
  EXPECT_THAT(said, HasSubstr("emitters 12/2 and 13/1 are on two channels"));
}

TEST_F(DecisionWatchTest, CommandSaysInOneLineWhyNot) {
  EXPECT_EQ(command(DecisionKind::unwatch), 1);
  EXPECT_EQ(said, "emitter 12/1 is not watched; nothing was decided\n");
  tools::DecideOptions options;
  options.emitter = "harbour";
  std::ostringstream out;
  std::ostringstream err;
  EXPECT_EQ(tools::run_decide(options, out, err), 2);
  EXPECT_EQ(err.str(),
            "emitter = \"harbour\": must be CHANNEL/ID, as `fixwright emitters` names it\n");
  options.emitter = "12/1";
  err.str("");
  EXPECT_EQ(tools::run_decide(options, out, err), 2);
  EXPECT_EQ(err.str(), "emitter: no database; give --database\n");
  EXPECT_EQ(out.str(), "");
}

TEST_F(DecisionWatchTest, HistoryTellsEventsAndDecisionsInOneOrder) {
  store::ResultBatch batch;
  batch.events = {{{12, 1}, at("2031-05-04T12:00:00Z"), EmitterEventKind::born, "three agree"},
                  {{12, 1}, at("2001-05-04T12:00:00Z"), EmitterEventKind::silent, "not heard"}};
  store::ResultWriter(pool).write(batch);
  ASSERT_EQ(command(DecisionKind::rename, "mast"), 0);
  tools::HistoryOptions options{database.writer(), "12/1"};
  std::ostringstream out;
  std::ostringstream err;
  ASSERT_EQ(tools::run_history(options, out, err), 0) << err.str();
  const std::string text = out.str();
  EXPECT_THAT(text, HasSubstr("rename"));
  EXPECT_THAT(text, HasSubstr("mara  \"mast\""));
  EXPECT_LT(text.find("not heard"), text.find("mara"));
  EXPECT_LT(text.find("not heard"), text.find("three agree"));
  options.emitter = "12/404";
  EXPECT_EQ(tools::run_history(options, out, err), 1);
  EXPECT_THAT(err.str(), HasSubstr("there is no emitter 12/404"));
}

}  // namespace
}  // namespace fixwright::test
