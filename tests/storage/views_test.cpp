#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <map>

#include "daemon/storage/database.hpp"
#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using display::Display;
using testing::ElementsAre;
using testing::IsEmpty;

/// One row of text, as a person would see it in a console.
std::vector<std::string> ask(const std::string& path, const std::string& sql, int columns) {
    Database file{path, Database::Access::read_only, 1s};
    Statement rows{file, sql};
    std::vector<std::string> out;
    while (rows.next())
        for (int column = 0; column < columns; ++column)
            out.push_back(rows.is_null(column) ? "NULL" : rows.text(column));
    return out;
}

double number(const std::string& path, const std::string& sql) {
    Database file{path, Database::Access::read_only, 1s};
    Statement row{file, sql};
    EXPECT_TRUE(row.next()) << sql;
    return row.real(0);
}

batch::VesselSpec north() {
    batch::VesselSpec vessel;
    vessel.id = "north";
    vessel.name = "North";
    vessel.total_volume_l = 26;
    vessel.working_pressure_kpa = 200;
    vessel.relief_pressure_kpa = 180;
    vessel.vacuum_limit_kpa = -5;
    return vessel;
}

Display face_named(const std::string& name) {
    Display display = name == "metric" ? Display::metric() : Display::us();
    if (name == "plato") display.gravity = display::GravityUnit::plato;
    return display;
}

class InTheFaceOf : public testing::TestWithParam<const char*> {};
INSTANTIATE_TEST_SUITE_P(Views, InTheFaceOf, testing::Values("metric", "us", "plato"),
                         [](const auto& display) { return std::string{display.param}; });

TEST_P(InTheFaceOf, APersonReadingsAndBeliefsAreInTheirUnits) {
    const Display display = face_named(GetParam());
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, display, "Harbour cellar");

    // over the whole range in which each quantity is met; Plato, a cubic, must fit everywhere and not only
    // where it was sampled
    const std::map<Quantity, std::vector<double>> met{
        {Quantity::gravity, {0.990, 1.000, 1.0123, 1.050, 1.0777, 1.120, 1.150}},
        {Quantity::beer_temperature, {-2, 0, 19.37, 67, 100}},
        {Quantity::head_pressure, {-5, 0, 85.3, 200}},
        {Quantity::barometric_pressure, {95, 101.325}},
        {Quantity::battery_voltage, {3.71}},
        {Quantity::signal_strength, {-71}},
    };
    for (const auto& [quantity, values] : met)
        for (std::size_t i = 0; i < values.size(); ++i) {
            auto point = gravity_reading(std::chrono::hours{i}, values[i]);
            point.sensor = std::string{base::name(quantity)};
            point.quantity = quantity;
            store.write(readings({point}));
        }
    for (const auto& [quantity, values] : met)
        for (std::size_t i = 0; i < values.size(); ++i) {
            const std::string where =
                " WHERE vessel = 'north' AND quantity = '" + std::string{base::name(quantity)} +
                "' AND ts_ms = " + std::to_string(pitched(std::chrono::hours{i}).time_since_epoch().count());
            EXPECT_NEAR(number(scratch.file(), "SELECT value FROM dash_reading" + where),
                        display.shown(quantity, values[i]), 1e-7)
                << where;
            for (const char* column : {"value", "lo", "hi"})
                EXPECT_NEAR(
                    number(scratch.file(), std::string{"SELECT "} + column + " FROM dash_rollup" + where),
                    display.shown(quantity, values[i]), 1e-7);
            EXPECT_THAT(ask(scratch.file(), "SELECT DISTINCT unit FROM dash_reading" + where, 1),
                        ElementsAre(std::string{display.unit_text(quantity)}));
        }

    for (const Quantity quantity :
         {Quantity::gravity_now, Quantity::gravity_rate, Quantity::apparent_attenuation,
          Quantity::co2_volumes, Quantity::warm_pressure, Quantity::pressure_headroom}) {
        const base::Estimate estimate{1.01, 1.005, 1.05};
        store.write(estimates({belief(quantity, 1h, estimate)}));
        const std::string where = " FROM dash_estimate WHERE vessel = 'north' AND quantity = '" +
                                  std::string{base::name(quantity)} + "'";
        EXPECT_NEAR(number(scratch.file(), "SELECT value" + where), display.shown(quantity, estimate.value),
                    1e-7)
            << where;
        EXPECT_NEAR(number(scratch.file(), "SELECT lo" + where), display.shown(quantity, estimate.low), 1e-7)
            << where;
        EXPECT_NEAR(number(scratch.file(), "SELECT hi" + where), display.shown(quantity, estimate.high), 1e-7)
            << where;
    }
}

