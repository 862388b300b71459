#include "daemon/report/charts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/base/text.hpp"
#include "daemon/report/pace.hpp"

namespace gyled::report {
namespace {

constexpr double day_h = 24;
constexpr double ticks_most = 8;  ///< dates along a phone's width
constexpr double envelope_step_h = 3;
constexpr double done_share = 0.97,
                 shown_beyond = 1.5;  ///< of a course: then it is done; so much longer is shown

double hours(Timestamp t) {
    return base::unix_seconds(t) / 3600;
}

/// "5 Mar" of "Thu 5 Mar 16:10".
std::string date_text(const display::Display& display, Timestamp t) {
    const std::string local = display.local(t);
    const auto first = local.find(' '), last = local.find(' ', local.find(' ', first + 1) + 1);
    return local.substr(first + 1, last - first - 1);
}
/// "16:10" of it.
std::string clock_text(const display::Display& display, Timestamp t) {
    const std::string local = display.local(t);
    const auto colon = local.find(':');
    return local.substr(colon - 2, 5);
}

double rounded_up(double value, std::initializer_list<double> steps) {
    for (const double step : steps)
        if (value <= step) return step;
    return std::ceil(value / *(steps.end() - 1)) * *(steps.end() - 1);
}

/// One chart of this batch over a part of its time.
class Chart {
public:
    Chart(const Material& material, Quantity shown_as, std::string title, Timestamp from, Timestamp to)
        : material_{material}, shown_as_{shown_as}, from_{from}, to_{to} {
        plot_.title = std::move(title);
        plot_.unit = std::string{material.display.unit_text(shown_as)};
        plot_.decimals = material.display.decimals(shown_as);
        plot_.from = hours(from);
        plot_.to = hours(to);
        add_ticks();
        add_stages();
    }

    Chart& line(Plot::Style style, const Trends& trends, Quantity q) {
        const auto found = trends.find(q);
        if (found == trends.end() || found->second.at.empty()) return *this;
        const cellar::Trend& trend = found->second;
        Plot::Line line{style, {}};
        for (std::size_t i = 0; i < trend.at.size(); ++i)
            if (trend.at[i] >= from_ && trend.at[i] <= to_)
                line.points.push_back(
                    {hours(trend.at[i]), shown(trend.value[i]), shown(trend.low[i]), shown(trend.high[i])});
        if (!line.points.empty()) plot_.lines.push_back(std::move(line));
        return *this;
    }

    Chart& marks(Quantity q) {
        for (const batch::HandMeasurement& m : material_.batch.measurements)
            if (m.quantity == q && m.at >= from_ && m.at <= to_)
                plot_.marks.push_back({hours(m.at), shown(m.value)});
        return *this;
    }

    Chart& bands(std::optional<base::Band> batch::StagePlan::*band) {
        const auto& stages = material_.batch.stages;
        for (std::size_t i = 0; i < stages.size(); ++i) {
            if (stages[i].index >= material_.batch.plan.stages.size()) continue;
            const auto& asked = material_.batch.plan.stages[stages[i].index].*band;
            const Timestamp begin = std::max(stages[i].at, from_);
            const Timestamp end = std::min(i + 1 < stages.size() ? stages[i + 1].at : material_.end(), to_);
            if (asked && begin < end)
                plot_.bands.push_back({hours(begin), hours(end), shown(asked->low), shown(asked->high)});
        }
        return *this;
    }

    Chart& level(const std::optional<double>& value, const std::string& words) {
        if (value) plot_.levels.push_back({shown(*value), words});
        return *this;
    }

    [[nodiscard]] Plot plot() const { return plot_; }

private:
    [[nodiscard]] double shown(double canonical) const {
        return material_.display.shown(shown_as_, canonical);
    }

    /// By the day or, within two days, by the clock: even steps from the beginning of the chart's first day.
    void add_ticks() {
        const double span = plot_.to - plot_.from;
        const bool by_clock = span <= 2 * day_h;
        const double step = by_clock ? rounded_up(span / ticks_most, {0.5, 1, 2, 3, 6})
                                     : day_h * rounded_up(span / day_h / ticks_most, {1, 2, 4, 7, 14, 28});
        const double first = std::ceil(plot_.from / (by_clock ? 1 : day_h)) * (by_clock ? 1 : day_h);
        for (double at = first; at < plot_.to - step / 4; at += step) {
            const Timestamp t = base::from_unix_seconds(at * 3600);
            plot_.ticks.push_back(
                {at, by_clock ? clock_text(material_.display, t) : date_text(material_.display, t)});
        }
    }

    void add_stages() {
        for (const batch::Record::Entered& entered : material_.batch.stages)
            if (entered.at >= from_ && entered.at < to_ && entered.index < material_.batch.plan.stages.size())
                plot_.stages.push_back(
                    {hours(entered.at),
                     base::spoken(base::name(material_.batch.plan.stages[entered.index].kind))});
    }

