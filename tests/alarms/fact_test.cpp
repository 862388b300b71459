#include "tests/alarms/scene.hpp"

namespace gyled::alarms {
namespace {

using estimation::Fact;
using estimation::FactKind;

Fact seen(FactKind kind, Duration moment) {
    return {.kind = kind,
            .at = at(moment),
            .evidence = "Gravity stayed at 1.011 for 48 h",
            .revoked_because = {}};
}
Fact revoked(Fact fact, Duration moment) {
    fact.revoked = true;
    fact.revoked_at = at(moment);
    fact.revoked_because = "Gravity fell by 0.002 since";
    return fact;
}
Situation knowing(std::vector<Fact> facts, Duration moment) {
    Situation now = fermenting(moment);
    now.facts = std::move(facts);
    return now;
}

TEST(Facts, InformationIsToldOnceAndNeverStands) {
    Watcher north;
    const Fact finished = seen(FactKind::fermentation_finished, 0min);

    EXPECT_EQ(north.sees(knowing({finished}, 0min)), Said{"fermentation_finished raised"});
    for (auto moment = 1h; moment < 300h; moment += 1h)
        EXPECT_EQ(north.sees(knowing({finished}, moment)), Said{});

    EXPECT_EQ(north.closed_at_once, Said{"fermentation_finished"}) << "nothing is left open";
    EXPECT_TRUE(north.panel.standing().empty());
    ASSERT_EQ(north.phone.size(), 1U);
    EXPECT_EQ(north.phone[0].kind, annunciation::Notice::Kind::information);
    EXPECT_EQ(north.phone[0].title, "North: fermentation has finished");
    EXPECT_THAT(north.phone[0].text, testing::StartsWith("Gravity stayed at 1.011 for 48 h."));
}

TEST(Facts, WhatWasTakenBackIsCorrected) {
    Watcher north;
    const Fact finished = seen(FactKind::fermentation_finished, 0min);
    (void)north.sees(knowing({finished}, 0min));

    EXPECT_EQ(north.sees(knowing({revoked(finished, 1h)}, 1h)), Said{"fermentation_finished cleared"});
    EXPECT_EQ(north.phone.back().title, "North: not finished after all");
    EXPECT_EQ(north.phone.back().text,
              "Gravity fell by 0.002 since. Harbour Mild, Harbour cellar, Sun 1 Mar 19:00.");
    EXPECT_EQ(north.phone.back().kind, annunciation::Notice::Kind::information);
}

TEST(Facts, ResumedAfterFinishedRingsOnceForBoth) {
    Watcher north;
    const Fact finished = seen(FactKind::fermentation_finished, 0min);
    const Fact resumed = seen(FactKind::fermentation_resumed, 50h);
    (void)north.sees(knowing({finished}, 0min));

    EXPECT_EQ(north.sees(knowing({revoked(finished, 50h), resumed}, 50h)),
              (Said{"fermentation_resumed raised", "fermentation_finished cleared silently"}));
    EXPECT_EQ(north.phone.back().priority, Priority::high);
    EXPECT_THAT(north.phone.back().text, testing::HasSubstr("never loosen a fitting under pressure"));
    EXPECT_EQ(north.sees(knowing(
                  {revoked(finished, 50h), resumed, seen(FactKind::fermentation_finished, 90h)}, 90h)),
              (Said{"fermentation_resumed cleared", "fermentation_finished raised"}));
}

TEST(Facts, AStallClearsWhenItIsRevokedOrOvertaken) {
    const Fact stalled = seen(FactKind::fermentation_stalled, 0min);
    for (const auto& after :
         {std::vector{revoked(stalled, 2h)}, std::vector{stalled, seen(FactKind::fermentation_resumed, 2h)},
          std::vector{stalled, seen(FactKind::fermentation_finished, 2h)}}) {
        Watcher north;
        ASSERT_EQ(north.sees(knowing({stalled}, 0min)), Said{"fermentation_stalled raised"});
        EXPECT_EQ(north.phone[0].priority, Priority::medium);

        EXPECT_THAT(north.sees(knowing(after, 2h)), testing::Contains("fermentation_stalled cleared"));
    }
}

TEST(Facts, YeastThatDoesNotComeIsToldAndClearsWhenItDoes) {
    Watcher north;
    const Fact overdue = seen(FactKind::fermentation_overdue, 0min);
    EXPECT_EQ(north.sees(knowing({overdue}, 0min)), Said{"fermentation_overdue raised"});
    EXPECT_EQ(north.phone[0].title, "North: fermentation has not begun");
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("take a sample by hand"));

