/// What is believed of a sensor, and when.

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sensors/plausibility/jump.hpp"
#include "sensors/plausibility/range.hpp"
#include "sensors/plausibility/track.hpp"
#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using testing::ElementsAre;

/// One sensor's readings in a row, and what became of each: "accepted" or the reason.
class Told {
public:
    explicit Told(SensorSpec spec) : spec_{std::move(spec)}, intake{{spec_}} {}
    std::string operator()(Duration after, double value) {
        const Intaken outcome = intake.accept(message(spec_, fmt::format("{}", value), evening + after));
        return outcome.rejects.empty() ? "accepted" : reason(outcome);
    }

private:
    SensorSpec spec_;

public:
    Intake intake;
};

TEST(Range, IsTheQuantitysUnlessThePersonNarrowsIt) {
    EXPECT_EQ(Told{thermometer()}(0s, -6), "out_of_range");
    EXPECT_EQ(Told{thermometer()}(0s, -5), "accepted");
    EXPECT_EQ(Told{thermometer()}(0s, 110), "accepted");
    EXPECT_EQ(Told{thermometer()}(0s, 111), "out_of_range");
    SensorSpec cold = thermometer();
    cold.low = -2;
    cold.high = 30;
    EXPECT_EQ(Told{cold}(0s, 31), "out_of_range");
    EXPECT_EQ(Told{cold}(0s, -3), "out_of_range");
}

TEST(Range, OfAPressureDependsOnItsZero) {
    SensorSpec absolute = pressure_gauge();
    absolute.absolute = true;
    EXPECT_EQ(Told{pressure_gauge()}(0s, -90), "accepted") << "a vessel under vacuum";
    EXPECT_EQ(Told{absolute}(0s, -90), "out_of_range");
    EXPECT_EQ(Told{pressure_gauge()}(0s, 1001), "out_of_range");
    EXPECT_EQ(Told{absolute}(0s, 1001), "accepted");
}

TEST(Range, HoldsForLastKnownValuesToo) {
    Intake intake{{thermometer()}};
    EXPECT_EQ(reason(intake.accept(retained(thermometer(), "500"))), "out_of_range");
    EXPECT_FALSE(intake.health()[0].last_known);
}

TEST(Range, OfEveryMeasuredQuantityHoldsAnOrdinaryDay) {
    const std::pair<Quantity, double> ordinary[] = {
        {Quantity::beer_temperature, 19},   {Quantity::jacket_temperature, -4},
        {Quantity::room_temperature, 14},   {Quantity::gravity, 1.021},
        {Quantity::head_pressure, 82},      {Quantity::barometric_pressure, 101.3},
        {Quantity::supply_pressure, 5'700}, {Quantity::battery_voltage, 3.7},
        {Quantity::signal_strength, -67}};
    for (const auto& [quantity, value] : ordinary) EXPECT_TRUE(default_range(quantity, false).holds(value));
    EXPECT_FALSE(default_range(Quantity::gravity, false).holds(NAN));
}

TEST(Jump, OfASingleWildReadingIsRefusedAndForgotten) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 19.0), "accepted");
    EXPECT_EQ(told(15s, 60.0), "impossible_jump");
    EXPECT_EQ(told(30s, 19.1), "accepted");
    EXPECT_EQ(told(45s, 60.0), "impossible_jump");
    EXPECT_EQ(told(60s, 60.0), "impossible_jump");
    EXPECT_EQ(told(75s, 19.0), "accepted");
    EXPECT_EQ(told(90s, 60.0), "impossible_jump") << "the count starts anew";
}

TEST(Jump, ToANewLevelIsBelievedAtTheThirdReadingThatAgrees) {
    Told told{thermometer()};  // hot liquor is let in
    EXPECT_EQ(told(0s, 12.0), "accepted");
    EXPECT_EQ(told(15s, 72.0), "impossible_jump");
    EXPECT_EQ(told(30s, 72.4), "impossible_jump");
    EXPECT_EQ(told(45s, 72.3), "accepted");
    EXPECT_EQ(told(60s, 72.2), "accepted");
    EXPECT_EQ(told(75s, 61.0), "impossible_jump") << "dough-in";
    EXPECT_EQ(told(90s, 61.3), "impossible_jump");
    EXPECT_EQ(told(105s, 61.2), "accepted");
}

