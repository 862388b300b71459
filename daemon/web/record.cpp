// The record of a batch as a page.

#include <algorithm>
#include <array>

#include "daemon/report/page.hpp"
#include "daemon/web/call.hpp"

namespace gyled::web {
namespace {

using base::Quantity;
using report::Material;
using namespace std::chrono_literals;

/// How much is asked of the store for one page.
struct Extent {
    std::size_t batches = 2'000;  ///< looked through for the name
    std::size_t earlier = 8;      ///< batches of that name
    std::size_t points = 300;     ///< of a curve: as many as a printed chart can show
    std::size_t alarms = 1'000;   ///< at once
    std::size_t alarm_pages = 10;
    base::Duration final = 24h, final_step = 15min;  ///< the last day, by the estimators' grid
    base::Duration alarms_after = 24h;  ///< so long after the end an alarm of the batch may return
};
constexpr Extent extent;

constexpr std::array curves{Quantity::beer_temperature, Quantity::gravity,     Quantity::head_pressure,
                            Quantity::gravity_now,      Quantity::co2_volumes, Quantity::apparent_attenuation,
                            Quantity::alcohol_by_volume};

/// By its id; else the newest of that vessel, or of that name. Newest first.
const batch::Record* find(const std::vector<batch::Record>& all, const std::string& wanted) {
    const auto first = [&](auto matches) {
        const auto found = std::ranges::find_if(all, matches);
        return found == all.end() ? nullptr : &*found;
    };
    if (const auto* found = first([&](const batch::Record& b) { return b.id == wanted; })) return found;
    if (const auto* found = first([&](const batch::Record& b) { return b.plan.vessel == wanted; }))
        return found;
    return first([&](const batch::Record& b) { return b.plan.name == wanted; });
}

report::Trends trends(const History& history, const std::string& vessel, Timestamp from, Timestamp to,
                      std::size_t points) {
    report::Trends out;
    for (const Quantity q : curves) out[q] = history.trend(vessel, q, from, to, points);
    return out;
}

/// Newest first, page by page, down to the start of the batch.
std::vector<alarms::Transition> alarms_of(const History& history, const Material& m) {
    std::vector<alarms::Transition> out;
    auto page = history.alarms(extent.alarms, m.end() + extent.alarms_after);
    for (std::size_t n = 0; n < extent.alarm_pages && !page.empty(); ++n) {
        for (const alarms::Transition& t : page)
            if (t.vessel == m.batch.plan.vessel && t.raised_at >= m.batch.started && t.raised_at <= m.end())
                out.push_back(t);
        if (page.size() < extent.alarms || page.back().at < m.batch.started) break;
        page = history.alarms(extent.alarms, AlarmPlace{page.back().at, page.back().alarm});
    }
    return out;
}

void add_earlier(Material& m, const History& history, const std::vector<batch::Record>& all) {
    for (const batch::Record& other : all) {
        if (m.earlier.size() == extent.earlier) return;
        if (other.plan.name != m.batch.plan.name || other.id == m.batch.id ||
            other.started >= m.batch.started)
            continue;
        m.earlier.push_back(
            {other, history.trend(other.plan.vessel, Quantity::apparent_attenuation, other.started,
                                  other.ended.value_or(m.batch.started), extent.points)});
    }
}

void gather(Material& m, const History& history, const std::vector<batch::Record>& all) {
    const std::string& vessel = m.batch.plan.vessel;
    const Timestamp began = report::pitched(m.batch), end = std::max(m.end(), began + extent.final_step);
    m.trends = trends(history, vessel, began, end, extent.points);
    if (report::has_brew_day(m.batch))
        m.brew_day = trends(history, vessel, m.batch.started, began, extent.points);
    m.last = trends(history, vessel, std::max(m.batch.started, end - extent.final), end,
                    static_cast<std::size_t>(extent.final / extent.final_step));
    m.alarms = alarms_of(history, m);
    add_earlier(m, history, all);
}

Reply page_reply(const Material& m) {
    return {.content_type = "text/html; charset=utf-8",
            .body = report::page(m),
            // The page brings its own style and needs nothing else.
            .headers = {{"Content-Security-Policy",
                         "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"},
                        {"Cache-Control", "no-store"}}};
}

}  // namespace

Handled report_answer(const Call& call) {
    Material material;
    material.site = call.backend.site_name();
    material.display = call.backend.display();
    material.made = call.backend.now();
    std::map<std::string, batch::VesselSpec> vessels;
    for (const cellar::VesselView& view : call.backend.vessels()) vessels[view.spec.id] = view.spec;
    return [material, vessels, wanted = call.id](const History& history) {
        const std::vector<batch::Record> all = history.batches(extent.batches);
        const batch::Record* const found = find(all, wanted);
        if (found == nullptr)
            return problem(404, "No such batch",
                           "No batch, and no vessel with one, is called '" + wanted.substr(0, 80) +
                               "'. `gyle batch list` names them.");
        Material m = material;
        m.batch = *found;
        if (const auto vessel = vessels.find(found->plan.vessel); vessel != vessels.end())
            m.vessel = vessel->second;
        gather(m, history, all);
        return page_reply(m);
    };
}

}  // namespace gyled::web
