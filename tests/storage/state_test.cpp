#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <bit>
#include <limits>

#include "daemon/storage/database.hpp"
#include "daemon/storage/state_document.hpp"
#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;
using testing::UnorderedElementsAre;

constexpr double infinity = std::numeric_limits<double>::infinity();

batch::Record running(const std::string& id, const std::string& vessel) {
    batch::Record batch;
    batch.id = id;
    batch.plan.name = "Harbour Mild";
    batch.plan.vessel = vessel;
    batch.plan.culture_name = "the house's own";
    batch.plan.stages.resize(1);
    batch.plan.stages[0].kind = base::StageKind::ferment;
    batch.started = pitched();
    batch.stages = {{.index = 0, .at = pitched(), .why = "by plan", .end_reached = {}}};
    batch.uptake = estimation::gas::LearnedUptake{1, 2, 0.3, 5e-324};
    batch.prior = estimation::LearnedCurve{4, 2, {0.1, 1.0 / 3.0}, {1e-300, 0, 0, 5e-324}};
    return batch;
}

alarms::Occurrence occurrence() {
    return {.last = step("north/temperature_out_of_band/1", alarms::AlarmState::acknowledged, 3h, "20.8 °C"),
            .state = alarms::AlarmState::returning,
            .since = pitched(4h),
            .breached_since = pitched(50min),
            .acknowledged = true,
            .shelved_until = pitched(9h),
            .step = 3,
            .raised_value = 20.9,
            .worst = 21.3,
            .present = {.evidence_at = pitched(5h),
                        .value = 20.7,
                        .title = "North is warm",
                        .text = "20.7 °C",
                        .step = 2}};
}

/// No field as it is by default.
cellar::VesselState full_state() {
    cellar::VesselState state;
    state.vessel = "north";
    state.at = pitched(5h) + 7ms;
    state.batch = running("harbour-mild", "north");
    state.heat = {
        .heat_ups = 3, .losses = {0.25, 0.75}, .heater_kw = 2.1, .log_sigma = 0.02, .loss_w_per_k = 8.5};
    state.stage_clock = {
        .in_band = 50min, .in_band_seen = pitched(4h), .direction = batch::StageClock::Direction::falling};
    state.alarms.occurrences = {occurrence(), alarms::Occurrence{}};
    state.alarms.temperature = {.stage_since = pitched(), .nearest = -0.1, .arrived = true};
    state.alarms.pressure = {.stage_since = pitched(1h), .nearest = 1e-17, .arrived = true};
    state.alarms.listening_since = pitched(-1h);
    state.annunciations.entries = {{.alarm = "north/x/1",
                                    .priority = alarms::Priority::high,
                                    .at = pitched(2h),
                                    .heard = {"phone"},
                                    .first = pitched(1h)}};
    state.annunciations.kept = {{.alarm = "north/x/1",
                                 .recipient = "phone",
                                 .priority = alarms::Priority::high,
                                 .at = pitched(2h),
                                 .title = "20.8 °C",
                                 .stands = true}};
    state.annunciations.often = {{.subject = "north/x", .raised = {pitched(1h), pitched(2h)}}};
    state.sensors = {{.sensor = "north-gravity",
                      .last_at = pitched(4h),
                      .watched_since = pitched(-2h),
                      .cadence = {.intervals = 4, .mean_seconds = 900.1, .last = pitched(4h)}}};
    state.latest = {{base::Quantity::gravity, {1.0213, pitched(4h), 40min}},
                    {base::Quantity::head_pressure, {-0.0, pitched(5h), 10min}}};
    state.ambient_kpa = 100.9;
    state.unproven_pressure = alarms::Latest{189.25, pitched(2h)};
    state.tightness = {.stage_since = pitched(),
                       .first = pitched(1h),
                       .last_counted = pitched(3h),
                       .last = pitched(4h),
                       .first_gas = 1.0 / 12,
                       .most_gas = 0.09,
                       .count = 120,
                       .hours = 60,
                       .hours2 = 1.0 / 3,
                       .gas = -1e-17,
                       .gas2 = 1e-9,
                       .hours_gas = -0.1,
                       .kpa = 12'000,
                       .celsius = 2400};
    state.co2_held = {{pitched(4h), 1.0213, 61.5}};
    state.uptake = estimation::gas::LearnedUptake{1, 3, 1.0 / 3.0, 0.1};
    state.pressure.relief = {.history = {6, pitched(1h), pitched(2h), 181.3, 168.2},
                             .at = pitched(3h),
                             .kpa = 170.1,
                             .before_kpa = 169.9,
                             .noise_kpa2 = 0.04,
                             .peak_kpa = 170.2,
                             .lowest_kpa = 168.3,
                             .peak_at = pitched(2h),
                             .falls = true};
    state.pressure.purge = {.at = pitched(3h),
                            .peak_kpa = 80,
                            .peak_at = pitched(2h),
                            .cycles = 2,
                            .first = pitched(1h),
                            .last = pitched(2h)};
    state.last_batch = "harbour-mild";
    state.taught =
        cellar::Taught{{2, 3, {0.5, 1.0 / 3}, {1, 0, 0, 1}}, estimation::LearnedCurve{2, 2, {0.25}, {1}}};
    state.ended = cellar::EndedBatch{*state.batch,
                                     {.in_band = 51min,
                                      .in_band_seen = pitched(51min),
                                      .direction = batch::StageClock::Direction::rising}};
    state.broker_connected = false;
    state.impairments = {{"store_failing", "disk", "disk full", pitched(3h)}};
    return state;
}

