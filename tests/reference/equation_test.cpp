/// Every check value against the function of ours that claims its equation.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <ostream>

#include "tests/reference/csv.hpp"
#include "tests/reference/equations.hpp"

namespace gyled::reference {
namespace {

/// How many rows each file has: a row lost on the way here would be a check lost.
const std::map<std::string, std::size_t> files{
    {"units.csv", 62},       {"water_density.csv", 12},
    {"balling.csv", 44},     {"co2_solubility_water.csv", 57},
    {"co2_beer.csv", 24},    {"dynamics.csv", 17},
    {"fermentation.csv", 1}, {"packaging.csv", 10},
    {"safety.csv", 17},      {"brewday.csv", 11},
    {"sensors.csv", 58},
};

/// What a row is looked up by: its equation, or its id when it is a constant.
const std::string& name_of(const CsvRow& row) {
    return row.at("fn") == "constant" ? row.at("id") : row.at("fn");
}

/// The equation or constant of ours that a row is about; nothing when there is none.
const Equation* ours(const CsvRow& row) {
    const auto& table = row.at("fn") == "constant" ? constants() : equations();
    const auto found = table.find(name_of(row));
    return found == table.end() ? nullptr : &found->second;
}

/// The rows of one file that share an equation and are about something of ours.
struct Group {
    std::string file;
    std::string fn;
    std::vector<CsvRow> rows;
};
void PrintTo(const Group& group, std::ostream* out) {
    *out << group.rows.size() << " rows of " << group.file << ", " << group.fn;
}

std::vector<Group> groups() {
    std::vector<Group> all;
    for (const auto& [file, count] : files) {
        std::map<std::string, Group> of_file;
        for (const CsvRow& row : read_csv(file)) {
            if (ours(row) == nullptr) continue;
            Group& group = of_file[row.at("fn")];
            group.file = file;
            group.fn = row.at("fn");
            group.rows.push_back(row);
        }
        for (auto& [fn, group] : of_file) all.push_back(std::move(group));
    }
    return all;
}

/// To the printed digits where the row is the equation worked out by someone else; else as the row says.
double allowed(const CsvRow& row) {
    const double tolerance = number(row.at("tolerance"));
    const bool same_equation =
        row.at("provenance") == "computed" && !row.at("note").starts_with("cross-model");
    if (!same_equation) return tolerance * (1 + 1e-9);
    return std::min(tolerance, 1e-6 * std::abs(number(row.at("expected"))) + 1e-9);
}

class EquationTest : public testing::TestWithParam<Group> {};

TEST_P(EquationTest, HoldsOnEveryRow) {
    for (const CsvRow& row : GetParam().rows) {
        SCOPED_TRACE(row.at("id") + " (" + row.at("inputs") + ") from " + row.at("source") + "; " +
                     row.at("provenance") + "; " + row.at("note"));
        const Inputs inputs(row.at("inputs"));
        EXPECT_NEAR((*ours(row))(inputs), number(row.at("expected")), allowed(row)) << row.at("unit");
        EXPECT_EQ(inputs.unused(), std::set<std::string>{});
    }
}

INSTANTIATE_TEST_SUITE_P(Reference, EquationTest, testing::ValuesIn(groups()), [](const auto& group) {
    return std::filesystem::path(group.param.file).stem().string() + "_" + group.param.fn;
});

TEST(ReferenceRows, AreAllHereEachWithItsSource) {
    std::set<std::string> ids;
    for (const auto& [file, count] : files) {
        const std::vector<CsvRow> rows = read_csv(file);
        EXPECT_EQ(rows.size(), count) << file;
        for (const CsvRow& row : rows) {
            EXPECT_TRUE(ids.insert(row.at("id")).second) << "twice: " << row.at("id");
            EXPECT_NE(row.at("source"), "") << row.at("id");
            EXPECT_NE(row.at("unit"), "") << row.at("id");
            EXPECT_TRUE((std::set<std::string>{"fetched", "memory", "common practice", "computed"})
                            .contains(row.at("provenance")))
                << row.at("id");
        }
    }
    for (const auto& entry : std::filesystem::directory_iterator(GYLED_SOURCE_DIR "/tests/reference")) {
        const std::string name = entry.path().filename().string();
        if (entry.path().extension() == ".csv" && !name.starts_with("co2_chart_") && name != "iapws.csv" &&
            name != "handbook.csv") {
            EXPECT_TRUE(files.contains(name)) << name << " is read by no test";
        }
    }
}

TEST(ReferenceRows, AreEitherOursOrSetAsideWithAReason) {
    std::set<std::string> named;
    for (const auto& [file, count] : files) {
        for (const CsvRow& row : read_csv(file)) {
            const bool set_aside = not_in_the_program().contains(name_of(row));
            EXPECT_NE(ours(row) != nullptr, set_aside)
                << row.at("id") << ", " << row.at("fn") << " in " << file;
            named.insert(name_of(row));
        }
    }

    for (const auto& [name, equation] : equations())
        EXPECT_TRUE(named.contains(name)) << "no row for " << name;
    for (const auto& [name, equation] : constants())
        EXPECT_TRUE(named.contains(name)) << "no row for " << name;
    for (const auto& [name, reason] : not_in_the_program())
        EXPECT_TRUE(named.contains(name)) << "no row for " << name;
}

TEST(ReferenceInputs, RefuseNonsense) {
    EXPECT_THROW(Inputs("t"), std::runtime_error);
    EXPECT_THROW(Inputs("t=warm"), std::runtime_error);
    EXPECT_THROW(Inputs("t=1x"), std::runtime_error);
    EXPECT_THROW(Inputs("t=1")("p"), std::runtime_error);
    EXPECT_THROW(read_csv("no_such.csv"), std::runtime_error);
    EXPECT_EQ(Inputs("t=1;p=2").unused(), (std::set<std::string>{"t", "p"}));
}

}  // namespace
}  // namespace gyled::reference