TEST_P(InTheFaceOf, APersonLimitsAreInTheirUnits) {
    const Display display = face_named(GetParam());
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, display, "Harbour cellar");

    for (const auto& [kind, kpa] : std::map<std::string, double>{
             {"working_pressure", 200}, {"relief_pressure", 180}, {"lowest", 180}, {"vacuum", -5}})
        EXPECT_NEAR(
            number(scratch.file(),
                   "SELECT value FROM dash_limit WHERE vessel = 'north' AND quantity = 'head_pressure' "
                   "AND kind = '" +
                       kind + "'"),
            display.shown(Quantity::head_pressure, kpa), 1e-9)
            << kind;
    EXPECT_THAT(ask(scratch.file(), "SELECT kind FROM dash_limit WHERE kind = 'weakest_fitting'", 1),
                IsEmpty())
        << "no rating was given";
}

TEST(Views, SpeakTheNewUnitsOfOldDataWhenThePersonChangesTheirMind) {
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, Display::metric(), "Harbour cellar");
    store.write(readings({temperature_reading(1h, 20)}));
    EXPECT_DOUBLE_EQ(number(scratch.file(), "SELECT value FROM dash_reading"), 20);

    store.describe({north()}, Display::us(), "Harbour cellar");

    EXPECT_DOUBLE_EQ(number(scratch.file(), "SELECT value FROM dash_reading"), 68);
}

TEST(Views, GiveMomentsInUnixSecondsAndNoEndAsNothing) {
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, Display::us(), "");
    const double finish = base::unix_seconds(pitched(90h));
    store.write(estimates(
        {belief(Quantity::finish_time, 1h, {finish, finish - 60, std::numeric_limits<double>::infinity()})}));

    EXPECT_DOUBLE_EQ(number(scratch.file(), "SELECT value FROM dash_estimate"), finish);
    EXPECT_THAT(ask(scratch.file(), "SELECT hi, unit FROM dash_estimate", 2), ElementsAre("NULL", ""));
}

TEST(Views, GiveEveryNumberAsARealForReadersThatTrustTheFirstRow) {
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, Display::metric(), "");
    store.write(readings(
        {temperature_reading(1h, 20), temperature_reading(2h, 20.25), temperature_reading(3h, 1.0 / 3)}));
    store.write(estimates(
        {belief(Quantity::co2_volumes, 1h, {1, 0, 2}), belief(Quantity::co2_volumes, 2h, {1.1, 0.9, 1.2})}));

    EXPECT_THAT(ask(scratch.file(), "SELECT DISTINCT typeof(value) FROM dash_reading", 1),
                ElementsAre("real"));
    EXPECT_THAT(
        ask(scratch.file(), "SELECT DISTINCT typeof(value), typeof(lo), typeof(hi) FROM dash_rollup", 3),
        ElementsAre("real", "real", "real"));
    EXPECT_THAT(
        ask(scratch.file(), "SELECT DISTINCT typeof(value), typeof(lo), typeof(hi) FROM dash_estimate", 3),
        ElementsAre("real", "real", "real"));
    EXPECT_THAT(ask(scratch.file(), "SELECT DISTINCT typeof(value) FROM dash_limit", 1), ElementsAre("real"));
}

