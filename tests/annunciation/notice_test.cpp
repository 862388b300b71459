#include "daemon/annunciation/notice.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "daemon/base/text.hpp"

namespace gyled::annunciation {
namespace {

using namespace std::chrono_literals;

StageEnd crash_of(const std::string& vessel_name) {
    return {.vessel = "north",
            .vessel_name = vessel_name,
            .batch_name = "Harbour Mild",
            .stage = base::StageKind::crash,
            .index = 3,
            .next = base::StageKind::mash_out,
            .why = "2.0 °C reached",
            .at = base::from_rfc3339("2026-03-01T18:00:00Z").value()};
}

/// Every byte that begins a character is followed by as many as it announces (RFC 3629).
bool is_utf8(const std::string& text) {
    for (std::size_t i = 0; i < text.size();) {
        const auto first = static_cast<unsigned char>(text[i]);
        const std::size_t more = first < 0x80    ? 0
                                 : first >= 0xF0 ? 3
                                 : first >= 0xE0 ? 2
                                 : first >= 0xC0 ? 1
                                                 : 9;
        if (i + more >= text.size() + (more == 0 ? 1 : 0) || more == 9) return false;
        for (std::size_t k = 1; k <= more; ++k)
            if ((static_cast<unsigned char>(text[i + k]) & 0xC0U) != 0x80U) return false;
        i += more + 1;
    }
    return true;
}

TEST(StageEnd, ATitleIsNeverCutInsideACharacter) {
    for (std::size_t length = 1; length < 80; ++length)
        for (const char* letter : {"x", "é", "🍺"}) {
            std::string name;
            for (std::size_t i = 0; i < length; ++i) name += letter;
            const Notice notice = stage_end_notice(crash_of(name), {});
            EXPECT_TRUE(is_utf8(notice.title)) << notice.title;
            EXPECT_LE(base::characters(notice.title), base::title_characters) << notice.title;
            EXPECT_THAT(notice.title, testing::EndsWith(", crash stage: 2.0 °C reached"))
                << "the news is never what is cut off";
        }
}

TEST(StageEnd, SaysWhatComesNextInWordsForPeople) {
    const Notice notice = stage_end_notice(crash_of("North"), {.site = "Harbour cellar", .display = {}});

    EXPECT_EQ(notice.title, "North, crash stage: 2.0 °C reached");
    EXPECT_EQ(notice.text,
              "Crash stage: 2.0 °C reached. Harbour Mild, Harbour cellar, Sun 1 Mar 18:00. Next in the plan: "
              "mash-out. Move on when you are ready: gyle batch next north");
    EXPECT_EQ(notice.kind, Notice::Kind::information);
    EXPECT_EQ(notice.rule, "stage_end");

    StageEnd last = crash_of("North");
    last.next.reset();
    EXPECT_THAT(stage_end_notice(last, {}).text, testing::EndsWith("It was the last stage of the plan."));
}

TEST(Kind, IsReadBackAlsoFromOutboxesOfVersionOne) {
    for (const auto kind :
         {Notice::Kind::raised, Notice::Kind::returned, Notice::Kind::information, Notice::Kind::drill})
        EXPECT_EQ(kind_named(name(kind)), kind);
    EXPECT_EQ(kind_named("over"), Notice::Kind::returned);
    for (const char* nonsense : {"", "Raised", "ring"}) EXPECT_FALSE(kind_named(nonsense)) << nonsense;
}

TEST(Notice, OfARaiseCarriesFirstAidAndOneOfAReturnDoesNot) {
    alarms::Transition step;
    step.alarm = "north/leak_suspected/1";
    step.rule = "leak_suspected";
    step.state = alarms::AlarmState::raised;
    step.text = "It falls.";
    step.at = *base::from_rfc3339("2026-03-01T18:00:00Z");
    EXPECT_THAT(
        notice_of(step).text,
        testing::StartsWith("Open doors or run the fan before you go in: CO2 lies low and has no smell. It "
                            "falls. If you feel dizzy, get out. "));
    const std::string id = notice_of(step).id;
    EXPECT_EQ(notice_of(step).id, id) << "a repeated delivery is the same notice";

    step.state = alarms::AlarmState::normal;
    EXPECT_EQ(notice_of(step).text, "It falls. Sun 1 Mar 18:00.");
    EXPECT_EQ(notice_of(step).kind, Notice::Kind::returned);
    EXPECT_EQ(notice_of(step).thread, step.alarm);
    EXPECT_NE(notice_of(step).id, id);
}

TEST(Notice, SaysBatchSiteAndTimeInThePersonsZone) {
    alarms::Transition step;
    step.rule = "temperature_out_of_band";
    step.state = alarms::AlarmState::normal;
    step.text = "It is back.";
    step.batch = "Harbour Mild";
    step.at = *base::from_rfc3339("2026-07-01T18:00:00Z");
    Letterhead letterhead{.site = "Harbour cellar", .display = {}};
    letterhead.display.time_zone = "Europe/Lisbon";  // an hour ahead of UTC in summer

    EXPECT_EQ(notice_of(step, letterhead).text, "It is back. Harbour Mild, Harbour cellar, Wed 1 Jul 19:00.");
    step.batch.clear();
    EXPECT_EQ(notice_of(step, letterhead).text, "It is back. Harbour cellar, Wed 1 Jul 19:00.");
}

TEST(Notice, SpeaksTheStepsOwnFirstAidBeforeTheRules) {
    alarms::Transition step;
    step.rule = "pressure_near_limit";
    step.state = alarms::AlarmState::raised;
    step.text = "It is 1.75 bar.";
    EXPECT_THAT(notice_of(step).text, testing::StartsWith("Shut the gas and cool the vessel"))
        << "what was recorded before has none";

    step.first_aid = "Keep away. Never block it.";
    EXPECT_THAT(notice_of(step).text, testing::StartsWith("Keep away. It is 1.75 bar. Never block it. "));
}

}  // namespace
}  // namespace gyled::annunciation
