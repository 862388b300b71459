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
    return decode_json(*document, json_place(spec));
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

}  // namespace