/// No field as it is by default.
sensors::SensorState a_sensor() {
    sensors::SensorState state;
    state.sensor = "north-gravity";
    state.quantity = base::Quantity::gravity;
    state.latest = sensors::Past{pitched(4h), 1.0 / 3.0};
    state.last_known = 1.04;
    state.accepted = 40'000;
    state.clock_ahead = 2;
    state.rejected = {{"bad_time", 3}};
    state.last_reject = "\"noon\" is no time";
    state.available = false;
    state.doubted = {{pitched(4h), 1.1}};
    state.power_ups = 1;
    state.own_clock = {.equally_late = 3,
                       .late = 5h,
                       .first_own = pitched(),
                       .first_arrived = pitched(5h),
                       .last_own = pitched(1h),
                       .last_arrived = pitched(6h),
                       .behind = 1h,
                       .from = pitched(10min),
                       .until = pitched(50min),
                       .ahead = 3min};
    state.stillness = {.since = sensors::Past{pitched(1h), 1.02},
                       .until = pitched(4h),
                       .run = 3,
                       .pairs = 50.5,
                       .repeats = 0.1};
    return state;
}

/// It has no vessel and no batch.
cellar::VesselState of_the_watch() {
    cellar::VesselState state;
    state.at = pitched(1h);
    return state;
}

void expect_same(const cellar::VesselState& got, const cellar::VesselState& expected) {
    EXPECT_EQ(got.version, expected.version);
    EXPECT_EQ(got.vessel, expected.vessel);
    EXPECT_EQ(got.at, expected.at);
    EXPECT_EQ(got.stage_clock, expected.stage_clock);
    EXPECT_EQ(got.alarms, expected.alarms);
    EXPECT_EQ(got.annunciations, expected.annunciations);
    EXPECT_EQ(got.sensors, expected.sensors);
    EXPECT_EQ(got.latest, expected.latest);
    EXPECT_EQ(got.ambient_kpa, expected.ambient_kpa);
    EXPECT_EQ(got.unproven_pressure, expected.unproven_pressure);
    EXPECT_EQ(got.tightness, expected.tightness);
    EXPECT_EQ(got.co2_held, expected.co2_held);
    EXPECT_EQ(got.uptake, expected.uptake);
    EXPECT_EQ(got.pressure, expected.pressure);
    EXPECT_EQ(got.last_batch, expected.last_batch);
    EXPECT_EQ(got.taught, expected.taught);
    ASSERT_EQ(got.ended.has_value(), expected.ended.has_value());
    EXPECT_EQ(got.broker_connected, expected.broker_connected);
    EXPECT_EQ(got.impairments, expected.impairments);
    if (!got.ended) return;
    EXPECT_EQ(got.ended->clock, expected.ended->clock);
    EXPECT_EQ(got.ended->record.id, expected.ended->record.id);
}

TEST(States, ComeBackAsTheyWereWithTheirBatch) {
    Scratch scratch;
    {
        Store store{scratch.file()};
        Commit group;
        group.states = {full_state(), of_the_watch()};
        group.sensors = {a_sensor(), sensors::SensorState{}};
        store.write(group);
        store.write(group);
    }
    const ReadStore store{scratch.file()};

    const auto states = store.vessel_states();

    ASSERT_THAT(states, SizeIs(2));
    expect_same(states[0], of_the_watch());
    EXPECT_FALSE(states[0].batch);
    expect_same(states[1], full_state());
    ASSERT_TRUE(states[1].batch);
    EXPECT_EQ(states[1].batch->id, "harbour-mild");
    EXPECT_EQ(states[1].batch->prior, full_state().batch->prior) << "to the last bit, subnormal too";
    EXPECT_EQ(states[1].batch->uptake, full_state().batch->uptake);
    EXPECT_THAT(store.sensor_states(), UnorderedElementsAre(a_sensor(), sensors::SensorState{}));
}

