/// The names that configuration, database and API share.

#include <gtest/gtest.h>

#include <set>
#include <string>

#include "daemon/base/pressure.hpp"
#include "daemon/base/quantity.hpp"
#include "daemon/base/result.hpp"
#include "daemon/base/stage.hpp"

namespace gyled::base {
namespace {

TEST(Quantity, HasOneNameAndAUnit) {
    std::set<std::string_view> names;
    for (const Quantity q : all_quantities()) {
        EXPECT_TRUE(names.insert(name(q)).second) << name(q);
        EXPECT_EQ(quantity_named(name(q)), q);
        EXPECT_NE(unit(q), "");
        if (is_moment(q)) {
            EXPECT_EQ(unit(q), "s");
        }
    }
    EXPECT_EQ(names.size(), 32U);
}

/// The numbers are in people's databases.
TEST(Quantity, KeepsItsNumber) {
    EXPECT_EQ(static_cast<int>(Quantity::beer_temperature), 0);
    EXPECT_EQ(static_cast<int>(Quantity::gravity), 3);
    EXPECT_EQ(static_cast<int>(Quantity::head_pressure), 4);
    EXPECT_EQ(static_cast<int>(Quantity::signal_strength), 8);
    EXPECT_EQ(static_cast<int>(Quantity::gravity_now), 32);
    EXPECT_EQ(static_cast<int>(Quantity::ready_time), 47);
    EXPECT_EQ(static_cast<int>(Quantity::closed_pressure), 48);
    EXPECT_EQ(static_cast<int>(Quantity::closing_gravity), 49);
    EXPECT_EQ(static_cast<int>(Quantity::head_space_air), 50);
    EXPECT_EQ(static_cast<int>(Quantity::head_space_oxygen), 51);
    EXPECT_EQ(static_cast<int>(Quantity::purge_cycles), 52);
    EXPECT_EQ(static_cast<int>(Quantity::heated_volume), 53);
    EXPECT_EQ(static_cast<int>(Quantity::forced_final_gravity), 54);
    EXPECT_TRUE(is_measured(Quantity::signal_strength));
    EXPECT_FALSE(is_measured(Quantity::gravity_now));
}

TEST(Words, AreRefusedWhenNobodySaysThem) {
    for (const char* text :
         {"", " ", "Gravity", "gravity ", "beer_temperature\n", "0", "nan", "gravity_now;drop"}) {
        EXPECT_EQ(quantity_named(text), std::nullopt) << text;
        EXPECT_EQ(stage_kind_named(text), std::nullopt) << text;
        EXPECT_EQ(head_space_named(text), std::nullopt) << text;
        EXPECT_EQ(culture_named(text), std::nullopt) << text;
    }
}

TEST(Words, NameEveryStageHeadSpaceAndCulture) {
    for (int i = 0; i <= static_cast<int>(StageKind::tightness); ++i)
        EXPECT_EQ(stage_kind_named(name(static_cast<StageKind>(i))), static_cast<StageKind>(i));
    for (int i = 0; i <= static_cast<int>(HeadSpace::supplied); ++i)
        EXPECT_EQ(head_space_named(name(static_cast<HeadSpace>(i))), static_cast<HeadSpace>(i));
    for (int i = 0; i <= static_cast<int>(Culture::mixed); ++i)
        EXPECT_EQ(culture_named(name(static_cast<Culture>(i))), static_cast<Culture>(i));
    EXPECT_EQ(stage_kind_named("mash_out"), StageKind::mash_out);
    EXPECT_EQ(head_space_named("spunded"), HeadSpace::spunded);
    EXPECT_TRUE(is_cold_side(StageKind::ferment));
    EXPECT_FALSE(is_cold_side(StageKind::chill));
    for (const StageKind around :
         {StageKind::clean, StageKind::rinse, StageKind::sanitise, StageKind::purge, StageKind::tightness}) {
        EXPECT_FALSE(is_cold_side(around)) << name(around);
        EXPECT_NE(is_cleaning(around), leaves_contents(around)) << name(around);
    }
}

TEST(Pressure, KnowsItsZero) {
    const Pressure on_the_mountain = Pressure::from_kpa_absolute(84.5);
    const Pressure vessel = Pressure::from_kpa_gauge(100, on_the_mountain);

    EXPECT_DOUBLE_EQ(vessel.kpa_absolute(), 184.5);
    EXPECT_DOUBLE_EQ(vessel.kpa_gauge(on_the_mountain), 100);
    EXPECT_DOUBLE_EQ(vessel.kpa_gauge(standard_atmosphere), 184.5 - 101.325);
    EXPECT_LT(on_the_mountain, standard_atmosphere);
}
static_assert(!std::is_convertible_v<double, Pressure> && !std::is_constructible_v<Pressure, double>,
              "a number does not say whether it is gauge or absolute");

TEST(Result, IsAValueOrAReason) {
    const Result<int, std::string> good = 3;
    const Result<int, std::string> bad = Unexpected{std::string("no such vessel")};
    ASSERT_TRUE(good);
    EXPECT_EQ(*good, 3);
    ASSERT_FALSE(bad);
    EXPECT_EQ(bad.error(), "no such vessel");
    EXPECT_THROW(static_cast<void>(bad.value()), std::bad_variant_access);
    // The same type on both sides is still told apart.
    const Result<std::string, std::string> reason = Unexpected{std::string("why")};
    EXPECT_FALSE(reason.has_value());
}

}  // namespace
}  // namespace gyled::base
