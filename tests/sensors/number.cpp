#include "sensors/decode/number.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sensors/decode/text.hpp"
#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using testing::HasSubstr;

std::string refused(std::string_view payload) {
    const Decoded sample = decode_number(payload);
    return sample ? "accepted" : sample.error().reason;
}

TEST(NumberPayload, IsADecimalNumberWithPerhapsAUnit) {
    struct Case {
        const char* payload;
        double value;
        const char* unit;
    };
    constexpr Case cases[] = {{"19.4", 19.4, ""},
                              {"  -1.5\r\n", -1.5, ""},
                              {"+3", 3, ""},
                              {".5", 0.5, ""},
                              {"5.", 5, ""},
                              {"1.0e5 Pa", 1e5, "Pa"},
                              {"19.4 °C", 19.4, "°C"},
                              {"19.4°C", 19.4, "°C"},
                              {"12.3psi", 12.3, "psi"},
                              {"1e-3 bar", 1e-3, "bar"},
                              {"-0", 0, ""},
                              {"19.4\tdegC ", 19.4, "degC"}};
    for (const Case& c : cases) {
        const Decoded sample = decode_number(c.payload);
        ASSERT_TRUE(sample) << c.payload << ": " << sample.error().detail;
        EXPECT_DOUBLE_EQ(sample->value, c.value) << c.payload;
        EXPECT_EQ(sample->unit, c.unit) << c.payload;
        EXPECT_FALSE(sample->at) << "a bare number has no time";
    }
}

TEST(NumberPayload, GivesAReasonForEachKindOfNonsense) {
    EXPECT_EQ(refused(""), "empty_payload");
    EXPECT_EQ(refused(" \n\t"), "empty_payload");
    EXPECT_EQ(refused("warm"), "not_a_number");
    EXPECT_EQ(refused("{\"t\":19.4}"), "not_a_number");
    EXPECT_EQ(refused("+-5"), "not_a_number");
    EXPECT_EQ(refused("--5"), "not_a_number");
    EXPECT_EQ(refused("+"), "not_a_number");
    EXPECT_EQ(refused("e5"), "not_a_number");
    EXPECT_EQ(refused("unavailable"), "unavailable");
    EXPECT_EQ(refused("Unknown"), "unavailable");
    EXPECT_EQ(refused("null"), "null_value");
    for (const char* text : {"NaN", "nan", "-nan", "inf", "-Infinity", "INF", "1e999", "-1e999", "1e-999"})
        EXPECT_EQ(refused(text), "not_finite") << text;
    EXPECT_EQ(refused("\xff\xfe"), "not_utf8");
    EXPECT_EQ(refused("19.4 \xc2"), "not_utf8");
    EXPECT_EQ(refused(std::string(longest_payload_bytes, ' ') + "1"), "too_long");
    EXPECT_EQ(refused(std::string(longest_payload_bytes - 1, ' ') + "1"), "accepted");
}

TEST(NumberPayload, IsNotReadHalfwayWhenItIsWrittenSomeOtherWay) {
    for (const char* text :
         {"19,4", "1.2.3", "12 000", "19.4 20.1", "19.4, 20.1", "5-3", "2026-03-01T18:00:00Z"})
        EXPECT_EQ(refused(text), "not_a_number") << text;
    EXPECT_THAT(decode_number("19,4").error().detail, HasSubstr("decimal point"));
}

TEST(NumberPayload, MustRepeatTheConfiguredUnitIfItNamesOne) {
    SensorSpec spec = thermometer();
    const auto outcome = [&](const char* payload) {
        return reason(Intake{{spec}}.accept(message(spec, payload)));
    };

    EXPECT_EQ(outcome("19.4 Cel"), "0 rejects, 1 readings");
    EXPECT_EQ(outcome("68 degF"), "wrong_unit");
    EXPECT_EQ(outcome("19.4 psi"), "wrong_unit");
    EXPECT_EQ(outcome("0x13"), "wrong_unit");
    spec.unit = "";
    EXPECT_EQ(outcome("19.4 °C"), "0 rejects, 1 readings");
    EXPECT_EQ(outcome("68 °F"), "wrong_unit")
        << "nothing configured means degC; another unit is a contradiction";
}

TEST(NumberPayload, IsNeverGuessedFromItsSize) {
    // 68 could be a warm cellar in Fahrenheit; the configuration says degC, so hot it is.
    EXPECT_DOUBLE_EQ(accepted_value(Intake{{thermometer()}}.accept(message(thermometer(), "68"))), 68);
    EXPECT_EQ(reason(Intake{{hydrometer()}}.accept(message(hydrometer(), "12.5"))), "out_of_range");
    EXPECT_EQ(reason(Intake{{hydrometer()}}.accept(message(hydrometer(), "1048"))), "out_of_range");
}

TEST(Excerpt, IsShortAndPrintable) {
    EXPECT_EQ(excerpt("19.4 °C\n"), "19.4 ..C.");
    EXPECT_EQ(excerpt(std::string(100, 'x')), std::string(32, 'x') + "...");
}

// Well-formed and ill-formed sequences after RFC 3629 section 4 and the table of well-formed UTF-8 byte
// sequences in the Unicode Standard, chapter 3 (from memory).
TEST(Utf8, IsWhatTheStandardSays) {
    for (const char* good : {"", "abc", "°", "\xDF\xBF", "\xE0\xA0\x80", "\xED\x9F\xBF", "\xEE\x80\x80",
                             "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF"})
        EXPECT_TRUE(is_utf8(good));
    for (const char* bad :
         {"\x80", "\xC0\xAF", "\xC1\xBF", "\xE0\x9F\xBF", "\xED\xA0\x80", "\xF0\x8F\xBF\xBF",
          "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xE2\x82", "\xE2\x28\xA1", "\xF0\x9F\x98", "a\xFF"})
        EXPECT_FALSE(is_utf8(bad));
}

}  // namespace
