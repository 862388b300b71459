/// An alarm must reach somebody: relays that refuse, login pages that say 200, quotas, and a pressure that
/// goes on rising after somebody has looked.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/integration/house.hpp"
#include "tests/support/eventually.hpp"
#include "tests/support/mqtt_peer.hpp"

namespace gyled::integration {
namespace {

using namespace std::chrono_literals;
using testing::eventually;
using ::testing::HasSubstr;

/// The lowest rated part of the house's vessels is good for 180 kPa.
constexpr double limit_kpa = 180;

constexpr const char* south = R"(
[[vessel]]
id = "south"
name = "South"
total_volume_l = 26.0
working_pressure_kpa = 200
relief_pressure_kpa = 180
[[sensor]]
id = "south_pressure"
vessel = "south"
measures = "head_pressure"
topic = "cellar/south/head_pressure"
payload = "json"
pointer = "/kpa"
time = "/ts"
unit = "kPa"
)";

/// A house with its daemon up and a hand on its pressures.
class Watched {
public:
    explicit Watched(const std::string& more_configuration = {}) : house{more_configuration} {
        house.start_daemon();
        house.await_subscription();
        sensor = std::make_unique<testing::MqttPeer>(house.broker.url(), "sensor");
    }
    void reads(double percent, const std::string& vessel = "north") {
        sensor->publish("cellar/" + vessel + "/head_pressure",
                        document("kpa", limit_kpa * percent / 100, wall_clock()));
    }
    /// Messages that came, whatever they were answered, within `patience`.
    [[nodiscard]] bool phone_hears(std::size_t messages, std::chrono::milliseconds patience = 10s) const {
        return eventually([&] { return house.phone.heard().size() >= messages; }, patience);
    }
    [[nodiscard]] Json message(std::size_t n) const { return Json::parse(house.phone.heard().at(n).body); }
    [[nodiscard]] bool logged(const std::string& words) const {
        return eventually([&] { return house.daemon_log().find(words) != std::string::npos; }, 10s);
    }

