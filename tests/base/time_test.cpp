#include "daemon/base/time.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace gyled::base {
namespace {

using namespace std::chrono_literals;

/// RFC 3339, section 5.8, gives these examples; the Unix times are from `date -u -d ... +%s.%3N` of GNU
/// coreutils.
TEST(Rfc3339, ReadsTheExamplesOfTheStandard) {
    EXPECT_EQ(from_rfc3339("1985-04-12T23:20:50.52Z"), Timestamp{482196050520ms});
    EXPECT_EQ(from_rfc3339("1996-12-19T16:39:57-08:00"), Timestamp{851042397000ms});
    EXPECT_EQ(from_rfc3339("1937-01-01T12:00:27.87+00:20"), Timestamp{-1041337172130ms});
    // A leap second has no place in Unix time: it is the first of the next minute.
    EXPECT_EQ(from_rfc3339("1990-12-31T23:59:60Z"), Timestamp{662688000000ms});
    EXPECT_EQ(from_rfc3339("1990-12-31T15:59:60-08:00"), Timestamp{662688000000ms});
}

TEST(Rfc3339, ReadsWhatTheStandardAllows) {
    EXPECT_EQ(from_rfc3339("1985-04-12t23:20:50z"), from_rfc3339("1985-04-12T23:20:50Z"));
    EXPECT_EQ(from_rfc3339("1985-04-12 23:20:50Z"), from_rfc3339("1985-04-12T23:20:50Z"));
    EXPECT_EQ(from_rfc3339("2024-02-29T00:00:00Z"), Timestamp{1709164800000ms});
    EXPECT_EQ(from_rfc3339("2026-03-02T07:15:00.99999Z"), from_rfc3339("2026-03-02T07:15:01Z"));
}

TEST(Rfc3339, RefusesNonsense) {
    for (const char* text : {"",
                             " ",
                             "now",
                             "yesterday",
                             "2026",
                             "2026-03-02",
                             "07:15:00Z",
                             "2026-03-02T07:15Z",
                             "2026-03-02T07:15:00",
                             "2026-3-2T07:15:00Z",
                             "2026-03-02T7:15:00Z",
                             "2026-02-29T00:00:00Z",
                             "2026-13-01T00:00:00Z",
                             "2026-00-01T00:00:00Z",
                             "2026-01-00T00:00:00Z",
                             "2026-01-32T00:00:00Z",
                             "2026-03-02T24:00:00Z",
                             "2026-03-02T23:60:00Z",
                             "2026-03-02T23:00:61Z",
                             "2026-03-02T07:15:00.Z",
                             "2026-03-02T07:15:00+1:00",
                             "2026-03-02T07:15:00+0100",
                             "2026-03-02T07:15:00+24:00",
                             "2026-03-02T07:15:00+01:60",
                             "2026-03-02T07:15:00Zzz",
                             "2026-03-02T07:15:00 Z",
                             "-026-03-02T07:15:00Z",
                             "+2026-03-02T07:15:00Z",
                             "2026/03/02T07:15:00Z",
                             "1772435700",
                             "2026-03-02X07:15:00Z",
                             "2026-03-02T-7:15:00Z",
                             "\xEF\xBB\xBF"
                             "2026-03-02T07:15:00Z",
                             "２０２６-03-02T07:15:00Z"})
        EXPECT_EQ(from_rfc3339(text), std::nullopt) << text;
}

/// Cut off anywhere, a moment is no moment; and no byte put in its place crashes the reader.
TEST(Rfc3339, SurvivesEveryCutAndEveryByte) {
    const std::string whole = "2026-03-02T07:15:00.250+01:00";
    ASSERT_TRUE(from_rfc3339(whole));
    for (std::size_t length = 0; length < whole.size(); ++length)
        EXPECT_EQ(from_rfc3339(std::string_view(whole).substr(0, length)), std::nullopt) << length;
    for (std::size_t place = 0; place < whole.size(); ++place) {
        for (int byte = 0; byte < 256; ++byte) {
            std::string spoilt = whole;
            spoilt[place] = static_cast<char>(byte);
            const auto read = from_rfc3339(spoilt);
            if (read) {
                EXPECT_EQ(from_rfc3339(to_rfc3339(*read)), read) << spoilt;
            }
        }
    }
}

TEST(Rfc3339, RoundTripsEveryMoment) {
    for (long long ms = -62'135'596'800'000; ms < 253'402'300'800'000; ms += 86'399'999'123) {
        const Timestamp t{Duration{ms}};
        EXPECT_EQ(from_rfc3339(to_rfc3339(t)), t) << ms;
    }
    EXPECT_EQ(to_rfc3339(Timestamp{1772435700000ms}), "2026-03-02T07:15:00Z");
    EXPECT_EQ(to_rfc3339(Timestamp{1772435700007ms}), "2026-03-02T07:15:00.007Z");
    EXPECT_EQ(to_rfc3339(Timestamp{-1ms}), "1969-12-31T23:59:59.999Z");
}

TEST(UnixSeconds, RoundToTheMillisecondAndBack) {
    EXPECT_EQ(from_unix_seconds(1.0004), Timestamp{1000ms});
    EXPECT_EQ(from_unix_seconds(1.0006), Timestamp{1001ms});
    EXPECT_EQ(from_unix_seconds(-0.5), Timestamp{-500ms});
    EXPECT_DOUBLE_EQ(unix_seconds(from_unix_seconds(1772435700.125)), 1772435700.125);
}

TEST(UnixSeconds, StayWithinTheCalendar) {
    EXPECT_EQ(to_rfc3339(from_unix_seconds(1e300)), "9999-12-31T23:59:59.999Z");
    EXPECT_EQ(to_rfc3339(from_unix_seconds(std::numeric_limits<double>::infinity())),
              "9999-12-31T23:59:59.999Z");
    EXPECT_EQ(to_rfc3339(from_unix_seconds(-1e300)), "0001-01-01T00:00:00Z");
    EXPECT_EQ(from_unix_seconds(std::nan("")), Timestamp{});
}

TEST(Hours, CountBothWays) {
    EXPECT_EQ(hours(1.5), 90min);
    EXPECT_DOUBLE_EQ(hours_between(Timestamp{}, Timestamp{} + hours(36.25)), 36.25);
    EXPECT_DOUBLE_EQ(hours_between(Timestamp{2h}, Timestamp{}), -2.0);
    EXPECT_EQ(hours(std::nan("")), 0ms);
    EXPECT_GT(hours(std::numeric_limits<double>::infinity()), std::chrono::hours{24} * 365'000'000LL);
    EXPECT_EQ(hours(-1e300), -hours(1e300));
}

}  // namespace
}  // namespace gyled::base
