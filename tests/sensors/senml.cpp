/// SenML. The packs are the examples of RFC 8428 section 5.1, as published; what they resolve to is
/// section 5.1.4 or follows from the records' own numbers.

#include "sensors/decode/senml.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using gyled::base::from_unix_seconds;

SenmlRecords records(std::string_view pack, std::string_view name) {
    return decode_senml(*parse_json(pack), name, evening);
}

/// The only refusal's reason, or how much else there was.
std::string refused(std::string_view pack, std::string_view name = "x") {
    const SenmlRecords found = records(pack, name);
    if (found.samples.empty() && found.refusals.size() == 1) return found.refusals[0].reason;
    return std::to_string(found.samples.size()) + " samples, " + std::to_string(found.refusals.size()) +
           " refusals";
}

TEST(Senml, ReadsASingleDatapoint) {  // 5.1.1
    const SenmlRecords found =
        records(R"([{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}])", "urn:dev:ow:10e2073a01080063");

    ASSERT_EQ(found.samples.size(), 1u);
    EXPECT_EQ(found.samples[0].value, 23.1);
    EXPECT_EQ(found.samples[0].unit, "Cel");
    EXPECT_FALSE(found.samples[0].at) << "roughly now";
}

TEST(Senml, ReadsMultipleDatapointsUnderOneBaseName) {  // 5.1.2
    const char* pack = R"([{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},
                           {"n":"current","u":"A","v":1.2}])";

    ASSERT_EQ(records(pack, "urn:dev:ow:10e2073a01080063:voltage").samples.size(), 1u);
    ASSERT_EQ(records(pack, "urn:dev:ow:10e2073a01080063:current").samples.size(), 1u);
    EXPECT_EQ(records(pack, "urn:dev:ow:10e2073a01080063:current").samples[0].value, 1.2);
    EXPECT_EQ(refused(pack, "voltage"), "no_such_name") << "the name is the resolved one";
}

TEST(Senml, CountsTimesFromTheBaseTimeAndKeepsTheBaseUnit) {  // 5.1.2, second pack
    const char* pack = R"([{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,
                            "n":"voltage","u":"V","v":120.1},
                           {"n":"current","t":-5,"v":1.2},{"n":"current","t":-4,"v":1.3},
                           {"n":"current","t":-3,"v":1.4},{"n":"current","t":-2,"v":1.5},
                           {"n":"current","t":-1,"v":1.6},{"n":"current","v":1.7}])";

    const SenmlRecords current = records(pack, "urn:dev:ow:10e2073a0108006:current");

    ASSERT_EQ(current.samples.size(), 6u);
    for (std::size_t i = 0; i < 6; ++i) {
        EXPECT_NEAR(current.samples[i].value, 1.2 + 0.1 * static_cast<double>(i), 1e-12);
        EXPECT_EQ(current.samples[i].unit, "A");
        EXPECT_EQ(current.samples[i].at, from_unix_seconds(1276020071.001 + static_cast<double>(i)));
        EXPECT_FALSE(current.samples[i].relative_time);
    }
    EXPECT_EQ(records(pack, "urn:dev:ow:10e2073a0108006:voltage").samples[0].unit, "V");
}

