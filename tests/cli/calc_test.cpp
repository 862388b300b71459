/// gyle calc: each sum against something outside, and nonsense.

#include <gmock/gmock.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "daemon/cli/run.hpp"

namespace gyled::cli {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::Not;
using Json = nlohmann::json;

struct Said {
    int code;
    std::string out, talk;
};

using Words = std::vector<std::string>;

Said calc(Words words) {
    words.insert(words.begin(), {"gyle", "calc"});
    std::vector<const char*> argv;
    for (const std::string& word : words) argv.push_back(word.c_str());
    std::ostringstream out, talk;
    const int code = run(static_cast<int>(argv.size()), argv.data(), out, talk);
    return {code, out.str(), talk.str()};
}

Json document(Words words) {
    words.emplace_back("--json");
    const Said said = calc(std::move(words));
    EXPECT_THAT(said.talk, IsEmpty());
    return Json::parse(said.out);
}

/// A figure of the answer, in its canonical unit.
double figure(const Words& words, const std::string& name) {
    return document(words).at("answer").at(name).at("value").get<double>();
}

/// A sum as it is asked, and what must come out.
struct Row {
    const char* name;
    Words words;
    const char* figure;
    double expected, within;
    const char* source;
};
void PrintTo(const Row& row, std::ostream* out) {
    *out << row.name << ": " << row.source;
}

class Calc : public ::testing::TestWithParam<Row> {};

TEST_P(Calc, GivesWhatIsPublished) {
    const Json answer = document(GetParam().words);
    const Json& found = answer.at("answer").at(GetParam().figure);
    EXPECT_NEAR(found.at("value").get<double>(), GetParam().expected, GetParam().within);
    EXPECT_LE(found.at("low"), found.at("value"));
    EXPECT_LE(found.at("value"), found.at("high"));
    EXPECT_FALSE(answer.at("source").get<std::string>().empty());
}

const Words strike_at_5 = {"strike",   "--mash", "67C",     "--grain", "20C",
                           "--liquor", "25.05L", "--grist", "5kg"};
const Words warm_to_25 = {"warm-up", "--beer", "19L",  "--head-space", "1L", "--pressure",
                          "0.69bar", "--from", "2.5C", "--to",         "25C"};
const Words dry_at_18 = {"closed",        "--beer",  "21.5L",      "--head-space", "4.5L",
                         "--temperature", "18C",     "--original", "1.048",        "--present",
                         "1.013",         "--final", "1.010"};
const Words mild_in_cellar = {"co2-in-room", "--volume", "20L",    "--original", "12P",
                              "--final",     "2.5P",     "--room", "30m3"};

// clang-format off
INSTANTIATE_TEST_SUITE_P(Sums, Calc, ::testing::Values(
    Row{"strike", {"strike", "--mash", "65.96C", "--grain", "27C", "--liquor", "13.424L", "--grist", "5kg", "--moisture", "2%"},
        "strike_temperature", 69.0, 0.1, "Pauls and Whites Brewing Room Book 1984/85: liquor of 69 degC at 2.68 L/kg, malt of 2 % at 27 degC (second hand)"},
    Row{"mash", {"strike", "--liquor-at", "69C", "--grain", "27C", "--liquor", "13.424L", "--grist", "5kg", "--moisture", "2%"},
        "mash_temperature", 66.0, 0.1, "the same example, worked forward"},
    Row{"slaking", strike_at_5, "rise_by_slaking", 18 / 4.186 / 5.4, 0.1, "some 18 kJ per kg of malt, shared by 5 kg of liquor and the malt (from memory)"},
    Row{"heat_up", {"heat-up", "--volume", "30L", "--power", "3.5kW", "--from", "15C", "--to", "70C", "--efficiency", "100%"},
        "heating_time", 29.946 * (293.0 - 63.0) / 3.5 / 60, 0.2, "steam tables: enthalpy of water 63.0 kJ/kg at 15 and 293.0 at 70 degC (from memory)"},
    Row{"boil_off", {"boil-off", "--volume", "30L", "--power", "3kW", "--time", "60min", "--efficiency", "100%"},
        "boiled_off", 3 * 3600 / 2256.5 / 0.9584, 0.02, "steam tables: 2256.5 kJ/kg, 958.4 kg/m3 at 100 degC (from memory)"},
    Row{"boiled_gravity", {"boil-off", "--volume", "30L", "--power", "3kW", "--time", "60min", "--efficiency", "100%", "--gravity", "11P"},
        "gravity_after", 1.0524, 0.001, "44.2 points of 30 L in 25.0 L, by hand"},
    Row{"boiling_point", {"boil-off", "--volume", "30L", "--power", "3kW", "--time", "1h", "--elevation", "1500m"},
        "boiling_point", 95.0, 0.1, "boiling point at 1500 m (from memory)"},
    Row{"shrinkage", {"boil-off", "--volume", "26L", "--power", "10W", "--time", "1min"}, "volume_cooled", 25, 0.1, "wort shrinks by 4 % from the boil (common practice)"},
    Row{"dilution", {"dilution", "--gravity", "1.062", "--volume", "20L", "--target", "1.048"}, "water_to_add", 5.833, 0.01, "62 points of 20 L are 48 points of 25.83 L, by hand"},
    Row{"alcohol", {"alcohol", "--original", "12P", "--present", "2.5P"}, "alcohol_by_volume", 5.1, 0.1, "Balling's example of the textbooks: 4.0 % by weight, 5.1 % by volume (from memory)"},
    Row{"by_weight", {"alcohol", "--original", "14.08P", "--present", "3.11P"}, "alcohol_by_weight", 4.72, 0.12, "Cutaia, Reid and Speers 2009, Table III, first group of brews"},
    Row{"apparent", {"alcohol", "--original", "1.050", "--present", "1.010"}, "apparent_attenuation", 79.3, 1.0, "80 % by points; Plato reads up to 1 % less (from memory)"},
    Row{"real_extract", {"alcohol", "--original", "14.54P", "--present", "2.53P"}, "real_extract", 4.88, 0.08, "Cutaia, Reid and Speers 2009, Table III, second group"},
    Row{"wort", {"refractometer", "--reading", "12.48Bx"}, "gravity", 1.04837, 2e-4, "12 degP: Plato's table; 1.04 Brix per degree Plato of wort (common practice)"},
    Row{"beer", {"refractometer", "--reading", "6.15", "--original", "12P"}, "gravity", 1 - 0.00085683 * 12 + 0.0034941 * 6.15 / 1.04, 0.003, "Terrill 2011, line through 68 finished beers"},
    Row{"hydrometer_77F", {"hydrometer", "--reading", "1.040", "--sample", "77F", "--marked", "60F"}, "correction", 2.0, 0.35, "table beside stems for 60 degF: +2 at 77 (from memory)"},
    Row{"hydrometer_95F", {"hydrometer", "--reading", "1.040", "--sample", "95F", "--marked", "60F"}, "correction", 5.0, 0.4, "the same table: +5 at 95 (from memory)"},
    Row{"chart_32F", {"carbonation", "--temperature", "32F", "--pressure", "12psi"}, "carbonation", 2.87, 0.1, "the trade's chart: 32 degF, 12 psi (from memory)"},
    Row{"chart_38F", {"carbonation", "--temperature", "38F", "--pressure", "12psi"}, "carbonation", 2.57, 0.05, "the trade's chart: 38 degF, 12 psi"},
    Row{"chart_back", {"carbonation", "--temperature", "40F", "--volumes", "2.47"}, "head_pressure", 82.7, 4, "the trade's chart: 40 degF, 12 psi is 82.7 kPa"},
    Row{"altitude", {"carbonation", "--temperature", "40F", "--volumes", "2.47", "--elevation", "5000ft"}, "head_pressure", 82.7 + 2.5 * 6.8948, 4, "half a psi for each 1000 ft (common practice)"},
    Row{"priming", {"priming", "--target", "2.4", "--warmest", "20C", "--volume", "20L"}, "sugar", 4.0 * (2.4 - 0.88), 0.4, "4 g/L of sucrose for a volume (common practice); 0.88 there at 20 degC (Draper and Hibberd 1996)"},
    Row{"corn_sugar", {"priming", "--target", "2.4", "--warmest", "20C", "--volume", "20L", "--sugar", "glucose-monohydrate"}, "sugar_in_all", 0.020 * 4.5 * (2.4 - 0.88), 0.008, "4.5 g/L for a volume (common practice)"},
    Row{"points_left", {"priming", "--target", "3.5", "--warmest", "20C", "--volume", "20L", "--points-left", "2", "--package", "heavy-bottle"}, "gas_there_already", 0.88 + 1.0, 0.12, "half a volume a gravity point (common practice)"},
    Row{"warm_up", warm_to_25, "pressure_when_warm", 255, 15, "2.5 volumes: 0.69 bar at 2 to 3 degC, 2.6 bar at 25 (from memory)"},
    Row{"crash_gas", {"crash", "--beer", "18L", "--head-space", "2L", "--pressure", "0bar", "--from", "20C", "--to", "1C"}, "in_the_first_hours", (101.3 - 2.34) * 274.15 / 293.15 + 0.66 - 101.3, 0.3, "Gay-Lussac, with the vapour of the steam tables"},
    Row{"closed", dry_at_18, "ends_at", 144, 6, "three points left end at 144 kPa (balance by two independent programs)"},
    Row{"closed_warm", dry_at_18, "ends_at_when_warmest", 189, 7, "... and at 189 kPa at 25 degC"},
    Row{"line", {"line", "--pressure", "12psi", "--bore", "3/16in", "--pour", "1gal"}, "line_length", 5 * 0.3048, 1.0, "12 psi on 3/16 inch: 4 to 6 ft at a gallon a minute, 2 to 3 psi a foot (common practice)"},
    Row{"line_water", {"line", "--pressure", "100kPa", "--bore", "10mm", "--pour", "4.712L"}, "resistance_per_metre", 1.577 * 1.0089 * 1.1577, 0.02, "water at 1 m/s in 10 mm: Re 9960, f 0.0316, 1577 Pa/m (engineering tables, from memory); density to the 3/4, viscosity to the 1/4"},
    Row{"beer_left", {"beer-left", "--holds", "26L", "--poured", "1L", "--before", "100kPa", "--after", "80kPa"}, "beer_left", 26 - 181.325 / 20 - 1, 0.01, "Boyle, by hand: 201.325 V = 181.325 (V + 1)"},
    Row{"cylinder", {"cylinder", "--gas", "2kg", "--per-day", "2L", "--pressure", "0.8bar", "--temperature", "4C"}, "litres_it_pours", 2000 / 3.48, 12, "CO2 at 4 degC and 181 kPa: 44.01 x 180.5 / (8.314 x 277.15 x 0.989), by hand"},
    Row{"cylinder_days", {"cylinder", "--gas", "2kg", "--per-day", "2L", "--pressure", "0.8bar", "--temperature", "4C"}, "lasts", 2000 / 3.48 / 2 * 1440, 9000, "the same by two litres a day"},
    Row{"freezing", {"freezing", "--original", "12P", "--present", "2.5P"}, "freezing_point", -2.25, 0.35, "-2 to -2.5 degC for an ordinary beer (from memory)"},
    Row{"gas", mild_in_cellar, "gas_given_off", 20 * 1.0484 * 0.9982 * 0.0778 / 2.0665 * 956.5 / 44.01 * 24.0, 15, "Balling: 0.9565 g of CO2 for 2.0665 g of extract, 7.8 % of the wort; an ideal gas at 20 degC"},
    Row{"room", mild_in_cellar, "carbon_dioxide_in_air", 14'000, 500, "420 L in 30 m3, by hand"}),
    [](const auto& row) { return std::string{row.param.name}; });
// clang-format on

TEST(CalcText, SaysAnswerDoubtAssumptionSourceAndCaution) {
    const Said said =
        calc({"strike", "--mash", "67C", "--grain", "18C", "--liquor", "15L", "--grist", "5kg"});
    EXPECT_EQ(said.code, 0);
    EXPECT_THAT(said.talk, IsEmpty());
    EXPECT_THAT(said.out,
                AllOf(HasSubstr("Strike temperature             72.0 °C   71.0 to 73.0\n"),
                      HasSubstr("From: mash 67.0 °C, grain 18.0 °C"), HasSubstr("Assumed: at sea level"),
                      HasSubstr("Source: heat balance"), HasSubstr("! Liquor this hot scalds")));
}

TEST(CalcJson, CarriesWhatTheTextSays) {
    const Json answer = document({"carbonation", "--temperature", "4C", "--volumes", "2.5vol"});
    const Json& pressure = answer.at("answer").at("head_pressure");
    EXPECT_EQ(answer.at("calc"), "carbonation");
    EXPECT_EQ(pressure.at("unit"), "kPa");
    EXPECT_EQ(pressure.at("reference"), "gauge");
    EXPECT_THAT(pressure.at("text").get<std::string>(), HasSubstr("bar"));
    EXPECT_EQ(answer.at("given").at("temperature").at("unit"), "degC");
    EXPECT_TRUE(answer.at("refused").is_null());
    EXPECT_FALSE(answer.at("cautions").empty());
}

TEST(CalcSite, SpeaksThePersonsUnitsAtTheirElevation) {
    const std::string config = ::testing::TempDir() + "calc-" + std::to_string(getpid()) + ".toml";
    std::ofstream{config}
        << "[site]\nunits = \"us\"\nelevation_m = 1524\n[[vessel]]\nid = \"north\"\ntotal_volume_l = 26\n"
           "working_pressure_kpa = 200\nrelief_pressure_kpa = 80\n";
    const Words asked{"carbonation", "--temperature", "40", "--volumes", "2.47", "--config", config};

    const Said said = calc(asked);
    EXPECT_EQ(said.code, 0) << said.talk;
    EXPECT_THAT(said.out, AllOf(HasSubstr(" psi "), HasSubstr("temperature 40.0 °F"),
                                HasSubstr("1524 m above the sea")));
    EXPECT_NEAR(figure(asked, "head_pressure"), 82.7 + 2.5 * 6.8948,
                4);  // half a psi each 1000 ft: common practice
    EXPECT_EQ(
        calc({"carbonation", "--temperature", "4C", "--volumes", "2.5", "--config", config + ".none"}).code,
        2);
    // the relief valve of this vessel may open at 66 kPa: 80 kPa less 2 psi (ASME VIII UG-134)
    Words of_vessel = asked;
    of_vessel.insert(of_vessel.end(), {"--vessel", "north"});
    EXPECT_THAT(calc(of_vessel).out, AllOf(HasSubstr("No: "), HasSubstr("no more than 9.6 psi")));
    of_vessel.back() = "west";
    EXPECT_THAT(calc(of_vessel).talk, HasSubstr("--vessel: no vessel is called 'west'"));
    std::filesystem::remove(config);
}

// Pressure: nobody is sent to more than the weakest part bears.

TEST(CalcLimits, RefusesPressureBeyondTheWeakestPart) {
    const Words needs_two_bar{"carbonation", "--temperature", "20C", "--volumes", "2.5"};
    for (const Words& limit : {Words{"--rating", "15psi"}, Words{"--relief", "1.5bar"},
                               Words{"--rating", "3bar", "--relief", "1.5bar"}}) {
        Words words = needs_two_bar;
        words.insert(words.end(), limit.begin(), limit.end());
        const Said said = calc(words);
        EXPECT_EQ(said.code, 1);
        EXPECT_THAT(said.out, AllOf(HasSubstr("No: "), HasSubstr("colder beer or fewer volumes"),
                                    Not(HasSubstr("Head pressure"))));
    }
    EXPECT_THAT(calc(needs_two_bar).out, HasSubstr("Not held against a rating"));
}

TEST(CalcLimits, AtMostIsWhatTheReliefValveStaysShutAt) {
    // 2 psi below its mark of 25 psi (ASME VIII UG-134): 23 psi at 50 degF holds 2.9 volumes (the trade's
    // chart is 2.9)
    EXPECT_NEAR(figure({"carbonation", "--temperature", "50F", "--volumes", "4", "--rating", "30psi",
                        "--relief", "25psi"},
                       "at_most"),
                2.9, 0.1);
}

TEST(CalcLimits, JudgesAForecastByItsUpperEnd) {
    // 2.05 bar by its value, up to 2.3 by its doubt
    const Words warm{"warm-up", "--beer", "20L", "--head-space", "1L",  "--pressure",
                     "0.68bar", "--from", "2C",  "--to",         "20C", "--rating"};
    Words weak = warm, strong = warm;
    weak.emplace_back("2.2bar");
    strong.emplace_back("3bar");
    EXPECT_EQ(calc(weak).code, 1);
    EXPECT_EQ(calc(strong).code, 0);
}

TEST(CalcLimits, ACrashNamesNoPressureThatTheVesselIsNotKnownToBear) {
    const Words crash{"crash", "--beer", "20L", "--head-space", "2L", "--pressure",
                      "0bar",  "--from", "20C", "--to",         "1C"};
    Words weak = crash, strong = crash;
    weak.insert(weak.end(), {"--rating", "0.5bar"});
    strong.insert(strong.end(), {"--rating", "2bar"});
    for (const Words& words : {crash, weak})
        EXPECT_THAT(calc(words).out, AllOf(Not(HasSubstr("Begin at")), HasSubstr("thin walls buckle")));
    EXPECT_THAT(calc(strong).out, HasSubstr("Begin at for no vacuum"));
}

TEST(CalcPackages, AreNeverCalledSafe) {
    const Words prime{"priming", "--target", "2.0", "--warmest", "20C", "--volume", "19L"};
    EXPECT_THAT(calc(prime).out, AllOf(HasSubstr("no word that it is safe"),
                                       HasSubstr("One reading proves nothing"), HasSubstr("burst")));
    Words more = prime;
    more.insert(more.end(), {"--points-left", "4"});
    const Said said = calc(more);
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.out, AllOf(HasSubstr("No: "), Not(HasSubstr("Sugar in all"))));
}

TEST(CalcPackages, HoldNoMoreThanTheirKind) {
    const auto code = [](const char* target, const char* package) {
        return calc({"priming", "--target", target, "--warmest", "20C", "--volume", "19L", "--package",
                     package})
            .code;
    };
    // common practice: unknown 2.5, can 2.7, crown cap 3.0, heavy bottle 4.0
    EXPECT_EQ(code("2.5", "unknown"), 0);
    EXPECT_EQ(code("2.6", "unknown"), 1);
    EXPECT_EQ(code("2.8", "can"), 1);
    EXPECT_EQ(code("3.1", "crown-cap"), 1);
    EXPECT_EQ(code("4.1", "heavy-bottle"), 1);
}

TEST(CalcHydraulics, BeerThatSwellsIntoNoRoomBursts) {
    const Said said = calc({"warm-up", "--beer", "100L", "--head-space", "0.1L", "--pressure", "0.5bar",
                            "--from", "4C", "--to", "30C"});
    EXPECT_EQ(said.code, 1);
    EXPECT_THAT(said.out, HasSubstr("swells more than the head space"));
}

// Nonsense.

struct Asked {
    Words words;
    const char* why;
};
void PrintTo(const Asked& asked, std::ostream* out) {
    for (const std::string& word : asked.words) *out << word << ' ';
}

class CalcNonsense : public ::testing::TestWithParam<Asked> {};

TEST_P(CalcNonsense, IsRefusedByItsName) {
    const Said said = calc(GetParam().words);
    EXPECT_EQ(said.code, 2);
    EXPECT_THAT(said.talk, HasSubstr(GetParam().why));
    EXPECT_THAT(said.out, IsEmpty());
}

// clang-format off
INSTANTIATE_TEST_SUITE_P(Arguments, CalcNonsense, ::testing::Values(
    Asked{{}, "subcommand"},
    Asked{{"stryke"}, "subcommand"},
    Asked{{"strike", "--mash", "67C"}, "--grain"},
    Asked{{"strike", "--grain", "18C", "--liquor", "15L", "--grist", "5kg"}, "--mash: give either"},
    Asked{{"strike", "--liquor-at", "30C", "--grain", "18C", "--liquor", "15L", "--grist", "5kg"}, "is no mash"},
    Asked{{"strike", "--mash", "670C", "--grain", "18C", "--liquor", "15L", "--grist", "5kg"}, "--mash: 670"},
    Asked{{"strike", "--mash", "67C", "--grain", "18C", "--liquor", "15L", "--grist", "500kg"}, "--liquor: 0.0 kg of liquor per kg"},
    Asked{{"strike", "--mash", "67C", "--grain", "18C", "--liquor", "15 stone", "--grist", "5kg"}, "--liquor: '15 stone'"},
    Asked{{"strike", "--mash", "99C", "--grain", "18C", "--liquor", "15L", "--grist", "5kg"}, "--mash: 99.0 °C is no mash"},
    Asked{{"heat-up", "--volume", "30L", "--power", "3.5kW", "--from", "70C", "--to", "15C"}, "--to: is not above --from"},
    Asked{{"heat-up", "--volume", "30L", "--power", "0kW", "--from", "15C", "--to", "70C"}, "--power: 0 kW"},
    Asked{{"heat-up", "--volume", "30L", "--power", "3kW", "--from", "15C", "--to", "98C", "--elevation", "1500m"}, "--to: water boils at"},
    Asked{{"heat-up", "--volume", "30L", "--power", "3kW", "--from", "15C", "--to", "98C", "--elevation", "high"}, "--elevation: 'high'"},
    Asked{{"heat-up", "--volume", "30L", "--power", "3kW", "--from", "15C", "--to", "70C", "--efficiency", "0%"}, "--efficiency: is less"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "2.5", "--vessel", "north"}, "--config"},
    Asked{{"boil-off", "--volume", "5L", "--power", "10kW", "--time", "2h"}, "--time: boils the kettle"},
    Asked{{"boil-off", "--volume", "25L", "--power", "3kW", "--time", "60"}, "--time: '60' has no unit"},
    Asked{{"boil-off", "--volume", "25L", "--power", "3kW", "--time", "0min"}, "--time: is no time"},
    Asked{{"dilution", "--gravity", "1.050", "--volume", "20L", "--target", "1.000"}, "--target: is no more than water"},
    Asked{{"dilution", "--gravity", "1050", "--volume", "20L", "--target", "1.040"}, "did you mean 1.050?"},
    Asked{{"alcohol", "--original", "1.010", "--present", "1.050"}, "--present: is above --original"},
    Asked{{"alcohol", "--original", "12 Brix", "--present", "1.010"}, "--original: Brix"},
    Asked{{"refractometer", "--reading", "90"}, "--reading: 90"},
    Asked{{"refractometer", "--reading", "13", "--original", "1.040"}, "--reading: shows more"},
    Asked{{"refractometer", "--reading", "0", "--original", "1.090"}, "--reading: is less"},
    Asked{{"refractometer", "--reading", "12", "--factor", "0"}, "--factor: 0"},
    Asked{{"hydrometer", "--reading", "1.050", "--sample", "66C"}, "--sample: only 0.0 °C to 40.0 °C"},
    Asked{{"hydrometer", "--reading", "1.050", "--sample", "20C", "--marked", "90C"}, "--marked: "},
    Asked{{"carbonation", "--temperature", "4C"}, "--volumes: give either"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "2.5", "--pressure", "1bar"}, "--volumes: give either"},
    Asked{{"carbonation", "--temperature", "60C", "--volumes", "2.5"}, "--temperature: the solubility"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "25"}, "--volumes: 25 vol"},
    Asked{{"carbonation", "--temperature", "30C", "--volumes", "6"}, "--volumes: needs a pressure beyond"},
    Asked{{"carbonation", "--temperature", "4C", "--pressure", "9bar"}, "--pressure: the sum holds"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "0.1"}, "--volumes: beer this cold"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "2.5", "--rating", "strong"}, "--rating: 'strong'"},
    Asked{{"carbonation", "--temperature", "4C", "--volumes", "2.5", "--rating", "-1bar"}, "--rating: no part"},
    Asked{{"priming", "--target", "2.4", "--warmest", "20C", "--volume", "19L", "--package", "balloon"}, "--package: 'balloon' is none of"},
    Asked{{"priming", "--target", "2.4", "--warmest", "20C", "--volume", "19L", "--sugar", ""}, "--sugar: '' is none of"},
    Asked{{"priming", "--target", "2.4", "--warmest", "20C", "--volume", "19L", "--storage", "90C"}, "--storage: "},
    Asked{{"warm-up", "--beer", "20L", "--head-space", "2L", "--pressure", "1bar", "--from", "20C", "--to", "2C"}, "--to: is not above"},
    Asked{{"warm-up", "--beer", "20L", "--head-space", "2L", "--pressure", "1bar", "--from", "2C", "--to", "90C"}, "--to: the sum holds"},
    Asked{{"crash", "--beer", "20L", "--head-space", "2L", "--pressure", "1bar", "--from", "2C", "--to", "20C"}, "--to: is not below"},
    Asked{{"crash", "--beer", "20L", "--head-space", "2L", "--pressure", "-0.5bar", "--from", "20C", "--to", "2C"}, "--pressure: the sum begins"},
    Asked{{"closed", "--beer", "20L", "--head-space", "4L", "--temperature", "18C", "--original", "1.048", "--present", "1.010", "--final", "1.012"}, "--final: is above"},
    Asked{{"closed", "--beer", "20L", "--head-space", "4L", "--temperature", "18C", "--original", "1.008", "--present", "1.010", "--final", "1.006"}, "--present: is above"},
    Asked{{"freezing", "--original", "1.010", "--present", "1.048"}, "--present: is above"},
    Asked{{"co2-in-room", "--volume", "20L", "--original", "1.048", "--final", "1.010", "--room", "0m3"}, "--room: 0"},
    Asked{{"co2-in-room", "--volume", "20L", "--original", "1.010", "--final", "1.048", "--room", "30m3"}, "--final: is above"}));
