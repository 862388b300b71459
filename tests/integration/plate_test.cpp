/// A plan against the plate, with the real programs: refused, confirmed, and told of what already runs.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "tests/integration/house.hpp"

namespace gyled::integration {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

class PlanAndPlate : public ::testing::Test {
protected:
    /// Carbonates straight away, at this pressure.
    std::string on_gas(int kpa) {
        const std::string file = house.path("gas.toml");
        std::ofstream{file}
            << "name = \"Harbour Mild\"\nvessel = \"north\"\nvolume_l = 21.0\n"
            << "[[stage]]\nkind = \"ferment\"\n"
            << "[[stage]]\nkind = \"carbonate\"\nhead_space = \"supplied\"\nhead_pressure_kpa = " << kpa
            << '\n';
        return file;
    }
    Json batch() { return house.get("/api/vessels/north")["batch"]; }

    House house;
};

TEST_F(PlanAndPlate, IsRefusedOrConfirmedAndOnceItRunsItIsTold) {
    house.start_daemon();

    const Ran refused = house.gyle({"batch", "start", on_gas(500), "--confirm"});
    EXPECT_EQ(refused.code, 1);
    EXPECT_THAT(refused.said, HasSubstr("dangerous: Stage 2 (carbonate): the regulator is set to 5.00 bar"));
    EXPECT_THAT(refused.said, HasSubstr("head_pressure_kpa = 166"));
    EXPECT_TRUE(batch().is_null());

    const Ran asked = house.gyle({"batch", "start", on_gas(170)});
    EXPECT_EQ(asked.code, 1);
    EXPECT_THAT(asked.said, HasSubstr("say it again with --confirm"));
    EXPECT_TRUE(batch().is_null());
    const Ran started = house.gyle({"batch", "start", on_gas(170), "--confirm"});
    EXPECT_EQ(started.code, 0) << started.said;
    EXPECT_EQ(batch()["findings"].size(), 1U);

    // somebody reads the relief valve's mark: 1 bar. What runs goes on, and is told; what would follow is
    // refused
    EXPECT_EQ(house.stop_daemon(), 0);
    house.edit_config("relief_pressure_kpa = 180", "relief_pressure_kpa = 100");
    house.start_daemon();
    EXPECT_THAT(house.daemon_log(), HasSubstr("north, dangerous: Stage 2 (carbonate)"));
    EXPECT_EQ(batch()["name"], "Harbour Mild");
    EXPECT_EQ(batch()["findings"][0]["severity"], "dangerous");
    EXPECT_THAT(house.gyle({"status"}).said, HasSubstr("dangerous: Stage 2 (carbonate)"));
    EXPECT_EQ(house.gyle({"batch", "next", "north", "--confirm"}).code, 1);
    EXPECT_EQ(house.gyle({"measure", "north", "gravity", "1.020"}).code, 0);
    EXPECT_EQ(batch()["stage_index"], 0);
    EXPECT_EQ(house.stop_daemon(), 0);
}

TEST_F(PlanAndPlate, ACheckOfTheConfigurationRefusesAValveAboveTheWeakestFitting) {
    house.edit_config("relief_pressure_kpa = 180", "relief_pressure_kpa = 180\nweakest_fitting_kpa = 100");
    const Ran refused =
        run({GYLED, "--config", house.path("gyled.toml"), "--check-config"}, house.path("check.out"));
    EXPECT_EQ(refused.code, 2);
    EXPECT_THAT(refused.said, HasSubstr("DANGER"));
    EXPECT_THAT(refused.said, HasSubstr("1 mistake in the configuration"));

    house.edit_config("relief_pressure_kpa = 180\n", "");
    const Ran warned =
        run({GYLED, "--config", house.path("gyled.toml"), "--check-config"}, house.path("check.out"));
    EXPECT_EQ(warned.code, 0);
    EXPECT_THAT(warned.said, HasSubstr("warning: relief_pressure_kpa is not given"));
    EXPECT_THAT(warned.said, Not(HasSubstr("all in order")));
}

}  // namespace
}  // namespace gyled::integration