TEST(Jump, ReadingsThatDisagreeWithEachOtherProveNothing) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 12.0), "accepted");
    EXPECT_EQ(told(15s, 40.0), "impossible_jump");
    EXPECT_EQ(told(30s, 70.0), "impossible_jump");
    EXPECT_EQ(told(45s, 100.0), "impossible_jump");
    EXPECT_EQ(told(60s, 100.1), "impossible_jump");
    EXPECT_EQ(told(75s, 100.0), "accepted");
}

TEST(Jump, IsNoneWhenThereWasTimeForIt) {
    Told told{thermometer()};  // 5 degC at once and 5 degC a minute
    EXPECT_EQ(told(0s, 20.0), "accepted");
    EXPECT_EQ(told(10min, 66.0), "accepted") << "a strike kettle on full power";
    EXPECT_EQ(told(10min + 15s, 73.0), "impossible_jump");
}

TEST(Jump, OfPressureIsNeverHeldBack) {
    for (const Quantity q :
         {Quantity::head_pressure, Quantity::supply_pressure, Quantity::barometric_pressure})
        EXPECT_FALSE(jump_limit(q)) << gyled::base::name(q);
    Told told{pressure_gauge()};
    EXPECT_EQ(told(0s, 10), "accepted");
    EXPECT_EQ(told(1s, 900), "accepted") << "a burst is real until somebody has looked";
    EXPECT_EQ(told(2s, 0), "accepted");
}

TEST(Jump, OfGravityBeyondTenPointsInTenMinutesIsRefused) {
    Told told{hydrometer()};
    EXPECT_EQ(told(0min, 1.040), "accepted");
    EXPECT_EQ(told(5min, 1.0505), "impossible_jump") << "a bubble lifts the float";
    EXPECT_EQ(told(10min, 1.0295), "impossible_jump");
    EXPECT_EQ(told(15min, 1.040), "accepted");
    EXPECT_EQ(told(25min, 1.031), "accepted") << "nine points may be noise";
    EXPECT_EQ(told(26min + 24h * 2, 1.012), "accepted") << "two days of fermentation";
}

TEST(Jump, FromWaterToWortIsBelievedAtTheThirdReading) {
    Told told{hydrometer()};
    EXPECT_EQ(told(0min, 1.000), "accepted");
    EXPECT_EQ(told(15min, 1.048), "impossible_jump");
    EXPECT_EQ(told(30min, 1.049), "impossible_jump");
    EXPECT_EQ(told(45min, 1.048), "accepted");
}

SensorSpec dated_hydrometer() {
    SensorSpec spec = hydrometer();
    spec.payload = PayloadKind::json;
    spec.pointer = "/sg";
    spec.time_pointer = "/ts";
    return spec;
}

/// A reading that was taken at one time and arrived at another.
Intaken dated(Intake& intake, Timestamp taken, double sg, Timestamp arrived, bool kept = false) {
    Message m =
        message(dated_hydrometer(),
                fmt::format(R"({{"sg":{},"ts":"{}"}})", sg, gyled::base::to_rfc3339(taken)), arrived);
    m.retained = kept;
    return intake.accept(m);
}

TEST(EventTime, LetsTwelveDaysComeLateAndInAnyOrder) {
    Intake intake{{dated_hydrometer()}};
    const Timestamp woken = evening + 24h * 12;
    EXPECT_EQ(accepted_value(dated(intake, woken, 1.011, woken)), 1.011);

    const auto falling = [](int i) { return 1.048 - 0.037 * i / 1152; };  // every 15 minutes for 12 days
    for (int i = 0; i < 1152; i += 2)
        ASSERT_EQ(accepted_value(dated(intake, evening + i * 15min, falling(i), woken)), falling(i));
    for (int i = 1151; i > 0; i -= 2)
        ASSERT_EQ(accepted_value(dated(intake, evening + i * 15min, falling(i), woken)), falling(i));

    EXPECT_EQ(intake.accepted(), 1153u);
    EXPECT_EQ(intake.health()[0].last_at, woken);
    EXPECT_EQ(intake.health()[0].last_value, 1.011);
    EXPECT_EQ(reason(dated(intake, evening + 500 * 15min, falling(500), woken)), "duplicate");
}

TEST(EventTime, ComparesALateReadingWithItsNeighboursOnly) {
    Intake intake{{dated_hydrometer()}};
    const Timestamp later = evening + 24h;
    (void)dated(intake, evening, 1.048, later);
    (void)dated(intake, later, 1.010, later);

    EXPECT_EQ(accepted_value(dated(intake, evening + 5min, 1.047, later)), 1.047)
        << "far from the latest, near its own";
    EXPECT_EQ(reason(dated(intake, evening + 2min, 1.080, later)), "impossible_jump");
}

