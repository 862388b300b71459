/// The record of a batch: what stands in it, and that it needs nothing from outside.

#include "daemon/report/page.hpp"

#include <gmock/gmock.h>

#include <regex>

#include "daemon/report/charts.hpp"

namespace gyled::report {
namespace {

using testing::HasSubstr;
using testing::Not;
using namespace std::chrono_literals;

const Timestamp start = *base::from_rfc3339("2026-03-01T18:00:00Z");

batch::StagePlan stage(base::StageKind kind, base::Band temperature) {
    batch::StagePlan out;
    out.kind = kind;
    out.temperature_c = temperature;
    return out;
}

cellar::Trend falling(base::Duration for_so_long, double from, double to) {
    cellar::Trend out;
    for (base::Duration t{}; t <= for_so_long; t += 6h) {
        const double share =
            base::hours_between(start, start + t) / base::hours_between(start, start + for_so_long);
        const double value = from + (to - from) * share;
        out.at.push_back(start + t);
        out.value.push_back(value);
        out.low.push_back(value - 0.001);
        out.high.push_back(value + 0.001);
    }
    return out;
}

/// A mild of eight days: fermented for five, then crashed.
Material mild() {
    Material m;
    m.site = "Harbour cellar";
    m.made = start + 24h * 30;
    m.batch.id = "north-harbour-mild";
    m.batch.plan.name = "Harbour Mild";
    m.batch.plan.vessel = "north";
    m.batch.plan.volume_l = 21;
    m.batch.plan.original_gravity = 1.040;
    m.batch.plan.stages = {stage(base::StageKind::ferment, {18, 20.5}),
                           stage(base::StageKind::crash, {1, 4})};
    m.batch.started = start;
    m.batch.ended = start + 24h * 8;
    m.batch.stages = {{0, start, "batch started", {}}, {1, start + 24h * 5, "by hand", {}}};
    m.trends[Quantity::beer_temperature] = falling(24h * 8, 19, 3);
    m.trends[Quantity::gravity_now] = falling(24h * 8, 1.040, 1.010);
    m.trends[Quantity::apparent_attenuation] = falling(24h * 8, 0, 75);
    m.last[Quantity::gravity_now] = falling(24h * 8, 1.040, 1.010);
    return m;
}

TEST(Page, TellsTheBatchInThePersonsUnits) {
    Material m = mild();
    EXPECT_THAT(page(m), HasSubstr("Harbour cellar · north · ale · from Sun 1 Mar 18:00 to Mon 9 Mar 18:00"));
    EXPECT_THAT(page(m), HasSubstr("<b>1.010 SG</b><small>1.009 to 1.011</small>"));
    m.display = display::Display::us();
    EXPECT_THAT(page(m), HasSubstr("64.4 to 68.9 °F")) << "the band of the ferment";
}

TEST(Page, NeedsNoNetworkAndNoScript) {
    const std::string text = page(mild());
    for (const char* const outside :
         {"http:", "https:", "<script", "<link", "<img", "@import", "url(", "src="})
        EXPECT_THAT(text, Not(HasSubstr(outside)));
}

/// Each tag that is opened is closed, in its order.
TEST(Page, IsWellFormed) {
    Material m = mild();
    m.earlier.push_back({m.batch, m.trends[Quantity::apparent_attenuation]});
    m.batch.measurements.push_back({Quantity::gravity, 1.0395, start + 1h, "a & b"});
    const std::string text = page(m);
    std::vector<std::string> open;
    const std::regex tag{"<(/?)([a-z0-9]+)([^>]*?)(/?)>"};
    for (std::sregex_iterator it{text.begin(), text.end(), tag}, end; it != end; ++it) {
        const std::string name = (*it)[2];
        if ((*it)[4] == "/" || name == "meta") continue;
        if ((*it)[1] != "/") {
            open.push_back(name);
            continue;
        }
        ASSERT_FALSE(open.empty());
        EXPECT_EQ(open.back(), name);
        open.pop_back();
    }
    EXPECT_TRUE(open.empty());
}

TEST(Page, ShowsEveryTextAsText) {
    Material m = mild();
    m.batch.plan.name = "<script>alert(1)</script>";
    m.batch.plan.culture_name = "\"><img src=x>";
    m.batch.stages[1].why = "<b>why</b>";
    m.batch.measurements.push_back({Quantity::gravity, 1.0395, start + 1h, "<i>note</i>"});
    alarms::Transition alarm;
    alarm.title = "<u>title</u>";
    alarm.vessel = "north";
    alarm.raised_at = alarm.at = start + 1h;
    m.alarms = {alarm};
    const std::string text = page(m);
    for (const char* const tag : {"<script>", "<img", "<b>why", "<i>note", "<u>title"})
        EXPECT_THAT(text, Not(HasSubstr(tag)));
    EXPECT_THAT(text, HasSubstr("&lt;script&gt;alert(1)"));
}

TEST(Page, KeepsToTwoPagesWhateverHappened) {
    Material m = mild();
    alarms::Transition alarm;
    alarm.vessel = "north";
    alarm.title = "Too warm";
    alarm.raised_at = alarm.at = start + 1h;
    m.alarms.assign(500, alarm);
    const std::string text = page(m);
    EXPECT_THAT(text, HasSubstr("and 476 more in the alarm log."));
}

TEST(Page, StandsWithNothingStored) {
    Material m;
    m.batch.plan.name = "Empty";
    m.batch.started = m.made = start;
    EXPECT_THAT(page(m), HasSubstr("No reading of this batch is stored."));
    m.batch.stages = {{7, start, "a stage that the plan no longer has", {}}};
    EXPECT_THAT(page(m), HasSubstr("Empty"));
}

TEST(Page, SaysHowFarBehindTheUsualItWas) {
    Material m = mild();
    Earlier before{m.batch, falling(24h * 4, 0, 75)};  // twice as quick
    m.earlier = {before};
    // nine tenths of 75 %: 172.8 h of 192, and 86.4 of 96
    EXPECT_THAT(page(m), HasSubstr("It was 68 % attenuated 173 h after pitching, 86 h behind your usual"));
    m.earlier.clear();
    EXPECT_THAT(page(m), Not(HasSubstr("usual")));
}

TEST(Charts, DrawEachStagesBandOverItsOwnTime) {
    const std::vector<Plot> all = charts(mild());
    const auto found = std::ranges::find(all, "Temperature", &Plot::title);
    ASSERT_NE(found, all.end());
    ASSERT_EQ(found->bands.size(), 2u);
    EXPECT_DOUBLE_EQ(found->bands[0].to - found->bands[0].from, 120);
    EXPECT_DOUBLE_EQ(found->bands[0].high, 20.5);
    EXPECT_DOUBLE_EQ(found->bands[1].from, found->bands[0].to);
    EXPECT_DOUBLE_EQ(found->bands[1].high, 4);
}

TEST(Charts, GiveTheBrewDayOneOfItsOwn) {
    Material m = mild();
    m.batch.plan.stages.insert(m.batch.plan.stages.begin(), stage(base::StageKind::mash, {66, 68}));
    m.batch.started = start - 6h;
    m.batch.stages = {{0, start - 6h, "batch started", {}}, {1, start, "by hand", {}}};
    cellar::Trend mash;
    mash.at = {start - 5h, start - 4h};
    mash.value = mash.low = mash.high = {67, 66.8};
    m.brew_day[Quantity::beer_temperature] = mash;
    const std::vector<Plot> all = charts(m);
    EXPECT_EQ(all.front().title, "Brew day: temperature");
    EXPECT_DOUBLE_EQ(all.front().to - all.front().from, 6);
    EXPECT_EQ(pitched(m.batch), start);
}

TEST(Figure, DrawsNoLineOverASilence) {
    Plot plot;
    plot.title = "Temperature";
    plot.to = 100;
    plot.lines = {{Plot::Style::measured, {{0, 1, 1, 1}, {1, 1, 1, 1}, {50, 2, 2, 2}, {51, 2, 2, 2}}}};
    const std::string text = figure(plot);
    const std::regex line{"<path class=\"line measured\""};
    EXPECT_EQ(std::distance(std::sregex_iterator{text.begin(), text.end(), line}, {}), 2);
}

TEST(Figure, SaysOfALimitFarAboveThatItLiesThere) {
    Plot plot;
    plot.title = "Head pressure";
    plot.to = 2;
    plot.decimals = 2;
    plot.lines = {{Plot::Style::measured, {{0, 0.1, 0.1, 0.1}, {1, 0.2, 0.2, 0.2}}}};
    plot.levels = {{1.8, "lowest rated part"}};
    EXPECT_THAT(figure(plot), HasSubstr("lowest rated part lies above</figcaption>"));
    plot.lines[0].points[1] = {1, 1.7, 1.7, 1.7};
    EXPECT_THAT(figure(plot), HasSubstr("<path class=\"level\""));
}

TEST(Figure, BearsNonsense) {
    Plot plot;
    plot.to = 2;
    plot.lines = {{Plot::Style::measured, {{0, NAN, NAN, NAN}, {1, HUGE_VAL, 0, HUGE_VAL}}}};
    EXPECT_THAT(figure(plot), Not(HasSubstr("nan")));
    EXPECT_THAT(figure(plot), Not(HasSubstr("inf")));
    plot.lines = {{Plot::Style::believed, {{0, 1, -HUGE_VAL, HUGE_VAL}, {1, 1, 0, 2}}}};
    EXPECT_THAT(figure(plot), Not(HasSubstr("inf"))) << "an interval without an end";
    plot.to = 0;
    EXPECT_EQ(figure(plot), "");
}

}  // namespace
}  // namespace gyled::report