    House house;
    std::unique_ptr<testing::MqttPeer> sensor;
};

TEST(Faults, AnAcknowledgedPressureThatGoesOnRisingRingsAgainAndShowsWhereItStands) {
    Watched cellar;
    cellar.reads(95.5);
    ASSERT_TRUE(cellar.phone_hears(1)) << cellar.house.daemon_log();

    std::size_t rung = 1;
    for (const double percent : {103.0, 119.0, 144.0, 189.5}) {
        const Json standing = cellar.house.get("/api/vessels/north").at("alarms").at(0);
        ASSERT_EQ(cellar.house.gyle({"alarms", "--acknowledge", standing.at("alarm")}).code, 0);
        cellar.reads(percent);
        EXPECT_TRUE(cellar.phone_hears(++rung)) << percent << cellar.house.daemon_log();
    }

    EXPECT_EQ(cellar.message(rung - 1).at("priority"), 5) << "as loud as the relay can";
    const Ran status = cellar.house.gyle({"status"});
    EXPECT_THAT(status.said, HasSubstr("Head pressure is 3.41 bar"));
    EXPECT_THAT(status.said, HasSubstr("It was 1.72 bar when raised"));
}

TEST(Faults, ARelayThatAnswers404IsTriedAgain) {
    Watched cellar;
    cellar.house.phone.will({{.status = 404}});
    cellar.reads(96);

    EXPECT_TRUE(cellar.phone_hears(2)) << cellar.house.daemon_log();
    EXPECT_TRUE(cellar.logged("delivered to phone (attempt 2)")) << cellar.house.daemon_log();
}

TEST(Faults, ALoginPageThatAnswers200IsNoDelivery) {
    Watched cellar;
    cellar.house.phone.will({{.body = "<html>Sign in to go on</html>", .content_type = "text/html"}});
    cellar.reads(96);

    EXPECT_TRUE(cellar.phone_hears(2)) << cellar.house.daemon_log();
    EXPECT_TRUE(cellar.logged("delivered to phone (attempt 2)")) << cellar.house.daemon_log();
    EXPECT_THAT(cellar.house.daemon_log(), HasSubstr("perhaps a network's login page"));
}

/// A second receiver, which hears what is high or critical.
std::string logbook_at(const notify::Receiver& receiver) {
    return "[[messenger]]\nkind = \"webhook\"\nname = \"logbook\"\nat_least = \"high\"\nurl = \"" +
           receiver.url() + "\"\n";
}

TEST(Faults, AMessengerThatDoesNotGetThroughIsToldInHealthAndByTheOther) {
    notify::Receiver logbook;
    Watched cellar{logbook_at(logbook)};
    cellar.house.phone.will(std::vector<notify::Answer>(100, {.status = 404}));
    cellar.reads(96);

    const auto failing = [&] {
        const Json health = cellar.house.get("/health");
        if (health.is_object())
            for (const Json& one : health.at("impairments"))
                if (one.at("name") == "delivery_failing") return one;
        return Json{};
    };
    ASSERT_TRUE(eventually([&] { return failing().is_object(); }, 20s)) << cellar.house.daemon_log();
    EXPECT_EQ(failing().at("subject"), "phone");
    EXPECT_THAT(failing().at("text").get<std::string>(), HasSubstr("phone is not reached: answered 404"));
    const auto tells = [](const notify::Heard& heard) {
        return heard.body.find("delivery_failing") != std::string::npos;
    };
    EXPECT_TRUE(eventually(
        [&] {
            const auto heard = logbook.heard();
            return std::any_of(heard.begin(), heard.end(), tells);
        },
        5s))
        << cellar.house.daemon_log();
}

/// The daemon dies with a notice that the phone refused; the outbox is edited before the next life begins.
void live_on_with(Watched& cellar, const std::string& outbox_change) {
    ASSERT_TRUE(cellar.logged("phone not reached (attempt 1)")) << cellar.house.daemon_log();
    cellar.house.kill_daemon();
    const Ran changed = run({"/usr/bin/env", "sqlite3", cellar.house.database(),
                             "UPDATE outbox SET " + outbox_change + " WHERE state = 'pending'"},
                            cellar.house.path("out"));
    ASSERT_EQ(changed.code, 0) << changed.said;
    cellar.house.start_daemon();
}

TEST(Faults, ANextTryWrittenByAClockADayAheadIsBroughtBack) {
    Watched cellar;
    cellar.house.phone.will({{.status = 500}});
    cellar.reads(81);
    live_on_with(cellar, "attempts = 4, next_try_ms = (strftime('%s', 'now') + 86400) * 1000");

    EXPECT_TRUE(cellar.phone_hears(2)) << cellar.house.daemon_log();
}

TEST(Faults, AfterThreeAttemptsInVainAnotherMessengerCarriesTheNotice) {
    notify::Receiver logbook;
    Watched cellar{logbook_at(logbook)};
    cellar.house.phone.will(std::vector<notify::Answer>(100, {.status = 500}));
    cellar.reads(81);
    live_on_with(cellar, "attempts = 2, next_try_ms = 0");

    ASSERT_TRUE(eventually([&] { return !logbook.heard().empty(); }, 10s)) << cellar.house.daemon_log();
    EXPECT_THAT(logbook.heard().at(0).body, HasSubstr("pressure_near_limit"));
}

TEST(Faults, ARetryAfterForAMediumNoticeDoesNotHoldBackACriticalOne) {
    Watched cellar{south};
    cellar.house.phone.will({{.status = 429, .headers = {"Retry-After: 3600"}}});
    cellar.reads(81, "south");
    ASSERT_TRUE(cellar.logged("phone not reached (attempt 1)")) << cellar.house.daemon_log();

    cellar.reads(96);

    ASSERT_TRUE(cellar.phone_hears(2)) << cellar.house.daemon_log();
    EXPECT_THAT(cellar.message(1).at("title").get<std::string>(), HasSubstr("North"));
}

}  // namespace
}  // namespace gyled::integration
