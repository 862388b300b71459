// How values look to a person. Conversions are held to the definitions of the units (NIST SP 811) and to the
// ASBC table's fit; local time to the law of summer time in Portugal (Western European Time, clocks change at
// 01:00 UTC on the last Sundays of March and October).
#include "daemon/display/display.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace {

using namespace gyled::base;
using namespace gyled::display;
using namespace std::chrono_literals;

Timestamp utc(std::string_view text) {
    return from_rfc3339(text).value();
}
Display lisbon() {
    Display display = Display::metric();
    display.time_zone = "Europe/Lisbon";
    return display;
}
constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

TEST(Display, ShowsMetricUnits) {
    const Display display = Display::metric();

    EXPECT_EQ(display.text(Quantity::beer_temperature, 20.62), "20.6 °C");
    EXPECT_EQ(display.text(Quantity::gravity, 1.0123), "1.012 SG");
    EXPECT_EQ(display.text(Quantity::head_pressure, 85), "0.85 bar");
    EXPECT_EQ(display.text(Quantity::co2_volumes, 2.411), "2.41 vol");
    EXPECT_EQ(display.text(Quantity::apparent_attenuation, 78.4), "78 %");
    EXPECT_EQ(display.text(Quantity::alcohol_by_volume, 3.85001), "3.9 %");
    EXPECT_EQ(display.text(Quantity::battery_voltage, 3.71), "3.71 V");
    EXPECT_EQ(display.text(Quantity::signal_strength, -71), "-71 dBm");
}

TEST(Display, ShowsUsUnits) {
    const Display display = Display::us();

    EXPECT_EQ(display.text(Quantity::beer_temperature, 20), "68.0 °F");      // definition of the scale
    EXPECT_EQ(display.text(Quantity::beer_temperature, 100), "212.0 °F");    // definition of the scale
    EXPECT_EQ(display.text(Quantity::head_pressure, 82.73709), "12.0 psi");  // 12 psi, NIST SP 811
    EXPECT_NEAR(display.shown(Quantity::barometric_pressure, 101.325), 14.69595, 1e-5);  // 1 atm, NIST SP 811
    EXPECT_EQ(display.text(Quantity::gravity, 1.048), "1.048 SG");
}

TEST(Display, ShowsPlatoAndKilopascal) {
    Display display = Display::metric();
    display.gravity = GravityUnit::plato;
    display.pressure = PressureUnit::kilopascal;

    EXPECT_NEAR(display.shown(Quantity::gravity_now, 1.048), 11.91208, 0.002);  // fit to the ASBC table
    EXPECT_EQ(display.text(Quantity::final_gravity, 1.012), "3.1 °P");          // 3.068, same source
    EXPECT_EQ(display.text(Quantity::head_pressure, 101.3), "101.3 kPa");
}

TEST(Display, ADifferenceOfTemperatureHasNoOffset) {
    EXPECT_DOUBLE_EQ(Display::us().span(Quantity::beer_temperature, 10), 18);  // 1 degC is 1.8 degF
    EXPECT_DOUBLE_EQ(Display::metric().span(Quantity::beer_temperature, 10), 10);
    EXPECT_DOUBLE_EQ(Display::us().span(Quantity::beer_temperature, 0), 0);
}

TEST(Display, ARateOfGravityIsADifferenceToo) {
    Display display = Display::metric();
    display.gravity = GravityUnit::plato;

    // From the ASBC fit: 1.020 is 5.080916 and 1.016 is 4.078045 degrees Plato.
    EXPECT_NEAR(display.shown(Quantity::gravity_rate, -0.004), 4.078045 - 5.080916,
                0.01);  // the slope varies
    EXPECT_EQ(display.text(Quantity::gravity_rate, 0), "0.00 °P/d");
    EXPECT_EQ(Display::metric().text(Quantity::gravity_rate, -0.0041), "-0.0041 SG/d");
}

TEST(Display, EveryQuantityHasAUnitUnlessItIsAMoment) {
    for (const Quantity q : all_quantities())
        EXPECT_EQ(Display::metric().unit_text(q).empty(), is_moment(q)) << name(q);
}

TEST(Display, NonsenseIsNamedNotPrinted) {
    const Display display = Display::metric();

    EXPECT_EQ(display.text(Quantity::gravity, nan), "unknown");
    EXPECT_EQ(display.text(Quantity::finish_time, nan), "unknown");
    EXPECT_EQ(display.text(Quantity::limit_time, infinity), "no end in sight");
    EXPECT_EQ(display.text(Quantity::limit_time, -infinity), "past");
    EXPECT_EQ(display.text(Quantity::beer_temperature, -0.01), "0.0 °C");
    EXPECT_EQ(display.text(Quantity::beer_temperature, 1e300).size(), 301U + 2 + 4);
}

TEST(LocalTime, FollowsSummerTimeInLisbon) {
    // In 2026 the last Sundays are 29 March and 25 October.
    EXPECT_EQ(lisbon().local(utc("2026-03-05T16:10:00Z")), "Thu 5 Mar 16:10");
    EXPECT_EQ(lisbon().local(utc("2026-07-05T16:10:00Z")), "Sun 5 Jul 17:10");
    EXPECT_EQ(lisbon().local(utc("2026-03-29T00:59:59Z")), "Sun 29 Mar 00:59");
    EXPECT_EQ(lisbon().local(utc("2026-03-29T01:00:00Z")), "Sun 29 Mar 02:00");
    EXPECT_EQ(lisbon().local(utc("2026-10-25T00:59:59Z")), "Sun 25 Oct 01:59");
    EXPECT_EQ(lisbon().local(utc("2026-10-25T01:00:00Z")), "Sun 25 Oct 01:00");
}

TEST(LocalTime, TheDayTurnsWhereThePersonIs) {
    Display display = Display::us();
    display.time_zone = "America/Denver";  // seven hours behind in winter

    EXPECT_EQ(display.local(utc("2027-01-01T03:00:00Z")), "Thu 31 Dec 20:00");
}

TEST(LocalTime, AnUnknownZoneFallsBackToUtcAndSaysSo) {
    Display display = Display::metric();
    for (const char* zone : {"Atlantis/Harbour", "", "Europe/Lisbon ", "../../etc/passwd"}) {
        display.time_zone = zone;
        EXPECT_EQ(display.local(utc("2026-07-05T16:10:00Z")), "Sun 5 Jul 16:10 UTC") << zone;
        EXPECT_FALSE(time_zone_known(zone)) << zone;
    }
    EXPECT_TRUE(time_zone_known("Europe/Lisbon"));
    EXPECT_TRUE(time_zone_known("UTC"));
}

TEST(LocalTime, AMomentAmongTheQuantitiesIsLocal) {
    EXPECT_EQ(lisbon().text(Quantity::finish_time, unix_seconds(utc("2026-07-05T16:10:00Z"))),
              "Sun 5 Jul 17:10");
}

TEST(DurationText, SpeaksInTheTwoUnitsThatMatter) {
    EXPECT_EQ(duration_text(0s), "0 s");
    EXPECT_EQ(duration_text(45s), "45 s");
    EXPECT_EQ(duration_text(10min + 59s), "10 min");
    EXPECT_EQ(duration_text(3h + 10min), "3 h 10 min");
    EXPECT_EQ(duration_text(2h), "2 h");
    EXPECT_EQ(duration_text(52h + 59min), "2 d 4 h");
    EXPECT_EQ(duration_text(48h), "2 d");
    EXPECT_EQ(duration_text(-90min), "-1 h 30 min");
    EXPECT_EQ(duration_text(999ms), "0 s");
}

}  // namespace