    const Material& material_;
    Quantity shown_as_;
    Timestamp from_, to_;
    Plot plot_;
};

Plot temperature_chart(const Material& m, const Trends& trends, std::string title, Timestamp from,
                       Timestamp to) {
    return Chart{m, Quantity::beer_temperature, std::move(title), from, to}
        .bands(&batch::StagePlan::temperature_c)
        .line(Plot::Style::measured, trends, Quantity::beer_temperature)
        .marks(Quantity::beer_temperature)
        .plot();
}

Plot gravity_chart(const Material& m) {
    return Chart{m, Quantity::gravity, "Gravity", pitched(m.batch), m.end()}
        .line(Plot::Style::measured, m.trends, Quantity::gravity)
        .line(Plot::Style::believed, m.trends, Quantity::gravity_now)
        .marks(Quantity::gravity)
        .level(m.batch.plan.expected_final_gravity, "expected end")
        .plot();
}

Plot pressure_chart(const Material& m) {
    return Chart{m, Quantity::head_pressure, "Head pressure", pitched(m.batch), m.end()}
        .bands(&batch::StagePlan::pressure_kpa)
        .line(Plot::Style::measured, m.trends, Quantity::head_pressure)
        .marks(Quantity::head_pressure)
        .level(m.vessel ? m.vessel->lowest_limit_kpa() : std::nullopt, "lowest rated part")
        .plot();
}

Plot co2_chart(const Material& m) {
    return Chart{m, Quantity::co2_volumes, "Dissolved CO2", pitched(m.batch), m.end()}
        .line(Plot::Style::believed, m.trends, Quantity::co2_volumes)
        .marks(Quantity::co2_volumes)
        .level(m.batch.plan.target_co2_volumes, "target")
        .plot();
}

std::vector<Course> earlier_courses(const Material& m) {
    std::vector<Course> out;
    for (const Earlier& one : m.earlier) out.push_back(course(one.attenuation, pitched(one.batch)));
    return out;
}

/// Hours in which all are done, and some more.
double hours_worth_seeing(const Course& mine, const std::vector<Course>& earlier, double all) {
    double until = mine.hours_to(done_share * mine.highest()).value_or(all);
    for (const Course& one : earlier)
        until = std::max(until, one.hours_to(done_share * one.highest()).value_or(0));
    return std::clamp(shown_beyond * until, std::min(day_h, all), all);
}

Plot::Line line_of(const Envelope& e) {
    Plot::Line line{Plot::Style::earlier, {}};
    for (std::size_t i = 0; i < e.hours.size(); ++i)
        line.points.push_back({e.hours[i], e.middle[i], e.low[i], e.high[i]});
    return line;
}

}  // namespace

std::vector<Plot> charts(const Material& m) {
    std::vector<Plot> all;
    if (has_brew_day(m.batch))
        all.push_back(
            temperature_chart(m, m.brew_day, "Brew day: temperature", m.batch.started, pitched(m.batch)));
    all.push_back(gravity_chart(m));
    all.push_back(temperature_chart(m, m.trends, "Temperature", pitched(m.batch), m.end()));
    all.push_back(pressure_chart(m));
    all.push_back(co2_chart(m));
    std::erase_if(all, [](const Plot& plot) { return plot.is_empty(); });
    return all;
}

Plot comparison_chart(const Material& m) {
    Plot plot;
    const auto found = m.trends.find(Quantity::apparent_attenuation);
    if (m.earlier.empty() || found == m.trends.end()) return plot;
    const Timestamp began = pitched(m.batch);
    plot.title = "Apparent attenuation, by days since pitching";
    plot.unit = "%";
    const std::vector<Course> earlier = earlier_courses(m);
    plot.to = hours_worth_seeing(course(found->second, began), earlier,
                                 std::max(base::hours_between(began, m.end()), day_h));
    const double step = day_h * rounded_up(plot.to / day_h / ticks_most, {1, 2, 4, 7, 14, 28});
    for (double at = 0; at < plot.to; at += step)
        plot.ticks.push_back({at, fmt::format("{:.0f} d", at / day_h)});
    plot.lines.push_back(line_of(envelope(earlier, plot.to, envelope_step_h)));
    Plot::Line mine{Plot::Style::believed, {}};
    for (std::size_t i = 0; i < found->second.at.size(); ++i)
        if (found->second.at[i] >= began && base::hours_between(began, found->second.at[i]) <= plot.to)
            mine.points.push_back({base::hours_between(began, found->second.at[i]), found->second.value[i],
                                   found->second.low[i], found->second.high[i]});
    plot.lines.push_back(std::move(mine));
    return plot;
}

}  // namespace gyled::report
