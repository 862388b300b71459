#include "sensors/decode/json.hpp"

#include <fmt/format.h>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using testing::HasSubstr;

SensorSpec json_spec(std::string pointer, std::string time_pointer = "",
                     TimeUnit unit = TimeUnit::automatic) {
    SensorSpec spec = hydrometer();
    spec.payload = PayloadKind::json;
    spec.pointer = std::move(pointer);
    spec.time_pointer = std::move(time_pointer);
    spec.time_unit = unit;
    return spec;
}

Decoded decoded(std::string_view payload, const SensorSpec& spec) {
    const auto document = parse_json(payload);
    if (!document) return gyled::base::Unexpected{document.error()};
    return decode_json(*document, json_place(spec.pointer, spec.time_pointer, spec.time_unit), evening);
}

Refusal refused(std::string_view payload, const SensorSpec& spec) {
    const Decoded sample = decoded(payload, spec);
    return sample ? Refusal{"accepted", ""} : sample.error();
}

// The document and the pointers of RFC 6901 section 5, from memory. Where the RFC's value is no number, that
// is the answer.
TEST(JsonPointer, FindsWhatTheRfcsExamplesSay) {
    const char* document =
        R"({"foo":["bar","baz"],"":0,"a/b":1,"c%d":2,"e^f":3,"g|h":4,"i\\j":5,"k\"l":6," ":7,"m~n":8})";
    const std::pair<const char*, double> numbers[] = {{"/", 0},     {"/a~1b", 1}, {"/c%d", 2},
                                                      {"/e^f", 3},  {"/g|h", 4},  {"/i\\j", 5},
                                                      {"/k\"l", 6}, {"/ ", 7},    {"/m~0n", 8}};
    for (const auto& [pointer, value] : numbers) {
        const Decoded sample = decoded(document, json_spec(pointer));
        ASSERT_TRUE(sample) << pointer << ": " << sample.error().detail;
        EXPECT_EQ(sample->value, value) << pointer;
    }
    EXPECT_EQ(refused(document, json_spec("")).detail, "expected a number, found an object at ");
    EXPECT_EQ(refused(document, json_spec("/foo")).detail, "expected a number, found an array at /foo");
    EXPECT_EQ(refused(document, json_spec("/foo/0")).detail, "expected a number, found 'bar' at /foo/0");
}

TEST(JsonPayload, GivesNumbersAndNumbersInStrings) {
    EXPECT_DOUBLE_EQ(decoded(R"({"sg":1.021})", json_spec("/sg"))->value, 1.021);
    EXPECT_DOUBLE_EQ(decoded(R"({"sg":"1.021"})", json_spec("/sg"))->value, 1.021);
    EXPECT_DOUBLE_EQ(decoded(R"({"probe":[{"sg":1}]})", json_spec("/probe/0/sg"))->value, 1);
    EXPECT_DOUBLE_EQ(decoded("1.021", json_spec(""))->value, 1.021) << "a number is a document too";
    EXPECT_EQ(decoded(R"({"sg":"1.021 SG"})", json_spec("/sg"))->unit, "SG");
}

TEST(JsonPayload, SaysWhereItWentWrong) {
    const SensorSpec sg = json_spec("/sg");
    EXPECT_EQ(refused(R"({"gravity":1})", sg).reason, "no_such_pointer");
    EXPECT_EQ(refused(R"({"gravity":1})", sg).detail, "nothing at /sg");
    EXPECT_EQ(refused(R"([1,2])", json_spec("/7")).reason, "no_such_pointer");
    EXPECT_EQ(refused(R"([1,2])", json_spec("/01")).reason, "no_such_pointer");
    EXPECT_EQ(refused(R"([1,2])", json_spec("/-")).reason, "no_such_pointer");
    EXPECT_EQ(refused(R"([1,2])", json_spec("/99999999999999999999999")).reason, "no_such_pointer");
    EXPECT_EQ(refused(R"({"sg":null})", sg).reason, "null_value");
    EXPECT_EQ(refused(R"({"sg":"null"})", sg).reason, "null_value");
    EXPECT_EQ(refused(R"({"sg":"unavailable"})", sg).reason, "unavailable");
    EXPECT_EQ(refused(R"({"sg":""})", sg).reason, "empty_payload");
    EXPECT_EQ(refused(R"({"sg":"NaN"})", sg).reason, "not_finite");
    EXPECT_EQ(refused(R"({"sg":true})", sg).reason, "not_a_number");
    EXPECT_EQ(refused(R"({"sg":{}})", sg).reason, "not_a_number");
    EXPECT_EQ(refused(R"({"sg":1e999})", sg).reason, "not_finite");
    EXPECT_EQ(refused(R"({"sg":NaN})", sg).reason, "not_json");
    EXPECT_EQ(refused(R"({"sg":1.021)", sg).reason, "not_json");
    EXPECT_EQ(refused("1.021 SG", sg).reason, "not_json");
    EXPECT_EQ(refused("", sg).reason, "empty_payload");
    EXPECT_EQ(refused("\"\xff\"", sg).reason, "not_utf8");
    // The comma that should be a point is the ninth byte: {"sg":1,021}
    EXPECT_THAT(refused(R"({"sg":1,021})", sg).detail, HasSubstr("not JSON at byte 9"));
}

