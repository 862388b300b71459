#include "sensors/intake.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <stdexcept>

#include "tests/sensors/harbour.hpp"

namespace {

using namespace gyled::sensors;
using namespace gyled::sensors::harbour;
using gyled::base::from_rfc3339;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Pair;

TEST(Intake, TurnsABareNumberIntoAReadingOfItsVessel) {
    Intake intake{{thermometer()}};

    const Intaken outcome = intake.accept(message(thermometer(), " 19.4\n"));

    ASSERT_EQ(outcome.readings.size(), 1u);
    const Reading& reading = outcome.readings[0];
    EXPECT_EQ(reading.sensor, "north-beer");
    EXPECT_EQ(reading.vessel, "north");
    EXPECT_EQ(reading.quantity, Quantity::beer_temperature);
    EXPECT_DOUBLE_EQ(reading.value, 19.4);
    EXPECT_EQ(reading.at, evening);
    EXPECT_EQ(reading.arrived, evening);
    EXPECT_EQ(reading.verdict, Verdict::accepted);
    EXPECT_TRUE(outcome.rejects.empty());
    EXPECT_EQ(intake.accepted(), 1u);
    EXPECT_TRUE(intake.rejected().empty());
}

TEST(Intake, ConvertsToTheCanonicalUnitAndKeepsThePressuresZero) {
    SensorSpec warm = thermometer();
    warm.unit = "degF";
    SensorSpec gauge = pressure_gauge();
    gauge.unit = "psi";
    gauge.absolute = true;
    Intake intake{{warm, gauge}};

    EXPECT_NEAR(accepted_value(intake.accept(message(warm, "68"))), 20.0, 1e-9);
    const Intaken pressure = intake.accept(message(gauge, "15 psi"));
    EXPECT_NEAR(accepted_value(pressure), 103.4214, 1e-4);
    EXPECT_TRUE(pressure.readings[0].absolute);
}

TEST(Intake, ServesSeveralSensorsFromOneDocument) {
    SensorSpec gravity = hydrometer();
    gravity.topic = "cellar/north/float";
    gravity.payload = PayloadKind::json;
    gravity.pointer = "/sg";
    SensorSpec warm = thermometer();
    warm.topic = "cellar/+/float";
    warm.payload = PayloadKind::json;
    warm.pointer = "/probe/0/temp";
    Intake intake{{gravity, warm}};

    const Intaken outcome = intake.accept(message(gravity, R"({"sg":1.021,"probe":[{"temp":"18.5 degC"}]})"));

    ASSERT_EQ(outcome.readings.size(), 2u);
    EXPECT_DOUBLE_EQ(outcome.readings[0].value, 1.021);
    EXPECT_DOUBLE_EQ(outcome.readings[1].value, 18.5);
}

TEST(Intake, CountsWhatNobodyClaims) {
    Intake intake{{thermometer()}};

    const Intaken outcome = intake.accept({.topic = "kitchen/oven", .payload = "180", .arrived = evening});

    EXPECT_EQ(reason(outcome), "unclaimed_topic");
    EXPECT_EQ(outcome.rejects[0].sensor, "");
    EXPECT_THAT(intake.rejected(), ElementsAre(Pair("unclaimed_topic", 1)));
}

TEST(Intake, StaysWithinBoundsAndRightWhenATopicTreeIsEndless) {
    SensorSpec spec = thermometer();
    spec.topic = "cellar/+/temperature";
    Intake intake{{spec}};

    for (int i = 0; i < 25'000; ++i) {
        const std::string topic = "cellar/v" + std::to_string(i) + (i % 2 ? "/temperature" : "/humidity");
        (void)intake.accept({.topic = topic, .payload = "19.4", .arrived = evening + i * 1s});
    }

    EXPECT_EQ(intake.accepted(), 12'500u);
    EXPECT_EQ(intake.rejected().at("unclaimed_topic"), 12'500u);
}

TEST(Intake, ServesATopicTooLongToRemember) {
    SensorSpec spec = thermometer();
    spec.topic = "cellar/#";
    Intake intake{{spec}};
    const std::string topic = "cellar/" + std::string(60'000, 'x');

    for (int i = 0; i < 3; ++i)
        EXPECT_EQ(
            accepted_value(intake.accept({.topic = topic, .payload = "19.4", .arrived = evening + i * 1s})),
            19.4);
    EXPECT_EQ(reason(intake.accept({.topic = "x" + topic, .payload = "1", .arrived = evening})),
              "unclaimed_topic");
}

TEST(Intake, ShowsARetainedReadingWithoutATimeAsLastKnownOnly) {
    Intake intake{{thermometer()}};

    const Intaken outcome = intake.accept(retained(thermometer(), "19.4"));

    ASSERT_EQ(outcome.readings.size(), 1u);
    EXPECT_EQ(outcome.readings[0].verdict, Verdict::last_known);
    EXPECT_EQ(intake.accepted(), 0u);
    EXPECT_EQ(intake.health()[0].last_known, 19.4);
    EXPECT_FALSE(intake.health()[0].last_at);
    EXPECT_DOUBLE_EQ(accepted_value(intake.accept(message(thermometer(), "50"))), 50)
        << "no jump from old news";
}

TEST(Intake, TakesARetainedReadingWithItsOwnTimeAsAnyOther) {
    SensorSpec spec = hydrometer();
    spec.payload = PayloadKind::json;
    spec.pointer = "/sg";
    spec.time_pointer = "/ts";
    Intake intake{{spec}};
    const char* payload = R"({"sg":1.021,"ts":"2026-03-01T17:10:00Z"})";

    const Intaken first = intake.accept(retained(spec, payload));
    const Intaken again = intake.accept(retained(spec, payload, evening + 10min));

    EXPECT_DOUBLE_EQ(accepted_value(first), 1.021);
    EXPECT_EQ(first.readings[0].at, evening - 50min);
    EXPECT_EQ(reason(again), "duplicate");
    EXPECT_EQ(again.readings[0].verdict, Verdict::duplicate);
}

TEST(Intake, KnowsAfterARestartWhereASensorStood) {
    Intake intake{{thermometer()}};

    intake.remember("north-beer", evening, 19.0);
    intake.remember("nobody", evening, 19.0);

    EXPECT_EQ(intake.health()[0].last_value, 19.0);
    EXPECT_EQ(reason(intake.accept(message(thermometer(), "19.0", evening))), "duplicate");
    EXPECT_EQ(reason(intake.accept(message(thermometer(), "49.0", evening + 15s))), "impossible_jump");
}

TEST(Intake, HearsWhetherASensorIsThere) {
    SensorSpec spec = thermometer();
    spec.available = Availability{.topic = "cellar/north/there", .yes = "awake", .no = "asleep"};
    Intake intake{{spec}};
    const auto say = [&](const char* word) {
        return intake.accept({.topic = "cellar/north/there", .payload = word, .arrived = evening});
    };
    EXPECT_FALSE(intake.health()[0].available.has_value());

    EXPECT_TRUE(say("awake").rejects.empty());
    EXPECT_EQ(intake.health()[0].available, true);
    EXPECT_TRUE(say("asleep\n").rejects.empty());
    EXPECT_EQ(intake.health()[0].available, false);

    EXPECT_EQ(reason(say("perhaps")), "unknown_availability");
    EXPECT_EQ(intake.health()[0].available, false);
    EXPECT_THAT(intake.topic_filters(), ElementsAre("cellar/north/temperature", "cellar/north/there"));
}

TEST(Intake, NamesEachFilterOnce) {
    SensorSpec other = hydrometer();
    other.topic = thermometer().topic;
    EXPECT_THAT((Intake{{thermometer(), other}}.topic_filters()), ElementsAre("cellar/north/temperature"));
}

TEST(Intake, CountsEachReasonForEachSensor) {
    Intake intake{{thermometer(), hydrometer()}};

    (void)intake.accept(message(thermometer(), "warm"));
    (void)intake.accept(message(thermometer(), "unavailable"));
    (void)intake.accept(message(hydrometer(), "unavailable"));
    (void)intake.accept(message(hydrometer(), "1.4"));

    EXPECT_THAT(intake.health()[0].rejected, ElementsAre(Pair("not_a_number", 1), Pair("unavailable", 1)));
    EXPECT_THAT(intake.health()[1].rejected, ElementsAre(Pair("out_of_range", 1), Pair("unavailable", 1)));
    EXPECT_THAT(intake.rejected(),
                ElementsAre(Pair("not_a_number", 1), Pair("out_of_range", 1), Pair("unavailable", 2)));
    EXPECT_THAT(intake.health()[1].last_reject, HasSubstr("1.4 SG is outside 0.98 to 1.2"));
}

/// The words of the exception, or nothing when there was none.
std::string refusal_of(std::vector<SensorSpec> specs) {
    try {
        const Intake intake{std::move(specs)};
    } catch (const std::invalid_argument& problem) {
        return problem.what();
    }
    return {};
}

TEST(Intake, RefusesASensorThatCannotWorkAndNamesIt) {
    const auto refused = [](auto change) {
        SensorSpec spec = hydrometer();
        change(spec);
        return refusal_of({spec});
    };
    EXPECT_EQ(refused([](SensorSpec&) {}), "");

    EXPECT_THAT(refused([](SensorSpec& s) { s.topic = "cellar/#/gravity"; }),
                HasSubstr("sensor 'north-gravity': 'cellar/#/gravity' is not an MQTT topic filter"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.unit = "psi"; }),
                HasSubstr("unit 'psi' is not known for gravity"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.unit = "psi"; }), HasSubstr("SG, degP, degBx"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.payload = PayloadKind::json, s.pointer = "sg"; }),
                HasSubstr("'sg' is not a JSON pointer"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.payload = PayloadKind::json, s.time_pointer = "/a~2"; }),
                HasSubstr("'/a~2' is not a JSON pointer"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.payload = PayloadKind::senml; }), HasSubstr("resolved name"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.low = 1.2, s.high = 1.0; }),
                HasSubstr("low must be below high"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.calibration.table = {{1.0, 1.0}}; }), HasSubstr("two points"));
    EXPECT_THAT(refused([](SensorSpec& s) {
                    s.calibration.table = {{1.0, 1.0}, {1.0, 1.1}};
                }),
                HasSubstr("ascend"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.calibration.offset = NAN; }), HasSubstr("finite"));
    EXPECT_THAT(refused([](SensorSpec& s) {
                    s.calibration.element_constants = {5, 500};
                }),
                HasSubstr("no transducer"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.calibration.element = Calibration::Element::pt100; }),
                HasSubstr("gives degC"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.measures = Quantity::gravity_now; }),
                HasSubstr("only measured"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.available = Availability{.topic = "a+"}; }), HasSubstr("'a+'"));
    EXPECT_THAT(refusal_of({hydrometer(), hydrometer()}), HasSubstr("two sensors"));
    EXPECT_THAT(refused([](SensorSpec& s) { s.id = ""; }), HasSubstr("no id"));
}

}  // namespace