    EXPECT_THAT(north.sees(knowing({revoked(overdue, 5h), seen(FactKind::fermentation_started, 5h)}, 5h)),
                testing::Contains("fermentation_overdue cleared"));
    EXPECT_THAT(north.phone, testing::Contains(testing::Field(&annunciation::Notice::title,
                                                              "North: fermentation has begun after all")));
}

TEST(Facts, AStallIsNotOvertakenByOldOrWithdrawnNews) {
    const Fact stalled = seen(FactKind::fermentation_stalled, 0min);
    for (const auto& other :
         {seen(FactKind::fermentation_resumed, -50h), seen(FactKind::fermentation_finished, -50h),
          revoked(seen(FactKind::fermentation_resumed, 1h), 2h)}) {
        Watcher north;
        EXPECT_THAT(north.sees(knowing({stalled, other}, 3h)),
                    testing::Contains("fermentation_stalled raised"));
    }
}

TEST(Facts, TheNewestOfAKindCounts) {
    Watcher north;
    const Fact before = revoked(seen(FactKind::fermentation_stalled, 0min), 1h);

    EXPECT_EQ(north.sees(knowing({before, seen(FactKind::fermentation_stalled, 5h)}, 5h)),
              Said{"fermentation_stalled raised"});
}

TEST(Facts, ALeakRingsHighAndCarriesTheCaution) {
    Watcher north;

    EXPECT_EQ(north.sees(knowing({seen(FactKind::leak_suspected, 0min)}, 0min)),
              Said{"leak_suspected raised"});
    EXPECT_EQ(north.phone[0].priority, Priority::high);
    EXPECT_THAT(north.phone[0].text, testing::HasSubstr("Open doors or run the fan before you go in"));
}

TEST(Facts, TheEndOfTheBatchEndsAlarmsAndForgetsInformation) {
    Watcher north;
    (void)north.sees(
        knowing({seen(FactKind::fermentation_started, 0min), seen(FactKind::leak_suspected, 0min)}, 0min));

    EXPECT_EQ(north.sees(knowing({}, 1h)), Said{"leak_suspected cleared"});
    EXPECT_TRUE(north.panel.state().occurrences.empty());
    EXPECT_EQ(north.sees(knowing({seen(FactKind::fermentation_started, 2h)}, 2h)),
              Said{"fermentation_started raised"})
        << "of the next batch";
}

TEST(Facts, OldNewsIsRecordedOnly) {
    Watcher north;
    const std::vector facts{seen(FactKind::fermentation_started, -100h), seen(FactKind::carbonated, -2h)};

    EXPECT_EQ(north.sees(knowing(facts, 0min)),
              (Said{"fermentation_started raised silently", "carbonated raised"}))
        << "two hours old is still news";
    EXPECT_EQ(north.sees(knowing(facts, 2min)), Said{});
}

TEST(Facts, WithoutEvidenceTheMomentIsTold) {
    Watcher north;
    Fact bare{.kind = FactKind::carbonated, .at = at(0min), .evidence = {}, .revoked_because = {}};

    (void)north.sees(knowing({bare}, 0min));
    EXPECT_THAT(north.phone.at(0).text, testing::StartsWith("Seen at Sun 1 Mar 18:00."));
    bare.revoked = true;
    (void)north.sees(knowing({bare}, 1h));
    EXPECT_THAT(north.phone.at(1).text, testing::StartsWith("It was so from Sun 1 Mar 18:00 on."));
}

}  // namespace
}  // namespace gyled::alarms
