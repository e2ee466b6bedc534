#include "server/notify/template.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/unit/notify/samples.hpp"

namespace fixwright::notify {
namespace {

using namespace testing;
using ::testing::HasSubstr;
using ::testing::Not;

TEST(Template, PlaceholdersAreFilledIn) {
  const auto t = Template::parse("{severity}: {{{rule}}} at {position}");
  ASSERT_TRUE(t) << t.error();
  EXPECT_EQ(t->fill(fields_of(unregistered(), around())),
            "warning: {new_unregistered_emitter} at 41.25000 -150.50000");
}

TEST(Template, AMistakeIsOneLine) {
  EXPECT_EQ(Template::parse("{severty}").error(), "there is no placeholder {severty}");
  EXPECT_EQ(Template::parse("{severity").error(), "a { without its }");
  EXPECT_EQ(Template::parse("severity}").error(), "a } without its {");
}

TEST(Template, TheUsualTextCarriesTheEvidenceAndTheCaution) {
  const auto t = Template::parse(kUsualText);
  ASSERT_TRUE(t) << t.error();
  EXPECT_EQ(t->fill(fields_of(unregistered(), around())),
            "emitter 12/5 on 156.8000 MHz: not found in the register\n"
            "\n"
            "Severity:     warning\n"
            "Rule:         new_unregistered_emitter\n"
            "Raised:       2031-05-04T12:00:00Z\n"
            "Emitter:      12/5\n"
            "Heard by:     QUILL-POINT, MOSS-RIDGE\n"
            "Position:     41.25000 -150.50000\n"
            "Ellipse:      900 x 300 m, major axis at 30 deg, holds it with 95 %\n"
            "Posterior:    0.970\n"
            "Would change: an entry of the register at this place\n"
            "Look:         https://osmere.example/?emitter=12/5\n"
            "An ellipse is evidence, never proof of who transmits.\n");
}

TEST(Template, WhatAnAlertHasNotIsLeftOut) {
  const auto t = Template::parse(kUsualText);
  const std::string text = t->fill(fields_of(silent(), {around().station_name, ""}));
  EXPECT_THAT(text, HasSubstr("Heard by:     QUILL-POINT\n"));
  for (const char* absent : {"Emitter", "Ellipse", "Posterior", "Look", "proof"}) {
    EXPECT_THAT(text, Not(HasSubstr(absent)));
  }
}

}  // namespace
}  // namespace fixwright::notify
