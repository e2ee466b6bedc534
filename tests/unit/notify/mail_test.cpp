#include "server/notify/mail.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <fstream>

#include "server/notify/secret.hpp"
#include "tests/support/receivers/receivers.hpp"
#include "tests/unit/notify/samples.hpp"

namespace fixwright::notify {
namespace {

using namespace testing;
using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using ::testing::StartsWith;

MailRoute route_to(const std::string& server) {
  MailRoute route;
  route.server = server;
  route.starttls = false;  // the receiver on loopback has no certificate
  route.from = "fixwright@osmere.example";
  route.to = {"duty@osmere.example", "chair@osmere.example"};
  route.subject = *Template::parse(kUsualSubject);
  route.text = *Template::parse(kUsualText);
  return route;
}

TEST(Mail, ComesWithItsHeadersAndItsText) {
  const test::Receivers receivers;
  const auto fault = send_mail(route_to(receivers.mail_url()), one(unregistered()), around());
  EXPECT_FALSE(fault) << *fault;
  const auto mails = receivers.mails();
  ASSERT_EQ(mails.size(), 1U);
  EXPECT_THAT(
      mails[0],
      AllOf(HasSubstr("Date: Sun, 4 May 2031 12:00:05 +0000\r\n"),
            HasSubstr("From: <fixwright@osmere.example>\r\n"),
            HasSubstr("To: <duty@osmere.example>, <chair@osmere.example>\r\n"),
            HasSubstr("Subject: warning: emitter 12/5 on 156.8000 MHz: not found in the "
                      "register\r\n"),
            HasSubstr("@osmere.example>\r\n"), HasSubstr("Auto-Submitted: auto-generated\r\n"),
            HasSubstr("Content-Type: text/plain; charset=utf-8\r\n"),
            HasSubstr("An ellipse is evidence, never proof of who transmits.")));
}

TEST(Mail, TheSameMessageHasTheSameIdAndAnotherAnother) {
  const test::Receivers receivers;
  const MailRoute route = route_to(receivers.mail_url());
  for (const auto& n : {one(unregistered()), one(unregistered()), one(silent())}) {
    EXPECT_FALSE(send_mail(route, n, around()));
  }
  std::vector<std::string> ids;
  for (const std::string& mail : receivers.mails()) {
    ids.push_back(mail.substr(mail.find("Message-ID:"), 60));
  }
  ASSERT_EQ(ids.size(), 3U);
  EXPECT_EQ(ids[0], ids[1]);
  EXPECT_NE(ids[0], ids[2]);
}

TEST(Mail, SeveralComeAsOneAndAnEscalationSaysSo) {
  const test::Receivers receivers;
  const MailRoute route = route_to(receivers.mail_url());
  Notification both = one(unregistered());
  both.alerts.push_back(silent());
  Notification late = one(silent());
  late.escalated = true;
  EXPECT_FALSE(send_mail(route, both, around()));
  EXPECT_FALSE(send_mail(route, late, around()));
  const auto mails = receivers.mails();
  EXPECT_THAT(mails.at(0), AllOf(HasSubstr("Subject: 2 alerts, the first: warning: "),
                                 HasSubstr("Rule:         station_silent")));
  EXPECT_THAT(mails.at(1), HasSubstr("Subject: nobody has acknowledged this: urgent: "));
}

TEST(Mail, NoTextForgesAHeader) {
  const test::Receivers receivers;
  Alert forged = silent();
  forged.message = "silent\r\nBcc: everybody@osmere.example\r\n\r\nhello";
  EXPECT_FALSE(send_mail(route_to(receivers.mail_url()), one(forged), around()));
  EXPECT_THAT(receivers.mails().at(0), Not(HasSubstr("\nBcc:")));
}

TEST(Mail, ARefusalAndAnEmptyPortAreFailures) {
  const test::Receivers receivers;
  receivers.refuse(451);
  const auto refused = send_mail(route_to(receivers.mail_url()), one(silent()), around());
  ASSERT_TRUE(refused);
  EXPECT_THAT(*refused, HasSubstr("451"));
  EXPECT_TRUE(send_mail(route_to("smtp://127.0.0.1:9"), one(silent()), around()));
  EXPECT_THAT(receivers.mails(), IsEmpty());
}

TEST(Mail, WithoutTlsNothingIsSentWhereItIsAskedFor) {
  const test::Receivers receivers;
  MailRoute route = route_to(receivers.mail_url());
  route.starttls = true;
  EXPECT_TRUE(send_mail(route, one(silent()), around()));
  EXPECT_THAT(receivers.mails(), IsEmpty());
}

TEST(Mail, SubjectsBeyondAsciiAreEncodedWordsOfSeventyFiveAtMost) {
  EXPECT_EQ(encoded_subject("plain"), "plain");
  // As Python's base64.b64encode has it.
  EXPECT_EQ(encoded_subject("Keld J\xc3\xb8rn Simonsen"),
            "=?UTF-8?B?S2VsZCBKw7hybiBTaW1vbnNlbg==?=");
  std::string longer;
  for (int i = 0; i < 60; ++i) longer += "\xc3\xb8";
  const std::string encoded = encoded_subject(longer);
  std::size_t begin = 0;
  int words = 0;
  while (begin < encoded.size()) {
    const std::size_t end = std::min(encoded.find(' ', begin), encoded.size());
    EXPECT_LE(end - begin, 75U);
    EXPECT_THAT(encoded.substr(begin, end - begin), StartsWith("=?UTF-8?B?"));
    begin = end + 1;
    ++words;
  }
  EXPECT_EQ(words, 3);  // 120 bytes, 44 a word
}

TEST(Mail, OnlyAnAddressIsAnAddress) {
  EXPECT_TRUE(is_address("duty@osmere.example"));
  for (const char* bad :
       {"duty", "@osmere.example", "duty@", "a@b@c", "a b@c", "a@b\r\nTo: x", "<a@b>", "a@b,c@d"}) {
    EXPECT_FALSE(is_address(bad)) << bad;
  }
}

TEST(Secret, ComesFromAFileThatNobodyElseMayRead) {
  const std::string path = ::testing::TempDir() + "secret";
  std::ofstream(path) << "shared secret\nmore\n";
  chmod(path.c_str(), 0600);
  ASSERT_TRUE(read_secret(path));
  EXPECT_EQ(*read_secret(path), "shared secret");
  chmod(path.c_str(), 0640);
  EXPECT_EQ(read_secret(path).error(), path + ": others may read it: chmod 600 " + path);
  chmod(path.c_str(), 0600);
  std::ofstream(path) << "\n";
  EXPECT_THAT(read_secret(path).error(), HasSubstr("its first line must be the secret"));
  EXPECT_THAT(read_secret("/no/such/file").error(), HasSubstr("can't be read"));
}

}  // namespace
}  // namespace fixwright::notify
