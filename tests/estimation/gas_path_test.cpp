#include "daemon/estimation/gas/gas_path.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "daemon/base/units.hpp"

namespace gyled::estimation::gas {
namespace {

using base::HeadSpace;
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

struct Row {
    const char* what;
    GasPathEvidence evidence;
    GasPath path;
};

// clang-format off
const Row table[] = {
    {"an airlock breathes",                      {HeadSpace::vented, {}, 0.4, {}, {}, {}},          GasPath::open},
    {"a vent without a transducer",              {HeadSpace::vented, {}, {}, {}, {}, {}},           GasPath::open},
    {"a vent that holds pressure is none",       {HeadSpace::vented, {}, 12, {}, {}, {}},           GasPath::shut},
    {"sealed is shut at any pressure",           {HeadSpace::sealed, {}, 80, {}, {}, {}},           GasPath::shut},
    {"sealed, and nobody measures",              {HeadSpace::sealed, {}, {}, {}, {}, {}},           GasPath::shut},
    {"spunding valve not yet reached",           {HeadSpace::spunded, 100, 60, {}, {}, {}},         GasPath::shut},
    {"spunding valve at work",                   {HeadSpace::spunded, 100, 99, {}, {}, {}},         GasPath::held},
    {"spunding valve that has just seated",      {HeadSpace::spunded, 70, 66, {}, {}, {}},          GasPath::held},
    {"spunding valve, a little above",           {HeadSpace::spunded, 100, 108, {}, {}, {}},        GasPath::held},
    {"spunding valve that lets nothing out",     {HeadSpace::spunded, 100, 115, {}, {}, {}},        GasPath::shut},
    {"spunding valve, believed",                 {HeadSpace::spunded, 100, {}, {}, {}, {}},         GasPath::held},
    {"spunding valve with an unknown set point", {HeadSpace::spunded, {}, 70, {}, {}, {}},          GasPath::held},
    {"a regulator holds",                        {HeadSpace::supplied, 80, 79, 0.0, {}, {}},        GasPath::held},
    {"a supply fills the vessel",                {HeadSpace::supplied, 80, 40, 2.0, {}, {}},        GasPath::open},
    {"a supply that is shut off",                {HeadSpace::supplied, 80, 40, 0.0, {}, {}},        GasPath::shut},
    {"a regulator gives, it does not take",      {HeadSpace::supplied, 80, 120, 0.0, {}, {}},       GasPath::shut},
    {"far from the relief valve",                {HeadSpace::sealed, {}, 150, {}, 200, {}},         GasPath::shut},
    {"at the relief valve",                      {HeadSpace::sealed, {}, 190, {}, 200, {}},         GasPath::relieving},
    {"the relief valve comes before the plan",   {HeadSpace::supplied, 195, 195, 0.0, 200, {}},     GasPath::relieving},
    {"where the relief valve was seen to seat",  {HeadSpace::sealed, {}, 152, {}, 180, {}, 150},    GasPath::relieving},
    {"below where it was seen to seat",          {HeadSpace::sealed, {}, 140, {}, 180, {}, 150},    GasPath::shut},
    {"a blocked vent at the relief valve",       {HeadSpace::vented, {}, 178, {}, 180, {}, {}},     GasPath::relieving},
    {"a pressure that is no number",             {HeadSpace::spunded, 100, nan, {}, {}, {}},        GasPath::held},
    {"a relief mark that is no number",          {HeadSpace::sealed, {}, 150, {}, nan, {}},         GasPath::shut},
};
// clang-format on

TEST(GasPath, IsATable) {
    for (const Row& row : table) EXPECT_EQ(gas_path(row.evidence), row.path) << row.what;
}

/// ASME BPVC VIII-1 UG-134(d)(1): a valve may open 2 psi from its mark up to 70 psi, 3 % above.
TEST(GasPath, TheReliefValveMayLiftAsFarBelowItsMarkAsItsToleranceAllows) {
    const auto path = [](double mark_psi, double psi) {
        return gas_path(
            {HeadSpace::sealed, {}, base::kpa_from_psi(psi), {}, base::kpa_from_psi(mark_psi), {}});
    };
    EXPECT_EQ(path(30, 27.9), GasPath::shut);
    EXPECT_EQ(path(30, 28.1), GasPath::relieving);
    EXPECT_EQ(path(100, 96.9), GasPath::shut);
    EXPECT_EQ(path(100, 97.1), GasPath::relieving);
}

struct Rise {
    const char* what;
    GasPathEvidence evidence;
    bool ends;
};

// clang-format off
const Rise rises[] = {
    {"to the spunding valve's set point",         {HeadSpace::spunded, 100, 50, {}, {}, 200},  true},
    {"to the regulator's set point",              {HeadSpace::supplied, 80, 20, 5, {}, 200},   true},
    {"within the valve's tolerance",              {HeadSpace::spunded, 100, 109, {}, {}, 200}, true},
    {"past it",                                   {HeadSpace::spunded, 100, 111, {}, {}, 200}, false},
    {"to a set point too near the limit",         {HeadSpace::spunded, 185, 50, {}, {}, 200},  false},
    {"in a sealed vessel",                        {HeadSpace::sealed, 100, 50, {}, {}, 200},   false},
    {"in a vented one",                           {HeadSpace::vented, 100, 50, {}, {}, 200},   false},
    {"to a set point nobody told",                {HeadSpace::spunded, {}, 50, {}, {}, 200},   false},
    {"with a limit nobody told",                  {HeadSpace::spunded, 100, 50, {}, {}, {}},   false},
    {"of a pressure that nobody sees",            {HeadSpace::spunded, 100, {}, {}, {}, 200},  false},
    {"where the relief valve may be lifting",     {HeadSpace::spunded, 100, 104, {}, 110, 200}, false},
};
// clang-format on

TEST(GasPath, ARiseEndsAtTheSetPointOnlyWhereAllThatItTakesIsKnown) {
    for (const Rise& rise : rises) EXPECT_EQ(rise_ends_at_set_point(rise.evidence), rise.ends) << rise.what;
}

}  // namespace
}  // namespace gyled::estimation::gas
