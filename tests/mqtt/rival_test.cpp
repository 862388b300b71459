/// Another client that uses our id, and a broker that forgets us.

#include "daemon/mqtt/rival.hpp"

#include <thread>

#include <fstream>
#include "daemon/mqtt/session_mark.hpp"

#include "tests/mqtt/listening.hpp"

namespace gyled::mqtt {
namespace {

using End = RivalWatch::End;

constexpr RivalWatch::SteadyTime start{};
constexpr Timestamp noon{std::chrono::hours{12}};

TEST(Rival, TheBrokersWordIsEnough) {
    RivalWatch watch;
    watch.connected(start);
    EXPECT_TRUE(watch.ended(start + 1h, noon, End::taken_over));
    EXPECT_EQ(watch.since(start + 1h), noon);
    watch.connected(start + 1h);
    EXPECT_FALSE(watch.ended(start + 1h + 1s, noon + 1s, End::taken_over)) << "told once";
    EXPECT_EQ(watch.since(start + 1h + 1s), noon);
}

TEST(Rival, WithoutAWordThreeShortLivesInARowAreEnough) {
    RivalWatch watch;
    for (int life = 1; life <= 3; ++life) {
        watch.connected(start + life * 2s);
        EXPECT_EQ(watch.ended(start + life * 2s + 1s, noon, End::unexplained), life == 3) << life;
    }
}

TEST(Rival, ABrokerThatRestartsIsNone) {
    RivalWatch watch;
    for (int life = 1; life <= 10; ++life) {
        watch.connected(start + life * 1min);
        EXPECT_FALSE(watch.ended(start + life * 1min + 30s, noon, End::unexplained));
    }
    for (int life = 1; life <= 10; ++life) {  // "server shutting down"
        watch.connected(start + 1h + life * 2s);
        EXPECT_FALSE(watch.ended(start + 1h + life * 2s + 1s, noon, End::explained));
    }
    for (int life = 1; life <= 10; ++life) {  // one that dies and is away for a while
        watch.connected(start + 2h + life * 5s);
        EXPECT_FALSE(watch.ended(start + 2h + life * 5s + 1s, noon, End::unexplained));
        watch.not_reached();
    }
    EXPECT_FALSE(watch.since(start + 3h));
}

TEST(Rival, IsGoneWhenOurConnectionStands) {
    RivalWatch watch;
    watch.connected(start);
    ASSERT_TRUE(watch.ended(start + 1s, noon, End::taken_over));
    watch.connected(start + 2s);
    EXPECT_TRUE(watch.since(start + 1min));
    EXPECT_FALSE(watch.since(start + 3min));
    EXPECT_TRUE(watch.ended(start + 1h, noon + 1h, End::taken_over)) << "the next episode is news";
}

/// A twin with the same habits: each throws the other out and comes back.
class Twins : public ::testing::TestWithParam<Protocol> {};

TEST_P(Twins, AreToldOfOnceAndBothComeBack) {
    Broker broker;
    broker.start();
    Settings settings = settings_for(broker);
    settings.protocol = GetParam();
    Listening cellar{settings}, twin{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());

    twin.source->start();

    ASSERT_TRUE(cellar.take_until([&] { return cellar.count(ConnectionEvent::Kind::rival) > 0; }))
        << broker.log();
    EXPECT_TRUE(cellar.source->figures().rival_since);
    ASSERT_TRUE(cellar.wait_connected(3));
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::rival), 1U);
}
INSTANTIATE_TEST_SUITE_P(InBothVersions, Twins, ::testing::Values(Protocol::mqtt_5, Protocol::mqtt_3_1_1));

TEST(LostSession, IsToldWhenTheBrokerHasForgottenUs) {
    Broker broker;
    broker.start();
    Settings settings = settings_for(broker);
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), 0U);

    broker.kill();
    for (const char* const file : {"mosquitto.db", "mosquitto.db.new"})
        std::filesystem::remove(broker.folder() / file);
    broker.start();

    ASSERT_TRUE(cellar.wait_connected(2));
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), 1U);
    EXPECT_EQ(cellar.source->figures().sessions_lost, 1U);
}

TEST(LostSession, IsToldOverOurOwnRestartToo) {
    Broker broker;
    broker.start();
    TemporaryFolder folder;
    Settings settings = settings_for(broker);
    settings.spool = folder / "spool";
    for (int life = 1; life <= 3; ++life) {
        Listening cellar{settings};
        cellar.source->start();
        ASSERT_TRUE(cellar.wait_connected());
        EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), life == 3 ? 1U : 0U) << "life " << life;
        cellar.source->stop();
        if (life < 2) continue;
        broker.stop();
        std::filesystem::remove(broker.folder() / "mosquitto.db");
        broker.start();
    }
    settings.client_id = "another-name";  // the person's doing: nothing is lost
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.wait_connected());
    EXPECT_EQ(cellar.count(ConnectionEvent::Kind::session_lost), 0U);
}

TEST(SessionMark, KnowsAfterARestartWhatTheBrokerMayStillSend) {
    TemporaryFolder folder;
    const std::string spool = folder / "spool", identity = "mqtt://127.0.0.1 gyled";
    SessionMark{spool, identity}.set({"cellar/#", "shed/+/gravity"});

    const SessionMark again{spool, identity};
    EXPECT_TRUE(again.stands());
    EXPECT_EQ(again.others_than({"shed/+/gravity", "attic"}), (SessionMark::Filters{"cellar/#"}));
    const SessionMark elsewhere{spool, "mqtt://192.0.2.1 gyled"};
    EXPECT_FALSE(elsewhere.stands());
    EXPECT_TRUE(elsewhere.others_than({}).empty()) << "another broker's session is not ours to change";
}

TEST(SessionMark, OfAnEarlierVersionNamesNoTopics) {
    TemporaryFolder folder;
    std::ofstream{folder / "spool.session"} << "mqtt://127.0.0.1 gyled";
    const SessionMark mark{folder / "spool", "mqtt://127.0.0.1 gyled"};
    EXPECT_TRUE(mark.stands());
    EXPECT_TRUE(mark.others_than({}).empty());
}

TEST(SessionMark, ThatCannotBeWrittenIsNoTrouble) {
    SessionMark mark{"/nowhere at all/spool", "mqtt://127.0.0.1 gyled"};
    EXPECT_FALSE(mark.stands());
    mark.set({"cellar/#"});
    EXPECT_TRUE(mark.stands());
    EXPECT_EQ(mark.others_than({}), (SessionMark::Filters{"cellar/#"}));
}

}  // namespace
}  // namespace gyled::mqtt