TEST(Jump, ABackfillInBetweenDoesNotForgetTheDoubt) {
    Intake intake{{dated_hydrometer()}};
    const Timestamp later = evening + 24h;
    (void)dated(intake, evening, 1.048, later);
    (void)dated(intake, later, 1.040, later);
    EXPECT_EQ(reason(dated(intake, later + 1min, 1.070, later)), "impossible_jump");
    EXPECT_EQ(reason(dated(intake, later + 2min, 1.070, later)), "impossible_jump");
    EXPECT_EQ(accepted_value(dated(intake, evening + 1h, 1.047, later)), 1.047);
    EXPECT_EQ(accepted_value(dated(intake, later + 2min - 1s, 1.070, later)), 1.070);
}

TEST(Jump, IsNotProvedByDeliveringTheSameReadingAgain) {
    Intake intake{{dated_hydrometer()}};
    (void)dated(intake, evening, 1.048, evening);
    for (int i = 0; i < 4; ++i) {
        EXPECT_EQ(reason(dated(intake, evening + 1min, 1.090, evening + 1min)), "impossible_jump");
        EXPECT_EQ(reason(dated(intake, evening + 2min, 1.090, evening + 2min)), "impossible_jump");
    }
    EXPECT_EQ(accepted_value(dated(intake, evening + 3min, 1.090, evening + 3min)), 1.090);
}

TEST(EventTime, AheadOfUsIsReplacedByTheArrivalAndCounted) {
    Intake intake{{dated_hydrometer()}};

    const Intaken tolerated = dated(intake, evening + 2min, 1.040, evening);
    const Intaken ahead = dated(intake, evening + 2min + 2s, 1.040, evening + 1s);

    EXPECT_EQ(tolerated.readings.at(0).at, evening + 2min);
    EXPECT_EQ(accepted_value(ahead), 1.040);
    EXPECT_EQ(ahead.readings.at(0).at, evening + 1s);
    EXPECT_EQ(intake.health()[0].clock_ahead, 1u);
    EXPECT_TRUE(intake.rejected().empty());
    EXPECT_EQ(dated(intake, evening + 1h, 1.040, evening + 2s, true).readings.at(0).verdict,
              Verdict::last_known)
        << "a retained reading whose time cannot be true is undated";
}

TEST(EventTime, MoreThanFourHundredDaysAgoIsAClockThatWasNeverSet) {
    Intake intake{{dated_hydrometer()}};
    EXPECT_EQ(accepted_value(dated(intake, evening - 24h * 400, 1.040, evening)), 1.040);
    EXPECT_EQ(reason(dated(intake, evening - 24h * 400 - 1s, 1.040, evening)), "too_old");
    EXPECT_EQ(reason(dated(intake, Timestamp{} + 30s, 1.040, evening)), "too_old");
}

TEST(OneWire, PowerUpValueIsNoTemperature) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 19.0), "accepted");
    for (int i = 1; i < 10; ++i)
        EXPECT_EQ(told(i * 15s, 85.0), "sensor_power_up") << "however often it comes";
    EXPECT_EQ(told(150s, 19.1), "accepted");
}

TEST(OneWire, MashWaterMayTrulyBeAtEightyFive) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 84.5), "accepted");
    EXPECT_EQ(told(15s, 85.0), "accepted");
    EXPECT_EQ(told(30s, 85.5), "accepted");
}

TEST(OneWire, WithNothingToCompareThePowerUpValueMustComeThreeTimes) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 85.0), "sensor_power_up");
    EXPECT_EQ(told(15s, 85.0), "sensor_power_up");
    EXPECT_EQ(told(30s, 85.0), "accepted");

    Told cold{thermometer()};
    EXPECT_EQ(cold(0s, 85.0), "sensor_power_up");
    EXPECT_EQ(cold(15s, 19.0), "accepted");
    EXPECT_EQ(cold(30s, 85.0), "sensor_power_up");
}

TEST(OneWire, ThePowerUpValuesThatProveThemselvesComeInARow) {
    Told told{thermometer()};
    EXPECT_EQ(told(0s, 85.0), "sensor_power_up");
    EXPECT_EQ(told(15s, 85.0), "sensor_power_up");
    EXPECT_EQ(told(30s, 120.0), "out_of_range");
    EXPECT_EQ(told(45s, 85.0), "sensor_power_up");
}

