/// What people decide by gRPC reaches the port whole, and what can't be decided says why.

#include "fixwright/decision/v1/decision.grpc.pb.h"
#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

namespace decision_v1 = fixwright::decision::v1;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class DecisionTest : public RpcTest {
 protected:
  decision_v1::DecideRequest request(decision_v1::DecisionKind kind) {
    decision_v1::DecideRequest r;
    r.set_by("mara");
    r.set_kind(kind);
    r.set_channel_id(12);
    r.set_emitter_id(5);
    return r;
  }
  grpc::Status decide(const decision_v1::DecideRequest& r) {
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    return stub().Decide(&context, r, &response);
  }
  grpc::Status acknowledge(const std::string& id, const std::string& by) {
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    decision_v1::AcknowledgeAlertRequest r;
    r.set_alert_id(id);
    r.set_by(by);
    decision_v1::AcknowledgeAlertResponse nothing;
    return stub().AcknowledgeAlert(&context, r, &nothing);
  }

  decision_v1::DecideResponse response;

 private:
  decision_v1::DecisionService::Stub& stub() {
    if (!stub_) stub_ = decision_v1::DecisionService::NewStub(channel());
    return *stub_;
  }
  std::unique_ptr<decision_v1::DecisionService::Stub> stub_;
};

TEST_F(DecisionTest, ARenameComesWholeAndIsNumbered) {
  auto r = request(decision_v1::DECISION_KIND_RENAME);
  r.set_name("harbour mast");
  r.set_note("red light");
  ASSERT_TRUE(decide(r).ok());
  ASSERT_EQ(decisions.decided.size(), 1U);
  const EmitterDecision& d = decisions.decided[0];
  EXPECT_EQ(d.by, "mara");
  EXPECT_EQ(d.kind, DecisionKind::rename);
  EXPECT_EQ(d.emitter, (EmitterKey{12, 5}));
  EXPECT_EQ(d.name, "harbour mast");
  EXPECT_EQ(d.note, "red light");
  EXPECT_FALSE(d.other);
  EXPECT_FALSE(d.undoes);
  EXPECT_EQ(response.decision_id(), 1);
  EXPECT_EQ(response.emitter_id(), 5);
  EXPECT_EQ(response.decided_at().seconds(), 1'900'000'000);
}

TEST_F(DecisionTest, EveryKindHasItsOwn) {
  for (int i = 0; i <= static_cast<int>(DecisionKind::undo); ++i) {
    const auto kind = static_cast<DecisionKind>(i);
    const auto sent = static_cast<decision_v1::DecisionKind>(i + 1);
    // DECISION_KIND_RENAME is "rename".
    std::string word = DecisionKind_Name(sent).substr(std::string("DECISION_KIND_").size());
    for (char& c : word) c = static_cast<char>(std::tolower(c));
    EXPECT_EQ(word, to_string(kind));
    auto r = request(sent);
    r.set_other_emitter_id(6);
    r.set_undoes(3);
    ASSERT_TRUE(decide(r).ok());
    EXPECT_EQ(decisions.decided.back().kind, kind);
    EXPECT_EQ(decisions.decided.back().other.has_value(), kind == DecisionKind::merge);
    EXPECT_EQ(decisions.decided.back().undoes.has_value(), kind == DecisionKind::undo);
  }
}

TEST_F(DecisionTest, WhoAndWhatMustBeSaid) {
  auto nobody = request(decision_v1::DECISION_KIND_WATCH);
  nobody.set_by("");
  EXPECT_EQ(decide(nobody).error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  nobody.set_by("two\nlines");
  EXPECT_THAT(decide(nobody).error_message(), HasSubstr("must say who, on one line"));
  const grpc::Status unsaid = decide(request(decision_v1::DECISION_KIND_UNSPECIFIED));
  EXPECT_EQ(unsaid.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_EQ(unsaid.error_message(), "kind = 0: must be one of DecisionKind");
  EXPECT_EQ(decide(request(static_cast<decision_v1::DecisionKind>(99))).error_code(),
            grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_THAT(decisions.decided, IsEmpty());
}

TEST_F(DecisionTest, WhatCanNotBeDecidedSaysWhyAndADatabaseThatIsAwayToo) {
  decisions.refusal = "there is no emitter 12/5; nothing was decided";
  const grpc::Status refused = decide(request(decision_v1::DECISION_KIND_WATCH));
  EXPECT_EQ(refused.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  EXPECT_EQ(refused.error_message(), decisions.refusal);
  decisions.away = true;
  EXPECT_EQ(decide(request(decision_v1::DECISION_KIND_WATCH)).error_code(),
            grpc::StatusCode::UNAVAILABLE);
}

TEST_F(DecisionTest, AnAlertIsAcknowledgedBySomebody) {
  EXPECT_TRUE(acknowledge("open", "mara").ok());
  EXPECT_EQ(acknowledge("gone", "mara").error_code(), grpc::StatusCode::NOT_FOUND);
  EXPECT_EQ(acknowledge("open", "").error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_THAT(decisions.acknowledged, ElementsAre("open by mara", "gone by mara"));
}

}  // namespace
}  // namespace fixwright::rpc