TEST(Senml, ReadsAMovingSensorWhoseRecordsShareOneName) {  // 5.1.3, resolved in 5.1.4
    const char* pack = R"([{"bn":"urn:dev:ow:10e2073a01080063","bt":1.320067464e+09,"bu":"%RH","v":20},
        {"u":"lon","v":24.30621},{"u":"lat","v":60.07965},{"t":60,"v":20.3},{"u":"lon","t":60,"v":24.30622},
        {"u":"lat","t":60,"v":60.07965},{"t":120,"v":20.7},{"u":"lon","t":120,"v":24.30623},
        {"u":"lat","t":120,"v":60.07966},{"u":"%EL","t":150,"v":98},{"t":180,"v":21.2},
        {"u":"lon","t":180,"v":24.30628},{"u":"lat","t":180,"v":60.07967}])";
    struct Resolved {
        const char* unit;
        double time, value;
    };
    constexpr Resolved expected[] = {{"%RH", 1.320067464e+09, 20},       {"lon", 1.320067464e+09, 24.30621},
                                     {"lat", 1.320067464e+09, 60.07965}, {"%RH", 1.320067524e+09, 20.3},
                                     {"lon", 1.320067524e+09, 24.30622}, {"lat", 1.320067524e+09, 60.07965},
                                     {"%RH", 1.320067584e+09, 20.7},     {"lon", 1.320067584e+09, 24.30623},
                                     {"lat", 1.320067584e+09, 60.07966}, {"%EL", 1.320067614e+09, 98},
                                     {"%RH", 1.320067644e+09, 21.2},     {"lon", 1.320067644e+09, 24.30628},
                                     {"lat", 1.320067644e+09, 60.07967}};

    const SenmlRecords found = records(pack, "urn:dev:ow:10e2073a01080063");

    ASSERT_EQ(found.samples.size(), std::size(expected));
    for (std::size_t i = 0; i < std::size(expected); ++i) {
        EXPECT_EQ(found.samples[i].unit, expected[i].unit) << i;
        EXPECT_EQ(found.samples[i].value, expected[i].value) << i;
        EXPECT_EQ(found.samples[i].at, from_unix_seconds(expected[i].time)) << i;
    }
}

TEST(Senml, TakesNumbersOnlyFromAPackOfSeveralTypes) {  // 5.1.5
    const char* pack = R"([{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
        {"n":"label","vs":"Machine Room"},{"n":"open","vb":false},{"n":"nfc-reader","vd":"aGkgCg"}])";

    EXPECT_EQ(records(pack, "urn:dev:ow:10e2073a01080063:temp").samples.at(0).value, 23.1);
    EXPECT_EQ(refused(pack, "urn:dev:ow:10e2073a01080063:label"), "not_a_number");
    EXPECT_EQ(refused(pack, "urn:dev:ow:10e2073a01080063:open"), "not_a_number");
    EXPECT_EQ(refused(pack, "urn:dev:ow:10e2073a01080063:nfc-reader"), "not_a_number");
}

TEST(Senml, CarriesTheBaseTimeOnUnderANewBaseName) {  // 5.1.6
    const char* pack = R"([{"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},
        {"n":"humidity","u":"%RH","v":30},{"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},
        {"n":"humidity","u":"%RH","v":67}])";

    const SenmlRecords found = records(pack, "2001:db8::1/temperature");

    ASSERT_EQ(found.samples.size(), 1u);
    EXPECT_EQ(found.samples[0].value, 12.3);
    EXPECT_EQ(found.samples[0].at, gyled::base::from_rfc3339("2011-10-31T16:27:09Z"));
}

TEST(Senml, PassesOverARecordOfBaseFieldsOnly) {  // 5.1.7
    const char* pack = R"([{"bn":"urn:dev:ow:10e2073a01080063:"},{"n":"temp","u":"Cel","v":23.1},
        {"n":"heat","u":"/","v":1},{"n":"fan","u":"/","v":0}])";

    EXPECT_EQ(records(pack, "urn:dev:ow:10e2073a01080063:temp").samples.size(), 1u);
    EXPECT_EQ(refused(pack, "urn:dev:ow:10e2073a01080063:"), "no_such_name");
}

TEST(Senml, AddsTheBaseValue) {
    EXPECT_EQ(records(R"([{"bv":20,"n":"x","v":0.5}])", "x").samples.at(0).value, 20.5);
    EXPECT_EQ(refused(R"([{"bv":1e308,"n":"x","v":1e308}])"), "not_finite");
}

TEST(Senml, CountsSmallTimesFromNowAndSaysSo) {
    const SenmlRecords found = records(R"([{"n":"x","t":-60,"v":1},{"n":"x","t":268435455,"v":2},
                                          {"n":"x","t":268435456,"v":3}])",
                                       "x");  // 2^28 - 1 and 2^28

    ASSERT_EQ(found.samples.size(), 3u);
    EXPECT_EQ(found.samples[0].at, evening - 60s);
    EXPECT_TRUE(found.samples[0].relative_time);
    EXPECT_EQ(found.samples[1].at, evening + 268435455s);
    EXPECT_EQ(found.samples[2].at, from_unix_seconds(268435456));
    EXPECT_FALSE(found.samples[2].relative_time);
}