/// As gyled wrote it before it watched relief valves and purges.
TEST(States, LoadWithoutWhatWasLearntLater) {
    const auto state = state_from(R"({"version": 1, "vessel": "north", "at_ms": 5, "ambient_kpa": 100.9})");

    EXPECT_EQ(state.ambient_kpa, 100.9);
    EXPECT_EQ(state.pressure, cellar::PressureMemory{});
    EXPECT_FALSE(state.uptake);
    EXPECT_THROW((void)state_from(R"({"version": 1, "uptake": "fast"})"), std::runtime_error);
    EXPECT_THROW((void)state_from(R"({"version": 1, "pressure": {"relief": {"falls": 3}}})"),
                 std::runtime_error);
    EXPECT_THROW((void)state_from(R"({"version": 1, "pressure": 7})"), std::runtime_error);
}

TEST(States, HaveTheBatchOfItsOwnRow) {
    Scratch scratch;
    Store store{scratch.file()};
    Commit group;
    group.states = {full_state()};
    store.write(group);
    Commit later;
    later.effects.batches = {*full_state().batch};
    later.effects.batches[0].measurements = {
        {.quantity = Quantity::gravity, .value = 1.02, .at = pitched(), .note = ""}};

    store.write(later);

    EXPECT_THAT(store.vessel_states().at(0).batch->measurements, SizeIs(1));
}

TEST(States, AreGoneTogetherWithTheGroupThatFailed) {
    Scratch scratch;
    Store store{Opening{.path = scratch.file(), .busy_timeout = 1s, .pages_max = 60}};
    Commit group;
    group.states = {full_state()};
    group.learned = {{"the house's own", *full_state().batch->prior}};
    for (int i = 0; i < 40'000; ++i)  // more than there is room for
        group.effects.readings.push_back(temperature_reading(i * 1s, 19 + i / 333.0));

    EXPECT_THROW(store.write(group), StorageError);

    EXPECT_THAT(store.vessel_states(), IsEmpty());
    EXPECT_THAT(store.learned(), IsEmpty());
    EXPECT_THAT(store.batches(10), IsEmpty());
}

TEST(StateDocument, KeepsNumbersToTheLastBit) {
    for (const double value :
         {0.1, 1.0 / 3.0, -0.0, 5e-324, 1.7976931348623157e308, 1e22, 123456789012345680.0, infinity,
          -infinity, std::numeric_limits<double>::quiet_NaN()}) {
        cellar::VesselState state;
        state.ambient_kpa = value;
        const auto back = state_from(to_document(state)).ambient_kpa;
        ASSERT_TRUE(back);
        EXPECT_EQ(std::bit_cast<std::uint64_t>(*back), std::bit_cast<std::uint64_t>(value)) << value;
    }
}

TEST(StateDocument, OfAnotherGyledIsReadAsFarAsItGoes) {
    const auto bare = state_from("{}");
    expect_same(bare, {});

    const auto more = state_from(R"({"vessel":"north","mood":"calm","stage_clock":{"moon":3}})");
    EXPECT_EQ(more.vessel, "north");
}

TEST(StateDocument, WithNonsenseIsRefusedInWords) {
    const std::pair<const char*, const char*> nonsense[] = {
        {"", "parse error"},
        {"[]", "not an object"},
        {R"({"version":2})", "version 2"},
        {R"({"at_ms":1.8e60})", "at_ms"},
        {R"({"at_ms":9223372036854775807})", "at_ms"},
        {R"({"at_ms":18446744073709551615})", "at_ms"},
        {R"({"at_ms":"noon"})", "at_ms"},
        {R"({"stage_clock":{"direction":"sideways"}})", "stage_clock: direction: unknown word 'sideways'"},
        {R"({"stage_clock":{"in_band_ms":[]}})", "in_band_ms"},
        {R"({"latest":{"humour":{"value":1}}})", "humour"},
        {R"({"latest":{"gravity":{"value":"heavy"}}})", "'heavy' is not a number"},
        {R"({"sensors":{}})", "not a list"},
        {R"({"sensors":[{"cadence":{"intervals":4000000000}}]})", "intervals"},
        {R"({"alarms":{"occurrences":[{"acknowledged":1}]}})", "acknowledged"},
    };
    for (const auto& [document, words] : nonsense) try {
            (void)state_from(document);
            ADD_FAILURE() << document << " was taken";
        } catch (const std::runtime_error& problem) {
            EXPECT_THAT(problem.what(), HasSubstr(words)) << document;
        }
}

TEST(States, ThatCannotBeReadAreDamage) {
    Scratch scratch;
    Store store{scratch.file()};
    Commit group;
    group.states = {full_state()};
    store.write(group);
    Database file{scratch.file(), Database::Access::read_write, 1s};
    file.execute(R"(UPDATE vessel_state SET document = '{"at_ms":1.8e60}')");

    try {
        (void)store.vessel_states();
        ADD_FAILURE() << "it was taken";
    } catch (const StorageError& error) {
        EXPECT_EQ(error.kind(), StorageError::Kind::damaged);
        EXPECT_THAT(error.what(), AllOf(HasSubstr("north"), HasSubstr("at_ms")));
    }
}

}  // namespace
}  // namespace gyled::storage
