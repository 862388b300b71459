/// The API over real sockets: what is asked is answered, through both doors.

#include <gmock/gmock.h>

#include <nlohmann/json.hpp>

#include "daemon/alarms/rules.hpp"
#include "daemon/cli/client.hpp"
#include "tests/web/live_server.hpp"
#include "tests/web/wire.hpp"

namespace gyled::web {
namespace {

using base::Quantity;
using nlohmann::json;
using namespace std::chrono_literals;

enum class Through { tcp, unix_socket };

class Api : public testing::TestWithParam<Through> {
protected:
    Wire connect() {
        return GetParam() == Through::tcp ? Wire::tcp(live.port) : Wire::unix_socket(live.folder.file("s"));
    }
    Answer get(std::string_view target) {
        Wire wire = connect();
        wire.say(request("GET", target));
        return wire.hear();
    }
    Answer tell(std::string_view method, std::string_view target, const json& body = json::object()) {
        Wire wire = connect();
        wire.say(request(method, target, json_headers() + bearer(token), body.dump()));
        return wire.hear();
    }
    Answer post(std::string_view target, const json& body) { return tell("POST", target, body); }
    json read(std::string_view target) {
        const Answer answer = get(target);
        EXPECT_EQ(answer.status, 200) << target << ": " << answer.body;
        return json::parse(answer.body);
    }
    /// The only command that the cellar was told.
    template <class Command>
    Command told() {
        return live.in_loop([this] {
            EXPECT_EQ(live.cellar.commands.size(), 1u);
            return std::get<Command>(live.cellar.commands.at(0));
        });
    }
    /// The newest of several.
    template <class Command>
    Command newest() {
        return live.in_loop([this] { return std::get<Command>(live.cellar.commands.back()); });
    }
    LiveServer live;
};

INSTANTIATE_TEST_SUITE_P(Doors, Api, testing::Values(Through::tcp, Through::unix_socket),
                         [](const auto& door) { return door.param == Through::tcp ? "Tcp" : "UnixSocket"; });

TEST_P(Api, ListsTheVessels) {
    const json all = read("/api/vessels");

    EXPECT_EQ(all["site"], "Harbour cellar");
    EXPECT_EQ(all["at"], "2026-03-13T18:00:00Z");
    ASSERT_EQ(all["vessels"].size(), 2u);
    EXPECT_EQ(all["vessels"][0]["id"], "north");
    EXPECT_EQ(all["vessels"][1]["batch"]["name"], "Breakwater Porter");
}

TEST_P(Api, ShowsOneVesselWithValuesUnitsAndTextInThePersonsUnits) {
    live.in_loop([this] {
        live.cellar.shown_as = display::Display::us();
        live.cellar.read("north", Quantity::beer_temperature, 20.0);
    });

    const json north = read("/api/vessels/north");

    EXPECT_EQ(north["sentence"].get<std::string>().substr(0, 12), "Harbour Mild");
    const json& beer = north["measured"]["beer_temperature"];
    EXPECT_EQ(beer["value"], 20.0);
    EXPECT_EQ(beer["unit"], "degC");
    EXPECT_EQ(beer["display"]["value"], 68.0);
    EXPECT_EQ(beer["text"], "68.0 °F");
    EXPECT_EQ(beer["at"], "2026-03-13T18:00:00Z");
    EXPECT_EQ(beer["age_s"], 0.0);
    EXPECT_EQ(north["estimates"]["co2_volumes"]["unit"], "vol");
    EXPECT_EQ(north["estimates"]["carbonated_time"]["value"], "2026-03-15T03:36:00Z");
}

TEST_P(Api, SaysNullWhereNoEndIsInSight) {
    const json limit_time = read("/api/vessels/north")["estimates"]["limit_time"];

    EXPECT_TRUE(limit_time["value"].is_null());
    EXPECT_TRUE(limit_time["high"].is_null());
    EXPECT_EQ(limit_time["text"], "from Tue 12 May on");
}

TEST_P(Api, MarksAnOldReadingAsStale) {
    const json measured = read("/api/vessels/south")["measured"];

    EXPECT_EQ(measured["gravity"]["age_s"], 12000.0);
    EXPECT_EQ(measured["gravity"]["stale"], true);
    EXPECT_EQ(measured["head_pressure"]["stale"], false);
}

TEST_P(Api, TellsTheLimitThatTheLowestRatedPartSets) {
    const json limits = read("/api/vessels/south")["limits"];

    EXPECT_EQ(limits["pressure"]["value"], 140.0);
    EXPECT_EQ(limits["pressure"]["reference"], "gauge");
    EXPECT_EQ(limits["temperature_band"]["low"], 18.0);
}

TEST_P(Api, TellsWhereInThePlanTheBatchStands) {
    const json batch = read("/api/vessels/north")["batch"];

    ASSERT_EQ(batch["stages"].size(), 5u);
    EXPECT_EQ(batch["stages"][2]["state"], "past");
    EXPECT_EQ(batch["stages"][3]["state"], "now");
    EXPECT_EQ(batch["stages"][3]["kind"], "carbonate");
    EXPECT_EQ(batch["stages"][4]["state"], "to_come");
}

TEST_P(Api, DrawsATrendAsColumns) {
    const json trend = read(
        "/api/vessels/north/"
        "trend?quantity=gravity_now&from=2026-03-01T18:00:00Z&to=2026-03-05T18:00:00Z&points=8");

    EXPECT_EQ(trend["quantity"], "gravity_now");
    EXPECT_EQ(trend["unit"], "SG");
    ASSERT_EQ(trend["t"].size(), 8u);
    EXPECT_EQ(trend["t"][0], "2026-03-01T18:00:00Z");
    for (const char* column : {"v", "low", "high"}) EXPECT_EQ(trend[column].size(), 8u) << column;
    EXPECT_GT(trend["v"][0], trend["v"][7]);
    EXPECT_LE(trend["low"][3], trend["v"][3]);
}

TEST_P(Api, DrawsATrendOfTheLastDayWhenNotToldOtherwise) {
    const json trend = read("/api/vessels/north/trend?quantity=head_pressure");

    EXPECT_EQ(trend["from"], "2026-03-12T18:00:00Z");
    EXPECT_EQ(trend["to"], "2026-03-13T18:00:00Z");
    EXPECT_LE(trend["t"].size(), 600u);
}

TEST_P(Api, DrawsATrendInThePersonsUnitsWhenAsked) {
    live.in_loop([this] { live.cellar.shown_as = display::Display::us(); });
    const std::string target = "/api/vessels/north/trend?quantity=beer_temperature&points=3";

    const json canonical = read(target), shown = read(target + "&units=display");

    EXPECT_EQ(canonical["unit"], "degC");
    EXPECT_EQ(shown["unit"], "°F");
    EXPECT_DOUBLE_EQ(shown["v"][1], canonical["v"][1].get<double>() * 1.8 + 32);
}

TEST_P(Api, AcceptsUnixMillisecondsAsMoments) {
    const json trend = read("/api/vessels/north/trend?quantity=gravity&from=1772388000000&to=1772474400000");

    EXPECT_EQ(trend["from"], "2026-03-01T18:00:00Z");
    EXPECT_EQ(trend["to"], "2026-03-02T18:00:00Z");
}

TEST_P(Api, ListsBatchesAlarmsAndSensors) {
    EXPECT_EQ(read("/api/batches")["batches"][0]["stages"][3]["why"], "3.0 °C reached");
    EXPECT_EQ(read("/api/alarms")["alarms"][2]["state"], "cleared");
    const json sensors = read("/api/sensors");
    EXPECT_EQ(sensors["sensors"][1]["rejected"]["impossible_jump"], 3);
    EXPECT_EQ(sensors["sensors"][1]["quantity"], "gravity");
    EXPECT_EQ(sensors["sensors"][1]["stuck_since"], nullptr);
    EXPECT_EQ(sensors["rejected"]["unclaimed_topic"], 40);
}

TEST_P(Api, SaysSinceWhenASensorIsStuck) {
    live.in_loop(
        [this] { live.cellar.sensor_health[0].stuck_since = base::from_rfc3339("2026-03-12T04:10:00Z"); });

    const json sensor = read("/api/sensors")["sensors"][0];

    EXPECT_EQ(sensor["stuck_since"], "2026-03-12T04:10:00Z");
    EXPECT_EQ(sensor["stuck_since_text"], "Thu 12 Mar 04:10");
}

TEST_P(Api, SaysWhatToDoFirstAboutAnAlarm) {
    const json alarm = read("/api/vessels/south")["alarms"][0];

    EXPECT_EQ(alarm["title"], "South: pressure heads for its limit");
    EXPECT_EQ(alarm["first_aid"], alarms::first_aid("pressure_rising_to_limit"));
    EXPECT_NE(alarm["first_aid"], "") << "pressure hurts people";
}

TEST_P(Api, PagesThroughTheAlarmLog) {
    const json first = read("/api/alarms?limit=2");
    ASSERT_EQ(first["alarms"].size(), 2u);

    const json rest =
        read("/api/alarms?limit=2&after=" + cli::percent_encoded(first["next"].get<std::string>()));

    ASSERT_EQ(rest["alarms"].size(), 1u);
    EXPECT_EQ(rest["alarms"][0]["rule"], "temperature_out_of_band");
    EXPECT_TRUE(rest["next"].is_null());
}

TEST_P(Api, LosesNoAlarmOfOneMomentBetweenTwoPages) {
    live.in_loop([this] {
        alarms::Transition one = live.cellar.alarm_log[0];
        live.cellar.alarm_log.clear();
        for (const char* id : {"south/a", "south/b", "south/c", "south/d", "south/e"}) {
            one.alarm = id;
            live.cellar.alarm_log.push_back(one);
        }
    });
    std::vector<std::string> seen;

    for (std::string after;;) {
        const json page =
            read("/api/alarms?limit=2" + (after.empty() ? "" : "&after=" + cli::percent_encoded(after)));
        for (const json& alarm : page["alarms"]) seen.push_back(alarm["alarm"]);
        if (page["next"].is_null()) break;
        after = page["next"];
    }

    EXPECT_EQ(seen, (std::vector<std::string>{"south/a", "south/b", "south/c", "south/d", "south/e"}));
}

TEST_P(Api, DatesAClearedAlarmWithItsRaiseAndItsEnd) {
    const json cleared = read("/api/alarms")["alarms"][2], standing = read("/api/alarms")["alarms"][0];

    EXPECT_EQ(cleared["raised_at"], "2026-03-04T20:24:00Z");
    EXPECT_EQ(cleared["cleared_at"], "2026-03-05T00:00:00Z");
    EXPECT_EQ(cleared["at"], cleared["cleared_at"]);
    EXPECT_TRUE(standing["cleared_at"].is_null());
}

TEST_P(Api, SaysWhetherTheWatchIsWhole) {
    live.in_loop([this] { live.cellar.be_calm(); });
    EXPECT_EQ(read("/health")["status"], "ok");
    EXPECT_EQ(read("/health")["impairments"], json::array());

    live.in_loop([this] { live.cellar.store_is_broken = true; });

    const Answer ill = get("/health");
    EXPECT_EQ(ill.status, 503);
    EXPECT_EQ(json::parse(ill.body)["status"], "failing");
    EXPECT_EQ(json::parse(ill.body)["problem"], "the store does not take readings: the disk is full");
}

TEST_P(Api, TellsWhatOfTheWatchDoesNotWork) {
    live.in_loop([this] {
        live.cellar.be_calm();
        live.cellar.impairments = {
            {"spool_failing", "", "the spool cannot be written", harbour_mild::end - 1h}};
    });

    const json health = read("/health");  // 200: nothing is missed by it

    EXPECT_EQ(health["status"], "impaired");
    EXPECT_EQ(health["problem"], "the spool cannot be written");
    ASSERT_EQ(health["impairments"].size(), 1u);
    const json& one = health["impairments"][0];
    EXPECT_EQ(one["name"], "spool_failing");
    EXPECT_EQ(one["text"], "the spool cannot be written");
    EXPECT_EQ(one["since"], "2026-03-13T17:00:00Z");
    EXPECT_EQ(one["since_text"], "Fri 13 Mar 17:00");
    EXPECT_TRUE(one["first_aid"].is_string());
    EXPECT_EQ(read("/api/vessels")["watch"]["impairments"], health["impairments"]);
    EXPECT_EQ(read("/api/vessels")["watch"]["status"], "impaired");
}

/// What may hide an alarm is no 200: whoever polls /health must notice.
TEST_P(Api, AnswersWith503WhenAnAlarmMayBeMissed) {
    for (const char* name : {"broker_lost", "rival_client", "delivery_failing", "clock_unset"}) {
        live.in_loop([this, name] {
            live.cellar.be_calm();
            live.cellar.impairments = {{name, "", "it does not work", harbour_mild::end}};
        });
        const Answer answer = get("/health");
        EXPECT_EQ(answer.status, 503) << name;
        EXPECT_EQ(json::parse(answer.body)["status"], "failing") << name;
    }
}

TEST_P(Api, SumsUpWhichSensorsAreSilent) {
    const json one = read("/health")["impairments"];
    ASSERT_EQ(one.size(), 1u);
    EXPECT_EQ(one[0]["text"], "1 sensor silent: south_gravity");
    EXPECT_EQ(one[0]["name"], "sensor_silent");

    live.in_loop([this] {
        live.cellar.be_calm();
        live.cellar.fall_silent(2h);
    });
    const Answer blind = get("/health");
    EXPECT_EQ(blind.status, 503) << "nobody hears anything";
    const json all = json::parse(blind.body)["impairments"];
    ASSERT_EQ(all.size(), 1u);
    EXPECT_THAT(all[0]["text"].get<std::string>(),
                testing::StartsWith("all of 7 sensors silent: north_beer_temperature, "));
    EXPECT_THAT(all[0]["text"].get<std::string>(), testing::EndsWith(" and 4 more"));
    EXPECT_EQ(all[0]["since"], "2026-03-13T16:00:00Z");
}

TEST_P(Api, TellsTheAlarmsOfTheWatchItselfMostUrgentFirst) {
    live.in_loop([this] {
        cellar::StandingAlarm low = live.cellar.vessel("south").alarms[1],
                              critical = live.cellar.vessel("south").alarms[0];
        low.last.vessel = critical.last.vessel = "";
        live.cellar.alarms_of_watch = {low, critical};
    });

    const json watch = read("/api/vessels")["watch"]["alarms"];

    ASSERT_EQ(watch.size(), 2u);
    EXPECT_EQ(watch[0]["priority"], "critical");
    EXPECT_EQ(watch[0]["first_action"], "Shut the gas and cool the vessel: both work from outside.");
    EXPECT_EQ(watch[1]["now_text"], watch[1]["text"]);
}

TEST_P(Api, SaysOfABeliefWhenWhatItRestsOnIsOld) {
    const json south = read("/api/vessels/south");  // its gravity is 3 h 20 min old, the rest is fresh
    for (const char* rests_on_gravity :
         {"gravity_now", "final_gravity", "finish_time", "alcohol_by_volume"}) {
        EXPECT_EQ(south["estimates"][rests_on_gravity]["stale"], true) << rests_on_gravity;
        EXPECT_EQ(south["estimates"][rests_on_gravity]["rests_on"]["quantity"], "gravity");
        EXPECT_EQ(south["estimates"][rests_on_gravity]["rests_on"]["at"], south["measured"]["gravity"]["at"]);
    }
    for (const char* other : {"co2_volumes", "pressure_headroom", "limit_time"}) {
        EXPECT_EQ(south["estimates"][other]["stale"], false) << other;
        EXPECT_TRUE(south["estimates"][other]["rests_on"].is_null());
    }

    live.in_loop([this] { live.cellar.vessel("south").latest[Quantity::head_pressure].at -= 5h; });
    const json blind = read("/api/vessels/south")["estimates"];
    EXPECT_EQ(blind["co2_volumes"]["rests_on"]["text"], "head pressure");
    EXPECT_EQ(blind["pressure_headroom"]["stale"], true);
}

TEST_P(Api, AnswersWithAProblemWhenTheStoreFails) {
    live.in_loop([this] { live.cellar.store_is_broken = true; });

    const Answer answer = get("/api/vessels/north/trend?quantity=gravity");

    EXPECT_EQ(answer.status, 500);
    EXPECT_EQ(answer.headers.at("content-type"), "application/problem+json");
    EXPECT_EQ(answer.body.find("disk"), std::string::npos) << "what is inside stays inside";
}

TEST_P(Api, MovesToTheNextStage) {
    EXPECT_EQ(post("/api/vessels/north/stage", {{"next", true}, {"why", "tastes ready"}}).status, 200);

    const auto command = told<cellar::EnterStage>();
    EXPECT_EQ(command.vessel, "north");
    EXPECT_FALSE(command.index);
    EXPECT_EQ(command.why, "tastes ready");
    EXPECT_EQ(command.at, harbour_mild::end);
}

TEST_P(Api, MovesToAStageByItsIndex) {
    EXPECT_EQ(post("/api/vessels/north/stage", {{"index", 2}}).status, 200);

    const auto command = told<cellar::EnterStage>();
    EXPECT_EQ(command.index, 2u);
    EXPECT_EQ(command.why, "by hand");
}

TEST_P(Api, LeavesAStageOutGoesBackAndTakesAStepBack) {
    EXPECT_EQ(post("/api/vessels/north/stage", {{"back", true}, {"at", "20min ago"}}).status, 200);
    EXPECT_EQ(newest<cellar::EnterStage>().move, batch::Move::back);
    EXPECT_EQ(newest<cellar::EnterStage>().at, harbour_mild::end - 20min);
    EXPECT_EQ(read("/api/vessels/north")["batch"]["entered"].back()["text"], "crash");

    EXPECT_EQ(post("/api/vessels/north/batch/undo", json::object()).status, 200);
    EXPECT_EQ(newest<cellar::UndoStep>().vessel, "north");
    const json stages = read("/api/vessels/north")["batch"]["stages"];
    EXPECT_EQ(stages[3]["state"], "now");

    EXPECT_EQ(post("/api/vessels/south/stage", {{"skip", true}}).status, 200);
    EXPECT_EQ(newest<cellar::EnterStage>().move, batch::Move::skip);
    EXPECT_EQ(read("/api/vessels/south")["batch"]["stages"][1]["state"], "skipped");
    EXPECT_EQ(read("/api/vessels/south")["batch"]["stages"][1]["text"], "diacetyl rest");
}

TEST_P(Api, TakesAMeasurementByHand) {
    const json body{
        {"quantity", "gravity"}, {"value", 1.012}, {"at", "2026-03-13T17:00:00Z"}, {"note", "hydrometer"}};
    EXPECT_EQ(post("/api/vessels/north/measurements", body).status, 200);

    const auto command = told<cellar::Measure>().measurement;
    EXPECT_EQ(command.quantity, Quantity::gravity);
    EXPECT_DOUBLE_EQ(command.value, 1.012);
    EXPECT_EQ(command.at, harbour_mild::end - 1h);
    EXPECT_EQ(command.note, "hydrometer");
}

TEST_P(Api, TellsWhatHasBeenLearntOfAVessel) {
    EXPECT_EQ(read("/api/vessels/north/learned")["learned"], json::array()) << "nothing yet";
    live.in_loop([this] {
        live.cellar.vessel("north").learned = {
            .heat = {.heat_ups = 3, .losses = {}, .heater_kw = 2.1, .log_sigma = 0.02, .loss_w_per_k = 9.25},
            .relief =
                estimation::gas::ReliefHistory{
                    .count = 1, .first = {}, .last = {}, .opens_kpa = 181, .reseats_kpa = 168},
            .uptake = estimation::gas::LearnedUptake{1, 2, 0.3, 0.2}};
    });
    const json learned = read("/api/vessels/north/learned")["learned"];
    ASSERT_EQ(learned.size(), 4U);
    EXPECT_EQ(learned[0]["what"], "heater_power");
    EXPECT_EQ(learned[0]["text"], "2.10 kW (2.03 to 2.17)");
    EXPECT_EQ(learned[0]["rests_on_text"], "3 heat-ups");
    EXPECT_EQ(learned[1]["unit"], "W/K");
    EXPECT_EQ(learned[2]["text"], "1.81 bar");
    EXPECT_EQ(learned[2]["rests_on_text"], "1 opening");
    EXPECT_EQ(learned[3]["what"], "gas_uptake");
    EXPECT_EQ(learned[3]["text"], "0.30 L/h (0.22 to 0.42)");
    EXPECT_EQ(learned[3]["rests_on_text"], "2 carbonations");
}

TEST_P(Api, ForgetsWhatHasBeenLearntOfAVessel) {
    EXPECT_EQ(tell("DELETE", "/api/vessels/nowhere/learned").status, 404);
    EXPECT_EQ(tell("DELETE", "/api/vessels/north/learned").status, 200);
    EXPECT_EQ(told<cellar::ForgetVessel>().vessel, "north");
}

TEST_P(Api, ForgetsWhatHasBeenLearntOfACulture) {
    const json cultures{{{"culture", "harbour ale"}, {"batches", 3}}};
    EXPECT_EQ(read("/api/cultures")["cultures"], cultures) << "without the forgotten one";
    EXPECT_EQ(tell("DELETE", "/api/cultures", {{"culture", 5}}).status, 400);
    EXPECT_EQ(tell("DELETE", "/api/cultures").status, 400);
    EXPECT_EQ(tell("DELETE", "/api/cultures", {{"culture", "harbour ale"}}).status, 200);
    EXPECT_EQ(told<cellar::ForgetCulture>().culture, "harbour ale");
}

TEST_P(Api, TakesAMeasurementInTheUnitItWasReadIn) {
    const json body{{"quantity", "head_pressure"}, {"value", 10}, {"unit", "psi"}};
    EXPECT_EQ(post("/api/vessels/north/measurements", body).status, 200);

    EXPECT_NEAR(told<cellar::Measure>().measurement.value, 68.94757,
                1e-4);  // NIST SP 811: 1 psi = 6.894757 kPa
}

TEST_P(Api, StartsABatchFromItsFile) {
    Wire wire = connect();
    wire.say(request("POST", "/api/vessels/north/batch", "Content-Type: application/toml\r\n" + bearer(token),
                     "name = \"Harbour Mild\"\n[[stage]]\nkind = \"ferment\"\n"));
    EXPECT_EQ(wire.hear().status, 200);

    const auto command = told<cellar::StartBatch>();
    EXPECT_EQ(command.plan.name, "Harbour Mild");
    EXPECT_EQ(command.plan.vessel, "north");
    EXPECT_EQ(command.at, harbour_mild::end);
}

TEST_P(Api, StartsABatchFromJson) {
    EXPECT_EQ(post("/api/vessels/north/batch", {{"toml", "[[stage]]"}, {"at", 1'773'400'000'000}}).status,
              200);

    EXPECT_EQ(told<cellar::StartBatch>().at.time_since_epoch(), 1'773'400'000'000ms);
}

TEST_P(Api, DoesNotStartABatchThatIsMeantForAnotherVessel) {
    const Answer answer = post("/api/vessels/north/batch", {{"toml", "vessel = \"south\"\n[[stage]]"}});

    EXPECT_EQ(answer.status, 409);
    EXPECT_TRUE(live.in_loop([this] { return live.cellar.commands.empty(); }));
}

TEST_P(Api, RepeatsWhatIsWrongWithABatchFile) {
    const Answer answer = post("/api/vessels/north/batch", {{"toml", "name = 1"}});

    EXPECT_EQ(answer.status, 400);
    EXPECT_NE(json::parse(answer.body)["detail"].get<std::string>().find("batch.toml:1:1"),
              std::string::npos);
}

TEST_P(Api, EndsABatch) {
    EXPECT_EQ(post("/api/vessels/south/batch/end", {{"why", "drunk"}}).status, 200);

    EXPECT_EQ(told<cellar::EndBatch>().why, "drunk");
}

TEST_P(Api, AcknowledgesAnAlarm) {
    const std::string alarm = read("/api/vessels/south")["alarms"][0]["alarm"];

    EXPECT_EQ(post("/api/alarms/acknowledge", {{"alarm", alarm}}).status, 200);

    EXPECT_EQ(told<cellar::Acknowledge>().alarm, alarm);
    EXPECT_EQ(read("/api/vessels/south")["alarms"][0]["state"], "acknowledged");
}

TEST_P(Api, ShelvesAnAlarmUntilAMoment) {
    EXPECT_EQ(post("/api/alarms/shelve", {{"alarm", "a"}, {"until", "2026-03-14T08:00:00Z"}}).status, 200);

    EXPECT_EQ(told<cellar::Shelve>().until, harbour_mild::end + 14h);
}

TEST_P(Api, PassesARefusalOn) {
    live.in_loop([this] {
        live.cellar.refusal = Problem{409, "No next stage", "Serving is the last stage."};
    });

    const Answer answer = post("/api/vessels/north/stage", {{"next", true}});

    EXPECT_EQ(answer.status, 409);
    EXPECT_EQ(answer.headers.at("content-type"), "application/problem+json");
    const json document = json::parse(answer.body);
    EXPECT_EQ(document["status"], 409);
    EXPECT_EQ(document["title"], "No next stage");
    EXPECT_EQ(document["detail"], "Serving is the last stage.");
}

TEST_P(Api, AnswersSeveralRequestsOnOneConnection) {
    Wire wire = connect();
    wire.say(request("GET", "/health") + request("GET", "/api/vessels/north") +
             request("GET", "/api/alarms"));

    EXPECT_EQ(json::parse(wire.hear().body)["store_ok"], true);
    EXPECT_EQ(json::parse(wire.hear().body)["id"], "north");
    EXPECT_EQ(json::parse(wire.hear().body)["alarms"].size(), 3u);
}

TEST_P(Api, AnswersHeadWithoutABody) {
    Wire wire = connect();
    wire.say(request("HEAD", "/api/vessels/north") + request("GET", "/health"));

    const Answer head = wire.hear(true);
    EXPECT_EQ(head.status, 200);
    EXPECT_GT(std::stoi(head.headers.at("content-length")), 100);
    EXPECT_EQ(json::parse(wire.hear().body)["store_ok"], true) << "the connection is still in step";
}

TEST_P(Api, TellsAPoliteClientToGoOn) {
    Wire wire = connect();
    const std::string body = R"({"next": true})";
    wire.say(request("POST", "/api/vessels/north/stage",
                     json_headers() + bearer(token) +
                         "Expect: 100-continue\r\nContent-Length: " + std::to_string(body.size()) + "\r\n"));
    EXPECT_EQ(wire.hear().status, 100);

    wire.say(body);

    EXPECT_EQ(wire.hear().status, 200);
}

TEST_P(Api, CarriesTheSecurityHeadersEverywhere) {
    for (const char* target : {"/", "/api/vessels", "/no/such/thing", "/metrics"}) {
        const Answer answer = get(target);
        EXPECT_TRUE(answer.headers.at("content-security-policy").starts_with("default-src 'self'")) << target;
        EXPECT_NE(answer.headers.at("content-security-policy").find("frame-ancestors 'none'"),
                  std::string::npos);
        EXPECT_EQ(answer.headers.at("x-content-type-options"), "nosniff") << target;
        EXPECT_EQ(answer.headers.at("referrer-policy"), "no-referrer") << target;
        EXPECT_FALSE(answer.headers.contains("access-control-allow-origin")) << target;
    }
}

}  // namespace
}  // namespace gyled::web
