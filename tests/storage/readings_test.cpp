#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "tests/storage/cellar_notes.hpp"

namespace gyled::storage {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double infinity = std::numeric_limits<double>::infinity();

std::vector<double> values(const std::vector<cellar::ReadingPoint>& points) {
    std::vector<double> out;
    for (const auto& point : points) out.push_back(point.value);
    return out;
}

TEST(Readings, ComeBackInTheOrderInWhichTheyWereTaken) {
    Scratch scratch;
    Store store{scratch.file()};

    store.write(readings({gravity_reading(2h, 1.030), gravity_reading(1h, 1.036)}));
    store.write(readings({temperature_reading(90min, 19.5), gravity_reading(0h, 1.038)}));

    EXPECT_THAT(values(all_readings(store)), ElementsAre(1.038, 1.036, 19.5, 1.030));
}

TEST(Readings, SurviveARestartWithAllTheyCarry) {
    Scratch scratch;
    Store{scratch.file()}.write(readings({gravity_reading(1h, 1.0367)}));

    Store again{scratch.file()};
    const auto found = all_readings(again);

    ASSERT_THAT(found, SizeIs(1));
    EXPECT_EQ(found[0].sensor, "north-gravity");
    EXPECT_EQ(found[0].vessel, "north");
    EXPECT_EQ(found[0].quantity, Quantity::gravity);
    EXPECT_EQ(found[0].at, pitched(1h));
    EXPECT_EQ(found[0].quality, sensors::Quality::accepted);
}

TEST(Readings, KeepEveryBitWhateverTheSensorSays) {
    Scratch scratch;
    Store store{scratch.file()};
    std::vector<double> said{19.37,    1.0123,          1.05123, 1.0 / 3, 0.1 + 0.2,
                             -0.00001, 1e-300,          1e300,   5e-324,  -273.15,
                             83.886,   123456789.12345, 0,       -40,     std::numeric_limits<double>::max()};
    std::mt19937_64 random{20260301};
    std::uniform_real_distribution<double> anything{-500, 500};
    for (int i = 0; i < 500; ++i) said.push_back(anything(random));
    for (int i = 0; i < 500; ++i) said.push_back(std::round(anything(random) * 100) / 100);

    Commit group;
    for (std::size_t i = 0; i < said.size(); ++i)
        group.effects.readings.push_back(temperature_reading(std::chrono::seconds{i}, said[i]));
    store.write(group);

    EXPECT_EQ(values(all_readings(store)), said);
}

TEST(Readings, DeliveredTwiceAreKeptOnceAndTheFirstStays) {
    Scratch scratch;
    Store store{scratch.file()};

    EXPECT_EQ(store.write(readings({gravity_reading(1h, 1.030), gravity_reading(1h, 1.031)})), 1U);
    EXPECT_EQ(store.write(readings({gravity_reading(1h, 1.032), gravity_reading(2h, 1.029)})), 1U);

    EXPECT_THAT(values(all_readings(store)), ElementsAre(1.030, 1.029));
    const Trend day = store.trend("north", Quantity::gravity, pitched(), pitched(24h), 10);
    EXPECT_EQ(day.value, (std::vector<double>{(1.030 + 1.029) / 2}))
        << "the roll-up must not count it twice either";
}

TEST(Readings, OfTwoSensorsAtOneMomentAreTwo) {
    Scratch scratch;
    Store store{scratch.file()};

    EXPECT_EQ(
        store.write(readings({gravity_reading(1h, 1.030, "north"), gravity_reading(1h, 1.040, "south")})),
        2U);

    EXPECT_THAT(values(all_readings(store, "south")), ElementsAre(1.040));
}

TEST(Readings, ThatAreNoNumbersNeverEnter) {
    Scratch scratch;
    Store store{scratch.file()};

    EXPECT_EQ(store.write(readings({gravity_reading(1h, nan), gravity_reading(2h, infinity),
                                    gravity_reading(3h, -infinity), gravity_reading(4h, 1.020)})),
              1U);

    EXPECT_THAT(values(all_readings(store)), ElementsAre(1.020));
    const Trend day = store.trend("north", Quantity::gravity, pitched(), pitched(240h), 10);
    EXPECT_THAT(day.value, ElementsAre(1.020));
}

TEST(Readings, JudgedOutAreKeptApart) {
    Scratch scratch;
    Store store{scratch.file()};
    auto impossible = gravity_reading(1h, 1.999);
    impossible.quality = sensors::Quality::impossible_jump;

    EXPECT_EQ(store.write(readings({impossible, gravity_reading(2h, 1.030)})), 1U);

    EXPECT_THAT(values(all_readings(store)), ElementsAre(1.030));
    EXPECT_THAT(store.trend("north", Quantity::gravity, pitched(), pitched(24h), 1).high, ElementsAre(1.030));
}

TEST(Readings, WithNonsenseForNamesAreKeptAllTheSame) {
    Scratch scratch;
    Store store{scratch.file()};
    const std::vector<std::string> names{"",
                                         "'; DROP TABLE reading; --",
                                         "\"quoted\"",
                                         "naïve 🍺 кружка",
                                         "a\nb\tc",
                                         "%",
                                         std::string(10'000, 'x'),
                                         "\xff\xfe",
                                         std::string("nul\0inside", 10),
                                         "?1",
                                         "vessel' OR '1'='1"};
    Commit group;
    for (std::size_t i = 0; i < names.size(); ++i) {
        auto point = gravity_reading(std::chrono::hours{i}, 1.0 + 0.001 * static_cast<double>(i));
        point.sensor = names[i];
        point.vessel = names[names.size() - 1 - i];
        group.effects.readings.push_back(point);
    }

    EXPECT_EQ(store.write(group), names.size());
    const auto found = all_readings(store);

    ASSERT_EQ(found.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        EXPECT_EQ(found[i].sensor, names[i]);
        EXPECT_EQ(found[i].vessel, names[names.size() - 1 - i]);
    }
    EXPECT_THAT(store.trend("'; DROP TABLE reading; --", Quantity::gravity, pitched(), pitched(24h), 3).value,
                SizeIs(1));
}

TEST(Readings, FromBeforeTheEpochAndFromTheFarFutureHaveTheirPlace) {
    Scratch scratch;
    Store store{scratch.file()};
    auto ancient = gravity_reading(0h, 1.050);
    ancient.at = Timestamp{} - 1ms;
    auto future = gravity_reading(0h, 1.010);
    future.at = *base::from_rfc3339("9999-12-31T23:59:59Z");

    EXPECT_EQ(store.write(readings({future, ancient})), 2U);

    EXPECT_THAT(values(all_readings(store)), ElementsAre(1.050, 1.010));
    EXPECT_THAT(store.trend("north", Quantity::gravity, Timestamp{} - 1h, Timestamp{}, 4).value,
                ElementsAre(1.050));
    const Trend rolled_up = store.trend("north", Quantity::gravity, Timestamp{} - 48h, Timestamp{}, 4);
    EXPECT_THAT(rolled_up.value, ElementsAre(1.050));
}

TEST(Readings, OfAnEmptyStoreAreNone) {
    Scratch scratch;
    const Store store{scratch.file()};

    EXPECT_THAT(all_readings(store), IsEmpty());
    EXPECT_THAT(store.vessel_states(), IsEmpty());
    EXPECT_THAT(store.batches(10), IsEmpty());
    EXPECT_THAT(store.standing_alarms(), IsEmpty());
    EXPECT_EQ(store.trend("north", Quantity::gravity, pitched(), pitched(24h), 10), Trend{});
}

TEST(Readings, AreAskedForUpToAMomentNotIncludingIt) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(
        readings({gravity_reading(1h, 1.030), gravity_reading(2h, 1.029), gravity_reading(3h, 1.028)}));
    std::vector<double> seen;

    const std::size_t count = store.for_each_reading("north", pitched(1h), pitched(3h),
                                                     [&](const auto& point) { seen.push_back(point.value); });

    EXPECT_EQ(count, 2U);
    EXPECT_THAT(seen, ElementsAre(1.030, 1.029));
}

TEST(StoredValues, ComePageByPageAndNoMomentIsTorn) {
    Scratch scratch;
    Store store{scratch.file()};
    store.write(readings({gravity_reading(1h, 1.036), temperature_reading(1h, 19.5),
                          temperature_reading(2h, 19.6), temperature_reading(3h, 19.7),
                          gravity_reading(3h, 1.030), temperature_reading(3h, 4, "south")}));
    store.write(estimates({belief(Quantity::gravity_now, 2h, {1.033, 1.032, 1.034}),
                           belief(Quantity::finish_time, 4h, {1e9, 0.9e9, infinity})}));

    std::vector<cellar::StoredValue> all;
    int pages = 0;
    for (std::optional<Timestamp> from = pitched(); from; ++pages) {
        const auto page = store.values("north", *from, pitched(5h), 3);
        from = page.next;
        all.insert(all.end(), page.values.begin(), page.values.end());
    }

    std::vector<std::string> told;
    for (const auto& v : all)
        told.push_back(std::to_string((v.at - pitched()) / 1h) + " " + v.sensor + " " +
                       std::string{base::name(v.quantity)});
    EXPECT_THAT(told,
                ElementsAre("1 north-gravity gravity", "1 north-probe beer_temperature",
                            "2 north-probe beer_temperature", "2  gravity_now", "3 north-gravity gravity",
                            "3 north-probe beer_temperature", "4  finish_time"));
    EXPECT_EQ(all[3].value, (base::Estimate{1.033, 1.032, 1.034}));
    EXPECT_EQ(all[6].value.high, infinity);
    EXPECT_GT(pages, 1);
    EXPECT_THAT(store.values("north", pitched(3h), pitched(3h), 3).values, IsEmpty());
    EXPECT_THAT(store.values("west", pitched(), pitched(5h), 3).values, IsEmpty());
}

}  // namespace
}  // namespace gyled::storage