TEST(OneWire, MinusOneHundredTwentySevenIsNoDevice) {
    EXPECT_EQ(Told{thermometer()}(0s, -127), "no_device");
    EXPECT_EQ(Told{thermometer()}(0s, -127.5), "out_of_range");
}

TEST(OneWire, RuleLeavesOtherUnitsAlone) {
    SensorSpec fahrenheit = thermometer();
    fahrenheit.unit = "degF";
    EXPECT_EQ(Told{fahrenheit}(0s, 85.0), "accepted") << "29 degC";
    SensorSpec gauge = pressure_gauge();
    EXPECT_EQ(Told{gauge}(0s, 85.0), "accepted");
    SensorSpec platinum = thermometer();
    platinum.calibration.element = Calibration::Element::pt100;
    EXPECT_EQ(Told{platinum}(0s, 85.0), "out_of_range") << "85 ohm are -38 degC";
}

TEST(Stuck, IsFlaggedAfterADayAndNeverRefused) {
    Told told{thermometer()};
    const auto stuck = [&] { return told.intake.health()[0].stuck; };
    for (int i = 0; i < 4; ++i) EXPECT_EQ(told(i * 1h, 19.0 + 0.1 * i), "accepted");

    for (int i = 4; i <= 27; ++i) EXPECT_EQ(told(i * 1h, 19.3), "accepted");
    EXPECT_FALSE(stuck()) << "24 h exactly";
    EXPECT_EQ(told(28h, 19.3), "accepted");
    EXPECT_TRUE(stuck());
    EXPECT_EQ(told(29h, 19.4), "accepted");
    EXPECT_FALSE(stuck());
}

TEST(Stuck, IsNotSaidOfASensorThatNeverMoved) {
    Told told{pressure_gauge()};
    for (int i = 0; i < 72; ++i) EXPECT_EQ(told(i * 1h, 0.0), "accepted") << "a vented vessel";
    EXPECT_FALSE(told.intake.health()[0].stuck);
}

TEST(Stuck, IsJudgedByTheLatestReadingsWhateverComesLate) {
    Intake intake{{dated_hydrometer()}};
    const Timestamp later = evening + 30h;
    for (int i = 0; i < 4; ++i) (void)dated(intake, evening + i * 1h, 1.020 - 0.001 * i, later);
    for (int i = 4; i < 30; ++i) (void)dated(intake, evening + i * 1h, 1.017, later);
    ASSERT_TRUE(intake.health()[0].stuck);

    EXPECT_EQ(accepted_value(dated(intake, evening + 30min, 1.0195, later)), 1.0195);
    EXPECT_TRUE(intake.health()[0].stuck);
}

TEST(Duplicate, OfOneTimeIsOneReadingWhateverItSays) {
    Told told{pressure_gauge()};
    EXPECT_EQ(told(0s, 10), "accepted");
    EXPECT_EQ(told(0s, 10), "duplicate");
    EXPECT_EQ(told(0s, 11), "duplicate");
    EXPECT_EQ(told(1ms, 11), "accepted");
    EXPECT_THAT(told.intake.rejected(), ElementsAre(testing::Pair("duplicate", 2)));
}

TEST(Track, RemembersTheLatestThousandAndIsBounded) {
    Track track;
    for (int i = 0; i < 100'000; ++i) track.insert({evening + i * 1s, 19.0 + i % 7});

    for (int i = 100'000 - static_cast<int>(Track::kept); i < 100'000; ++i)
        ASSERT_TRUE(track.has(evening + i * 1s));
    EXPECT_FALSE(track.has(evening + (100'000 - 2 * static_cast<int>(Track::kept) - 1) * 1s));
    EXPECT_EQ(track.latest()->at, evening + 99'999s);
    const Track::Neighbours near = track.around(evening + 99'990s + 1ms);
    EXPECT_EQ(near.before->at, evening + 99'990s);
    EXPECT_EQ(near.after->at, evening + 99'991s);
}

TEST(Verdict, HasAName) {
    EXPECT_EQ(name(Verdict::accepted), "accepted");
    EXPECT_EQ(name(Verdict::out_of_range), "out_of_range");
    EXPECT_EQ(name(Verdict::impossible_jump), "impossible_jump");
    EXPECT_EQ(name(Verdict::stuck), "stuck");
    EXPECT_EQ(name(Verdict::last_known), "last_known");
    EXPECT_EQ(name(Verdict::duplicate), "duplicate");
}

}  // namespace
