/// The one line that says what is in there, what is next and whether it is safe.

#include "daemon/cellar/sentence.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cellar/harbour.hpp"

namespace gyled::cellar {
namespace {

using ::testing::HasSubstr;

/// A mild that is being carbonated, everything measured a minute ago.
VesselView carbonating() {
    VesselView view;
    view.spec = harbour().vessels.front();
    view.at = at(240h);
    view.batch.emplace();
    view.batch->name = "Harbour Mild";
    view.batch->plan = mild();
    view.batch->plan.stages.front().kind = StageKind::carbonate;
    view.batch->started = at(0h);
    for (const Quantity q : {Quantity::beer_temperature, Quantity::gravity, Quantity::head_pressure})
        view.latest[q] = {1.0, view.at - 1min, 45min};
    view.estimates[Quantity::gravity_now] = {1.011, 1.010, 1.012};
    view.estimates[Quantity::co2_volumes] = {2.0, 1.9, 2.1};
    return view;
}

TEST(Sentence, SaysHowOldIsWhatABeliefRestsOn) {
    VesselView view = carbonating();
    EXPECT_THAT(sentence(view, {}), HasSubstr("1.011 SG, 2.00 vol of CO2, 1.0 °C."));

    view.latest[Quantity::gravity].at = view.at - 200min;
    EXPECT_THAT(sentence(view, {}), HasSubstr("1.011 SG, 3 h 20 min old, 2.00 vol of CO2, 1.0 °C."));

    view.latest[Quantity::head_pressure].at = view.at - 60min;
    EXPECT_THAT(sentence(view, {}), HasSubstr("2.00 vol of CO2, 1 h old, 1.0 °C."));

    view.latest.erase(Quantity::gravity);  // measured by hand, perhaps: nothing says that it is old
    EXPECT_THAT(sentence(view, {}), HasSubstr("1.011 SG, 2.00 vol of CO2, 1 h old"));
}

}  // namespace
}  // namespace gyled::cellar