TEST(Views, ShowVesselsOfTheConfigurationOnly) {
    Scratch scratch;
    Store store{scratch.file()};
    auto south = north();
    south.id = "it's \"south\"";
    south.name = "";
    store.describe({north(), south}, Display::metric(), "Harbour cellar");
    store.write(readings({gravity_reading(1h, 1.03, "sold last year")}));
    EXPECT_THAT(ask(scratch.file(), "SELECT key, name, site FROM dash_vessel ORDER BY name DESC", 3),
                ElementsAre("it's \"south\"", "it's \"south\"", "Harbour cellar", "north", "North",
                            "Harbour cellar"));

    store.describe({north()}, Display::metric(), "Harbour cellar");

    EXPECT_THAT(ask(scratch.file(), "SELECT key FROM dash_vessel", 1), ElementsAre("north"));
    EXPECT_THAT(ask(scratch.file(), "SELECT DISTINCT vessel FROM dash_limit", 1), ElementsAre("north"));
}

TEST(Views, FollowABatchThroughItsStages) {
    Scratch scratch;
    Store store{scratch.file()};
    store.describe({north()}, Display::us(), "");
    batch::Record batch;
    batch.id = "b";
    batch.plan.name = "Harbour Mild";
    batch.plan.vessel = "north";
    batch.plan.volume_l = 21;
    batch.plan.original_gravity = 1.038;
    batch::StagePlan ferment, crash;
    ferment.kind = base::StageKind::ferment;
    ferment.temperature_c = base::Band{18, 20};
    crash.kind = base::StageKind::crash;
    crash.pressure_kpa = base::Band{0, 100};
    batch.plan.stages = {ferment, crash};
    batch.started = pitched();
    batch.stages = {{.index = 0, .at = pitched(), .why = "by plan", .end_reached = {}}};
    Commit group;
    group.effects.batches = {batch};
    store.write(group);
    const std::string stages =
        "SELECT name, (ts_ms - 1772388000000) / 3600000, (ended_ms - 1772388000000) / 3600000 FROM "
        "dash_stage ORDER BY ts_ms";

    EXPECT_THAT(ask(scratch.file(), stages, 3), ElementsAre("ferment", "0", "NULL"));
    EXPECT_THAT(
        ask(scratch.file(),
            "SELECT quantity, kind, round(value, 2), unit FROM dash_limit WHERE kind LIKE 'band%'", 4),
        ElementsAre("beer_temperature", "band_low", "64.4", "°F", "beer_temperature", "band_high", "68.0",
                    "°F"));

    group.effects.batches[0].stages.push_back(
        {.index = 1, .at = pitched(96h), .why = "by hand", .end_reached = {}});
    store.write(group);
    EXPECT_THAT(ask(scratch.file(), stages, 3), ElementsAre("ferment", "0", "96", "crash", "96", "NULL"));
    EXPECT_THAT(ask(scratch.file(),
                    "SELECT quantity, kind, round(value, 2) FROM dash_limit WHERE kind LIKE 'band%'", 3),
                ElementsAre("head_pressure", "band_low", "0.0", "head_pressure", "band_high", "14.5"));

    group.effects.batches[0].ended = pitched(120h);
    store.write(group);
    EXPECT_THAT(ask(scratch.file(), stages, 3), ElementsAre("ferment", "0", "96", "crash", "96", "120"));
    EXPECT_THAT(ask(scratch.file(), "SELECT kind FROM dash_limit WHERE kind LIKE 'band%'", 1), IsEmpty());
    EXPECT_THAT(ask(scratch.file(),
                    "SELECT name, original_gravity, expected_final_gravity, volume_l FROM dash_batch", 4),
                ElementsAre("Harbour Mild", "1.038", "NULL", "21.0"));
}

TEST(Views, KeepWhatAnAlarmSaidWhenItRang) {
    Scratch scratch;
    Store store{scratch.file()};
    Commit group;
    group.effects.transitions = {step("a", alarms::AlarmState::raised, 1h, "North is warm"),
                                 step("a", alarms::AlarmState::acknowledged, 2h, ""),
                                 step("a", alarms::AlarmState::normal, 3h, "North is cool again")};

    store.write(group);

    EXPECT_THAT(ask(scratch.file(),
                    "SELECT state, summary, text, (ended_ms - started_ms) / 3600000 FROM dash_alarm", 4),
                ElementsAre("cleared", "North is warm", "North is cool again", "2"));
}

}  // namespace
}  // namespace gyled::storage
