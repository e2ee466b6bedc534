#include "server/notify/webhook.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "server/notify/signature.hpp"
#include "tests/support/receivers/receivers.hpp"
#include "tests/unit/notify/samples.hpp"

namespace fixwright::notify {
namespace {

using namespace testing;
using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

TEST(Signature, IsTheHmacOfRfc4231) {
  // RFC 4231, sections 4.2, 4.3 and 4.7 (test cases 1, 2 and 6).
  EXPECT_EQ(hmac_sha256(std::string(20, '\x0b'), "Hi There"),
            "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7");
  EXPECT_EQ(hmac_sha256("Jefe", "what do ya want for nothing?"),
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843");
  EXPECT_EQ(hmac_sha256(std::string(131, '\xaa'),
                        "Test Using Larger Than Block-Size Key - Hash Key First"),
            "60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54");
}

TEST(Webhook, ComesWholeAndSigned) {
  const test::Receivers receivers;
  const WebhookRoute route{receivers.web_url(), "shared secret"};
  const auto fault = send_webhook(route, one(unregistered()), around());
  EXPECT_FALSE(fault) << *fault;
  const auto requests = receivers.requests();
  ASSERT_EQ(requests.size(), 1U);
  const json request = json::parse(requests[0]);
  const std::string text = request["body"];
  EXPECT_EQ(request["headers"]["content-type"], "application/json");
  EXPECT_EQ(request["headers"]["idempotency-key"], "raised/duty/new_unregistered_emitter/12/5");
  EXPECT_EQ(request["headers"]["fixwright-signature"],
            "t=1935662405,v1=" + hmac_sha256("shared secret", "1935662405." + text));
  const json body = json::parse(text);
  EXPECT_EQ(body["occasion"], "raised");
  const json& alert = body["alerts"][0];
  EXPECT_EQ(alert["rule"], "new_unregistered_emitter");
  EXPECT_EQ(alert["emitter"], "12/5");
  EXPECT_EQ(alert["link"], "https://osmere.example/?emitter=12/5");
  EXPECT_EQ(alert["evidence"]["stations"], json::array({"QUILL-POINT", "MOSS-RIDGE"}));
  EXPECT_EQ(alert["evidence"]["ellipse"]["semi_major_m"], 900.0);
  EXPECT_EQ(alert["evidence"]["posterior"], 0.97);
  EXPECT_EQ(alert["evidence"]["caution"], kCaution);
}

TEST(Webhook, AnyOtherAnswerIsAFailureAndNoRedirectIsFollowed) {
  const test::Receivers receivers;
  const WebhookRoute route{receivers.web_url(), "shared secret"};
  for (const int status : {302, 404, 500}) {
    receivers.refuse(status);
    const auto fault = send_webhook(route, one(silent()), around());
    ASSERT_TRUE(fault);
    EXPECT_EQ(*fault, receivers.web_url() + ": answered with status " + std::to_string(status));
  }
  EXPECT_THAT(receivers.requests(), IsEmpty());
}

TEST(Webhook, NobodyThereIsAFailure) {
  // Port 9 is discard (RFC 863), which no test machine runs.
  const auto fault = send_webhook({"http://127.0.0.1:9/", "x"}, one(silent()), around());
  ASSERT_TRUE(fault);
  EXPECT_THAT(*fault, HasSubstr("http://127.0.0.1:9/: "));
}

TEST(Webhook, BytesThatAreNotUtf8DoNotStopIt) {
  Alert odd = silent();
  odd.message = "a \xff b\r\nX-Forged: 1";
  const json body = json::parse(webhook_body(one(odd), around()));
  EXPECT_EQ(body["alerts"][0]["message"], "a \xef\xbf\xbd b\r\nX-Forged: 1");
}

}  // namespace
}  // namespace fixwright::notify