// clang-format on

/// Each argument of each sum, one after the other, as what no person means.
TEST(CalcNonsense, OfEveryKindIsNamed) {
    const std::vector<Words> sound{
        {"strike", "--mash", "67C", "--grain", "18C", "--liquor", "15L", "--grist", "5kg", "--moisture",
         "4%"},
        {"heat-up", "--volume", "30L", "--power", "3kW", "--from", "15C", "--to", "70C", "--efficiency",
         "90%"},
        {"boil-off", "--volume", "30L", "--power", "3kW", "--time", "1h", "--gravity", "1.044"},
        {"dilution", "--gravity", "1.062", "--volume", "20L", "--target", "1.048"},
        {"alcohol", "--original", "1.048", "--present", "1.010"},
        {"refractometer", "--reading", "6Bx", "--original", "1.048", "--factor", "1.04"},
        {"hydrometer", "--reading", "1.048", "--sample", "25C", "--marked", "20C"},
        {"carbonation", "--temperature", "4C", "--volumes", "2.4", "--rating", "2bar", "--relief", "2bar"},
        {"priming", "--target", "2.4", "--warmest", "20C", "--volume", "19L", "--points-left", "0"},
        {"warm-up", "--beer", "20L", "--head-space", "4L", "--pressure", "0.3bar", "--from", "2C", "--to",
         "9C"},
        {"crash", "--beer", "20L", "--head-space", "4L", "--pressure", "1bar", "--from", "20C", "--to", "2C"},
        {"closed", "--beer", "20L", "--head-space", "4L", "--temperature", "18C", "--original", "1.048",
         "--present", "1.011", "--final", "1.010", "--warmest", "25C"},
        {"freezing", "--original", "1.048", "--present", "1.010"},
        {"co2-in-room", "--volume", "20L", "--original", "1.048", "--final", "1.010", "--room", "30m3"}};
    for (const Words& words : sound) {
        ASSERT_EQ(calc(words).code, 0) << words.front() << calc(words).talk << calc(words).out;
        for (std::size_t i = 2; i < words.size(); i += 2)
            for (const std::string& nonsense :
                 {std::string{""}, std::string{"nan"}, std::string{"inf"}, std::string{"-1e9"},
                  std::string{"1e400"}, std::string{"\xC2"}, std::string{"12 furlongs"},
                  std::string(5000, '9')}) {
                Words twisted = words;
                twisted[i] = nonsense;
                const Said said = calc(twisted);
                EXPECT_EQ(said.code, 2)
                    << words.front() << ' ' << words[i - 1] << ' ' << nonsense.substr(0, 20);
                EXPECT_THAT(said.talk, HasSubstr(words[i - 1]))
                    << words.front() << ' ' << nonsense.substr(0, 20);
                EXPECT_LT(said.talk.size(), 400U);
                EXPECT_THAT(said.out, IsEmpty());
            }
    }
}

}  // namespace
}  // namespace gyled::cli