TEST(Senml, RefusesWhatItMayNotOrCannotUse) {
    EXPECT_EQ(refused(R"({"n":"x","v":1})"), "not_senml");
    EXPECT_EQ(refused("[]"), "no_such_name");
    EXPECT_EQ(refused("[1]"), "not_senml");
    EXPECT_EQ(refused(R"([{"bver":11,"n":"x","v":1}])"), "unsupported_version");
    EXPECT_EQ(refused(R"([{"bver":"10","n":"x","v":1}])"), "unsupported_version");
    EXPECT_EQ(refused(R"([{"bver":26,"n":"x","v":1}])"), "1 samples, 0 refusals")
        << "RFC 9100: secondary units";
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"mystery_":1}])"), "must_understand");
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"mystery":1}])"), "1 samples, 0 refusals");
    EXPECT_EQ(refused(R"([{"n":"x","v":"1"}])"), "not_a_number");
    EXPECT_EQ(refused(R"([{"n":"x","v":null}])"), "not_a_number");
    EXPECT_EQ(refused(R"([{"n":"x","s":5}])"), "not_a_number") << "a sum is no reading";
    EXPECT_EQ(refused(R"([{"n":"x"}])"), "no_value");
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"t":"now"}])"), "bad_time");
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"t":1e300}])"), "bad_time");
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"t":-1e300}])"), "bad_time");
    EXPECT_EQ(refused(R"([{"n":"x","v":1,"u":5}])"), "bad_record");
    EXPECT_EQ(refused(R"([{"bn":5,"n":"x","v":1}])"), "bad_record");
    EXPECT_EQ(refused(R"([{"n":5,"v":1}])"), "bad_record");
}

SensorSpec senml_thermometer() {
    SensorSpec spec = thermometer();
    spec.payload = PayloadKind::senml;
    spec.pointer = "north:temp";
    return spec;
}

TEST(Senml, ThroughTheIntakeGivesEveryReadingOfABulkUpload) {
    Intake intake{{senml_thermometer()}};

    const Intaken outcome = intake.accept(
        message(senml_thermometer(), R"([{"bn":"north:","bt":1772384400,"bu":"K","n":"temp","v":291.15},
            {"n":"temp","t":900,"v":291.25},{"n":"temp","t":1800,"vs":"dry"},{"n":"temp","t":2700,"u":"Cel","v":18.3}])"));

    ASSERT_EQ(outcome.readings.size(), 3u);
    EXPECT_NEAR(outcome.readings[0].value, 18.0, 1e-9);
    EXPECT_EQ(outcome.readings[0].at, evening - 1h);
    EXPECT_NEAR(outcome.readings[1].value, 18.1, 1e-9);
    EXPECT_EQ(outcome.readings[2].at, evening - 15min);
    EXPECT_EQ(reason(outcome), "not_a_number");
    EXPECT_EQ(intake.accepted(), 3u);
}

TEST(Senml, NamesItsUnitSoAWrongOneIsRefusedAndAnOtherOneConverted) {
    const auto outcome = [](const char* pack) {
        return Intake{{senml_thermometer()}}.accept(message(senml_thermometer(), pack));
    };
    EXPECT_NEAR(accepted_value(outcome(R"([{"n":"north:temp","u":"K","v":293.15}])")), 20, 1e-9);
    EXPECT_EQ(reason(outcome(R"([{"n":"north:temp","u":"%RH","v":60}])")), "wrong_unit");
    EXPECT_EQ(accepted_value(outcome(R"([{"n":"north:temp","v":20}])")), 20) << "no unit: the configured one";
}

TEST(Senml, RetainedWithOnlyARelativeTimeIsOldNews) {
    Intake intake{{senml_thermometer()}};

    const Intaken outcome =
        intake.accept(retained(senml_thermometer(), R"([{"n":"north:temp","t":-60,"v":20}])"));

    ASSERT_EQ(outcome.readings.size(), 1u);
    EXPECT_EQ(outcome.readings[0].verdict, Verdict::last_known);
    EXPECT_EQ(intake.accepted(), 0u);
}

}  // namespace
