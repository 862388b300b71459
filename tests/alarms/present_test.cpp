// What stands says how it is now, beside how it was when raised; the record of the raise stays as it was.
#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

TEST(Present, StandsBesideTheRaise) {
    Watcher north;
    (void)north.sees(head_at(172, 2min));
    (void)north.sees(head_at(179, 12min));

    const Occurrence standing = north.panel.standing().at(0);
    EXPECT_EQ(standing.present.value, 179);
    EXPECT_EQ(standing.present.evidence_at, at(12min));
    EXPECT_EQ(standing.present.text,
              "Head pressure is 1.79 bar; the lowest rated part bears 1.80 bar. It was 1.72 bar when "
              "raised at Sun 1 Mar 18:02.");
    EXPECT_THAT(standing.last.text, testing::StartsWith("Head pressure is 1.72 bar;"));
    EXPECT_EQ(standing.last.value, 172);
}

TEST(Present, SaysAlsoWhatIsWithinAgainBeforeItClears) {
    Watcher north;
    (void)north.sees(head_at(172, 2min));
    (void)north.sees(head_at(97, 3min));

    const Occurrence standing = north.panel.standing().at(0);
    EXPECT_EQ(standing.present.text,
              "Head pressure is 0.97 bar. It was 1.72 bar when raised at Sun 1 Mar 18:02.");
}

TEST(Present, RemembersTheRaiseThroughStepsAndAcknowledgement) {
    Watcher north;
    (void)north.sees(head_at(150, 0min));
    (void)north.sees(head_at(175, 1min));
    ASSERT_TRUE(north.panel.acknowledge(north.log[0].alarm, at(2min)));
    (void)north.sees(head_at(176, 3min));

    EXPECT_THAT(north.panel.standing().at(0).present.text,
                testing::EndsWith("It was 1.50 bar when raised at Sun 1 Mar 18:00."));
}

TEST(Present, SaysWhenItWasReadWhileNothingIsHeard) {
    Watcher north;
    (void)north.sees(head_at(172, 2min));
    Situation now = head_at(178, 12min);
    now.at = at(13min);
    now.broker_connected = false;
    (void)north.sees(now);

    EXPECT_THAT(
        north.panel.standing().at(0).present.text,
        testing::EndsWith("bears 1.80 bar. Read at Sun 1 Mar 18:12. It was 1.72 bar when raised at Sun "
                          "1 Mar 18:02."));
}

TEST(Present, StaysAsItWasWhileNobodyKnows) {
    Watcher north;
    (void)north.sees(head_at(172, 0min));
    (void)north.sees(head_at(174, 1min));
    const Present before = north.panel.standing().at(0).present;
    (void)north.sees(head_at(nan, 2min));

    EXPECT_EQ(north.panel.standing().at(0).present, before);
}

TEST(Present, AReturnOnAnOldReadingSaysWhenItWasRead) {
    Watcher north;
    (void)north.sees(head_at(172, 0min));
    Situation now = head_at(97, 5min);
    now.at = at(35min);

    EXPECT_EQ(north.sees(now), Said{"pressure_near_limit cleared"});
    EXPECT_THAT(north.phone.back().text, testing::HasSubstr(" Read at Sun 1 Mar 18:05."));
}

}  // namespace
}  // namespace gyled::alarms
