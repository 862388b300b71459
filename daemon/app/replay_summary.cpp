#include "daemon/app/replay_summary.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <ostream>

namespace gyled::app {
namespace {

using base::Quantity;

constexpr std::size_t plot_columns = 60;
constexpr std::array plotted{Quantity::gravity_now,      Quantity::apparent_attenuation,
                             Quantity::beer_temperature, Quantity::head_pressure,
                             Quantity::co2_volumes,      Quantity::final_gravity};

}  // namespace

std::string sparkline(const std::vector<double>& columns) {
    static constexpr std::array<const char*, 8> bars{"▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const double v : columns)
        if (std::isfinite(v)) low = std::min(low, v), high = std::max(high, v);
    std::string text;
    for (const double v : columns) {
        if (!std::isfinite(v)) {
            text += ' ';
            continue;
        }
        const double share = high > low ? (v - low) / (high - low) : 0.5;
        text += bars.at(static_cast<std::size_t>(std::lround(share * 7)));
    }
    return text;
}

void ReplaySummary::take(const cellar::Effects& effects) {
    for (const auto& t : effects.transitions)
        events_.emplace_back(
            t.at, fmt::format("{}: {} ({}) {}", t.vessel.empty() ? "watch" : t.vessel, t.rule,
                              t.state == alarms::State::normal ? "cleared" : alarms::name(t.state), t.text));
    for (const auto& f : effects.facts)
        events_.emplace_back(f.fact.revoked ? f.fact.revoked_at : f.fact.at,
                             fmt::format("{}: {}{}. {}", f.vessel, estimation::name(f.fact.kind),
                                         f.fact.revoked ? " taken back" : "",
                                         f.fact.revoked ? f.fact.revoked_because : f.fact.evidence));
    for (const auto& p : effects.estimates)
        trends_[{p.vessel, p.quantity}].push_back({p.at, p.estimate.value});
    for (const auto& p : effects.readings)
        if (p.verdict == sensors::Verdict::accepted)
            trends_[{p.vessel, p.quantity}].push_back({p.at, p.value});
}

void ReplaySummary::print(std::ostream& out, const cellar::Cellar& core, std::uint64_t readings,
                          const std::map<std::string, std::uint64_t>& rejected, double wall_seconds) const {
    for (const auto& vessel : core.vessels()) {
        fmt::print(out, "{}\n  {}\n\n", vessel.spec.name, vessel.sentence);
        for (const Quantity q : plotted) {
            const auto found = trends_.find({vessel.spec.id, q});
            if (found == trends_.end()) continue;
            auto points = found->second;
            std::stable_sort(points.begin(), points.end(),
                             [](const Point& a, const Point& b) { return a.at < b.at; });
            const auto from = points.front().at;
            const auto span = std::max<double>(1, static_cast<double>((points.back().at - from).count()));
            std::vector<double> sum(plot_columns, 0), count(plot_columns, 0);
            for (const Point& p : points) {
                const auto column = std::min(
                    plot_columns - 1, static_cast<std::size_t>(static_cast<double>((p.at - from).count()) /
                                                               span * plot_columns));
                sum[column] += p.value;
                count[column] += 1;
            }
            for (std::size_t i = 0; i < plot_columns; ++i)
                sum[i] = count[i] > 0 ? sum[i] / count[i] : std::numeric_limits<double>::quiet_NaN();
            fmt::print(out, "  {:<22}{}  {}\n", base::name(q), sparkline(sum),
                       display_.text(q, points.back().value));
        }
        fmt::print(out, "\n");
    }
    for (const auto& [at, text] : events_) fmt::print(out, "{}  {}\n", display_.local(at), text);
    fmt::print(out, "\n{} readings in {:.2f} s", readings, wall_seconds);
    for (const auto& [reason, count] : rejected) fmt::print(out, "; {} {}", count, reason);
    fmt::print(out, "\n");
}

}  // namespace gyled::app