TEST(JsonPayload, IsRefusedWhenNestedTooDeep) {
    const auto nested = [](int depth) {
        return std::string(static_cast<std::size_t>(depth), '[') + "1" +
               std::string(static_cast<std::size_t>(depth), ']');
    };
    EXPECT_EQ(refused(nested(deepest_json), json_spec("/0")).reason, "not_a_number");
    EXPECT_EQ(refused(nested(deepest_json + 1), json_spec("/0")).reason, "nested_too_deep");
    EXPECT_EQ(refused(std::string(60'000, '['), json_spec("/0")).reason, "nested_too_deep");
    EXPECT_EQ(refused(R"({"sg":1,"note":")" + std::string(200, '[') + R"("})", json_spec("/sg")).reason,
              "accepted")
        << "brackets in a string are text";
    EXPECT_EQ(refused(R"({"note":"\")" + std::string(200, '[') + R"(","sg":1})", json_spec("/sg")).reason,
              "accepted");
}

TEST(JsonPayload, CarriesItsTimeInAnyOfTheUsualForms) {
    const Timestamp taken = gyled::base::from_unix_seconds(1'772'388'000.5);
    struct Case {
        const char* time;
        TimeUnit unit;
    };
    constexpr Case cases[] = {{R"("2026-03-01T18:00:00.5Z")", TimeUnit::automatic},
                              {R"("2026-03-01T19:00:00.5+01:00")", TimeUnit::rfc3339},
                              {"1772388000.5", TimeUnit::automatic},
                              {"1772388000.5", TimeUnit::seconds},
                              {"\"1772388000.5\"", TimeUnit::seconds},
                              {"1772388000500", TimeUnit::automatic},
                              {"1772388000500", TimeUnit::milliseconds},
                              {"\"1772388000500\"", TimeUnit::automatic}};
    for (const Case& c : cases) {
        const auto sample =
            decoded(fmt::format(R"({{"sg":1.02,"ts":{}}})", c.time), json_spec("/sg", "/ts", c.unit));
        ASSERT_TRUE(sample) << c.time;
        EXPECT_EQ(sample->at, taken) << c.time;
    }
}

TEST(JsonPayload, HasNoTimeOfItsOwnWhenTheTimeIsMissingOrNull) {
    EXPECT_FALSE(decoded(R"({"sg":1.02})", json_spec("/sg", "/ts"))->at);
    EXPECT_FALSE(decoded(R"({"sg":1.02,"ts":null})", json_spec("/sg", "/ts"))->at);
    EXPECT_FALSE(decoded(R"({"sg":1.02,"ts":5})", json_spec("/sg"))->at) << "nobody asked for it";
}

TEST(JsonPayload, IsRefusedWhenItsTimeCannotBeRead) {
    for (const char* time :
         {R"("yesterday")", "true", "{}", "-5", "1e300", R"("")", R"("2026-02-30T00:00:00Z")"})
        EXPECT_EQ(refused(fmt::format(R"({{"sg":1.02,"ts":{}}})", time), json_spec("/sg", "/ts")).reason,
                  "bad_time")
            << time;
    EXPECT_EQ(refused(R"({"sg":1.02,"ts":1772388000})", json_spec("/sg", "/ts", TimeUnit::rfc3339)).reason,
              "bad_time");
    EXPECT_EQ(refused(R"({"sg":1.02,"ts":"soon"})", json_spec("/sg", "/ts")).detail,
              "expected a time, found 'soon' at /ts");
}

// ---- a clock on the wall

/// A hydrometer whose firmware says local time.
SensorSpec in_lisbon() {
    SensorSpec spec = json_spec("/sg", "/ts");
    spec.time_zone = "Europe/Lisbon";
    return spec;
}

Timestamp utc(const char* text) {
    return *gyled::base::from_rfc3339(text);
}

/// When its reading of the local time `shown` was taken, arriving at `arrived`.
std::string taken(const char* shown, const char* arrived, const SensorSpec& spec = in_lisbon()) {
    Intake intake{{spec}};
    const Intaken outcome =
        intake.accept(message(spec, fmt::format(R"({{"sg":1.02,"ts":"{}"}})", shown), utc(arrived)));
    return outcome.readings.size() == 1 ? gyled::base::to_rfc3339(outcome.readings[0].at) : reason(outcome);
}

// Portugal: UTC in winter, an hour ahead in summer; the change comes on the last Sundays of March and October
// at 01:00 UTC (Directive 2000/84/EC), in 2026 the 29th and the 25th.
TEST(LocalTimeOfASensor, IsReadInItsZone) {
    EXPECT_EQ(taken("2026-11-25T10:00:00", "2026-11-25T10:00:03Z"), "2026-11-25T10:00:00Z");
    EXPECT_EQ(taken("2026-07-05T10:00:00", "2026-07-05T09:00:03Z"), "2026-07-05T09:00:00Z");
    EXPECT_EQ(taken("2026-07-05 10:00:00.250", "2026-07-05T09:00:03Z"), "2026-07-05T09:00:00.250Z");
    EXPECT_EQ(taken("2026-07-05T10:00:00Z", "2026-07-05T10:00:03Z"), "2026-07-05T10:00:00Z")
        << "what has an offset is not local";
    EXPECT_EQ(taken("2026-07-05T10:00:00+02:00", "2026-07-05T09:00:03Z"), "2026-07-05T08:00:00Z");
}

TEST(LocalTimeOfASensor, IsUtcWhenNoZoneIsNamed) {
    EXPECT_EQ(taken("2026-07-05T10:00:00", "2026-07-05T10:00:03Z", json_spec("/sg", "/ts")),
              "2026-07-05T10:00:00Z");
}

TEST(LocalTimeOfASensor, ThatComesTwiceIsTheOneNearestBeforeItArrived) {
    EXPECT_EQ(taken("2026-10-25T01:30:00", "2026-10-25T00:30:02Z"), "2026-10-25T00:30:00Z") << "summer's";
    EXPECT_EQ(taken("2026-10-25T01:30:00", "2026-10-25T01:30:02Z"), "2026-10-25T01:30:00Z") << "winter's";
    EXPECT_EQ(taken("2026-10-25T01:30:30", "2026-10-25T00:29:30Z"), "2026-10-25T00:30:30Z")
        << "a clock a minute ahead";
    EXPECT_EQ(taken("2026-10-25T01:30:00", "2026-10-26T08:00:00Z"), "2026-10-25T01:30:00Z")
        << "of a backlog nobody can tell: the later";
}

TEST(LocalTimeOfASensor, ThatNeverWasIsOfAClockThatDidNotGoForward) {
    EXPECT_EQ(taken("2026-03-29T01:30:00", "2026-03-29T01:30:02Z"), "2026-03-29T01:30:00Z");
}

TEST(LocalTimeOfASensor, IsNoRfc3339) {
    SensorSpec strict = in_lisbon();
    strict.time_unit = TimeUnit::rfc3339;
    EXPECT_EQ(taken("2026-11-25T10:00:00", "2026-11-25T10:00:03Z", strict), "bad_time");
    EXPECT_EQ(taken("2026-02-30T10:00:00", "2026-11-25T10:00:03Z"), "bad_time");
    EXPECT_EQ(taken("2026-11-25", "2026-11-25T10:00:03Z"), "bad_time");
}

TEST(LocalTimeOfASensor, NeedsAZoneThatIsKnown) {
    SensorSpec spec = in_lisbon();
    spec.time_zone = "Atlantis/Harbour";
    EXPECT_THROW(Intake{{spec}}, std::invalid_argument);
}

// ---- a payload that says its unit

TEST(UnitInThePayload, IsReadFromItsPlace) {
    SensorSpec spec = thermometer();
    spec.payload = PayloadKind::json;
    spec.pointer = "/t";
    spec.unit.clear();
    spec.unit_pointer = "/u";
    Intake intake{{spec}};
    auto read = [&, arrived = evening](const char* payload) mutable {
        return intake.accept(message(spec, payload, arrived += 1min));
    };

    EXPECT_NEAR(accepted_value(read(R"({"t":68,"u":"degF"})")), 20, 1e-9);
    EXPECT_EQ(reason(read(R"({"t":20,"u":"furlong"})")), "wrong_unit");
    EXPECT_EQ(read(R"({"t":20,"u":"furlong"})").rejects.at(0).detail, "expected degC, found 'furlong'");
    EXPECT_EQ(reason(read(R"({"t":20,"u":"kPa"})")), "wrong_unit") << "no temperature";
    EXPECT_EQ(read(R"({"t":20})").rejects.at(0).detail, "expected a unit, found nothing at /u");
    EXPECT_EQ(reason(read(R"({"t":20,"u":null})")), "wrong_unit");
    EXPECT_EQ(reason(read(R"({"t":20,"u":" "})")), "wrong_unit");
    EXPECT_EQ(reason(read(R"({"t":"20 degC","u":"degF"})")), "wrong_unit") << "which of the two?";
}

// ---- several probes on one topic

SensorSpec probe(const std::string& name) {
    SensorSpec spec = thermometer();
    spec.id = name;
    spec.payload = PayloadKind::json;
    spec.pointer = "/t";
    spec.time_pointer = "/ts";
    spec.where = ProbeName{"/probe", name};
    return spec;
}

/// "top 19.4", for each reading.
std::vector<std::string> readings(const Intaken& outcome) {
    std::vector<std::string> out;
    for (const Reading& reading : outcome.readings)
        out.push_back(fmt::format("{} {}", reading.sensor, reading.value));
    return out;
}

TEST(SeveralProbes, OfWhichEachNamesItselfAreTold) {
    Intake intake{{probe("top"), probe("bottom"), probe("7")}};
    const auto read = [&](const char* payload) { return intake.accept(message(probe("top"), payload)); };

    EXPECT_THAT(readings(read(R"({"probe":"top","t":19.4})")), testing::ElementsAre("top 19.4"));
    EXPECT_THAT(readings(read(R"({"probe":"bottom","t":18.1})")), testing::ElementsAre("bottom 18.1"));
    EXPECT_THAT(readings(read(R"({"probe":7,"t":18.2})")), testing::ElementsAre("7 18.2"));
    EXPECT_EQ(reason(read(R"({"probe":"attic","t":31})")), "unclaimed_probe");
    EXPECT_EQ(reason(read(R"({"t":31})")), "unclaimed_probe");
    EXPECT_EQ(intake.rejected().at("unclaimed_probe"), 2u);
    EXPECT_EQ(read("nonsense").rejects.size(), 3u) << "nobody knows whose it is";
}

TEST(SeveralProbes, InAListAreFoundByName) {
    Intake intake{{probe("top"), probe("bottom")}};
    const auto outcome = intake.accept(message(
        probe("top"),
        R"([{"probe":"bottom","t":18,"ts":1772380000},{"probe":"attic","t":31},{"probe":"top","t":19}])"));

    EXPECT_THAT(readings(outcome), testing::UnorderedElementsAre("top 19", "bottom 18"));
    EXPECT_TRUE(outcome.rejects.empty());
}

TEST(SeveralProbes, InOneObjectNeedOnlyTheirPointers) {
    SensorSpec top = probe("top"), bottom = probe("bottom");
    top.where = bottom.where = {};
    top.pointer = "/top/t";
    bottom.pointer = "/bottom/t";
    Intake intake{{top, bottom}};

    const auto outcome = intake.accept(message(top, R"({"top":{"t":19},"bottom":{"t":18}})"));

    EXPECT_THAT(readings(outcome), testing::UnorderedElementsAre("top 19", "bottom 18"));
}

}  // namespace
