/// A running server notices an import and a person's word, and judges by them.

#include "server/app/register_watch.hpp"

#include <gtest/gtest.h>

#include <condition_variable>
#include <deque>
#include <mutex>

#include "server/app/result_judge.hpp"
#include "server/store/result_writer.hpp"
#include "tests/db/samples.hpp"

namespace fixwright::test {
namespace {

/// What the watch told, one by one.
class Told {
 public:
  void add(app::KnownRegister known) {
    const std::lock_guard lock(mutex_);
    known_.push_back(std::move(known));
    changed_.notify_all();
  }
  /// Nothing when none comes within 20 s.
  std::optional<app::KnownRegister> next() {
    std::unique_lock lock(mutex_);
    if (!changed_.wait_for(lock, std::chrono::seconds{20}, [&] { return !known_.empty(); })) {
      return std::nullopt;
    }
    auto known = std::move(known_.front());
    known_.pop_front();
    return known;
  }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<app::KnownRegister> known_;
};

Licence here(const Emitter& e) {
  Licence l;
  l.id = "OSM-12";
  l.position = e.fix.position;
  l.position_sigma_m = 50.0;
  l.frequency_hz = e.frequency_hz;
  return l;
}

TEST(RegisterWatch, ImportsAndPeoplesWordsReachTheJudgeWithinSeconds) {
  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::RegisterBook book{pool};
  const Emitter e = sample_emitter(12, 5);
  store::ResultBatch batch;
  batch.emitters = {e};
  store::ResultWriter(pool).write(batch);

  auto known = app::load_register(pool, {});
  app::ResultJudge judge{register_::RegisterDecisions{known.licences},
                         alert::AlertEngine{{}, [](StationId) { return "A"; }}};
  Told told;
  const app::RegisterWatch watch{
      pool, {}, known.state, [&](app::KnownRegister k) { told.add(std::move(k)); }};
  app::PipelineOutput heard;
  heard.emitters = {e};
  judge.judge(heard);
  EXPECT_EQ(judge.match(e.key)->verdict, RegisterVerdict::undecided);  // an empty register

  RegisterDifference added;
  added.added = {here(e)};
  book.import(added, {}, 0);
  auto first = told.next();
  ASSERT_TRUE(first.has_value());
  judge.replace_register(std::move(*first));
  EXPECT_EQ(judge.judge({}).matches.size(), 1U);  // without its being heard again
  EXPECT_EQ(judge.match(e.key)->verdict, RegisterVerdict::registered);

  RegisterOpinion word;
  word.emitter = e.key;
  word.verdict = RegisterVerdict::unregistered;
  word.note = "its holder was on the air elsewhere";
  word.by = "night watch";
  ASSERT_TRUE(book.decide(word).ok());
  auto second = told.next();
  ASSERT_TRUE(second.has_value());
  judge.replace_register(std::move(*second));
  judge.judge(heard);
  EXPECT_EQ(judge.match(e.key)->verdict, RegisterVerdict::unregistered);
}

TEST(RegisterWatch, EntryThatAnImportEndedIsOutOfValidityFromThenOn) {
  ScratchDatabase database;
  store::Database pool{{database.writer(), 2, std::chrono::seconds(5)}};
  store::RegisterBook book{pool};
  Emitter e = sample_emitter(12, 5);
  RegisterDifference d;
  d.added = {here(e)};
  book.import(d, {}, 0);
  RegisterDifference gone;
  gone.ended = {here(e)};
  book.import(gone, {}, 1);
  const auto known = app::load_register(pool, {});
  e.last_heard = *book.versions("OSM-12").at(0).until_at + std::chrono::minutes{1};
  EXPECT_EQ(known.licences->match(e).verdict, RegisterVerdict::out_of_validity);
}

}  // namespace
}  // namespace fixwright::test
