#include "daemon/report/page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/base/text.hpp"
#include "daemon/report/charts.hpp"
#include "daemon/report/pace.hpp"
#include "daemon/report/style.hpp"

namespace gyled::report {
namespace {

/// What two printed pages bear.
struct Room {
    std::size_t facts = 12, alarms = 24, measurements = 20, earlier = 8;
};
constexpr Room room;

std::string cell(std::string_view text) {
    return fmt::format("<td>{}</td>", escaped(text));
}

template <class... Texts>
std::string row(const Texts&... texts) {
    return "<tr>" + (cell(texts) + ...) + "</tr>";
}

std::string table(std::string_view kind, std::initializer_list<std::string_view> heads,
                  const std::string& rows) {
    std::string out = fmt::format(R"(<table class="{}"><thead><tr>)", kind);
    for (const std::string_view head : heads) out += fmt::format("<th>{}</th>", escaped(head));
    return out + "</tr></thead><tbody>" + rows + "</tbody></table>";
}

std::string section(std::string_view title, const std::string& content) {
    if (content.empty()) return {};
    return fmt::format("<section><h2>{}</h2>{}</section>", escaped(title), content);
}

std::string more(std::size_t all, std::size_t shown, std::string_view of_what) {
    if (all <= shown) return {};
    return fmt::format("<p class=\"more\">and {} more {}.</p>", all - shown, escaped(of_what));
}

// ---- the head: what it became

std::optional<base::Estimate> last(const Trends& trends, Quantity q) {
    const auto found = trends.find(q);
    if (found == trends.end() || found->second.value.empty()) return std::nullopt;
    const cellar::Trend& t = found->second;
    return base::Estimate{t.value.back(), t.low.back(), t.high.back()};
}

std::string number(const display::Display& d, Quantity q, double canonical) {
    return fmt::format("{:.{}f}", d.shown(q, canonical), d.decimals(q));
}

std::string tile(std::string_view label, std::string_view value, std::string_view beneath) {
    return fmt::format(R"(<div class="tile"><span>{}</span><b>{}</b><small>{}</small></div>)", escaped(label),
                       escaped(value), escaped(beneath));
}

void estimate_tile(std::string& out, const Material& m, std::string_view label, Quantity q) {
    const auto estimate = last(m.last, q);
    if (!estimate) return;
    out += tile(
        label, m.display.text(q, estimate->value),
        fmt::format("{} to {}", number(m.display, q, estimate->low), number(m.display, q, estimate->high)));
}

std::optional<estimation::Fact> held(const batch::Record& batch, estimation::FactKind kind) {
    for (auto fact = batch.facts.rbegin(); fact != batch.facts.rend(); ++fact)
        if (fact->kind == kind && !fact->revoked) return *fact;
    return std::nullopt;
}

std::string figures(const Material& m) {
    std::string out;
    const batch::Plan& plan = m.batch.plan;
    if (plan.original_gravity)
        out += tile("Original gravity", m.display.text(Quantity::gravity, *plan.original_gravity), "");
    const bool has_ended = m.batch.ended.has_value();
    estimate_tile(out, m, has_ended ? "Gravity at the end" : "Gravity now", Quantity::gravity_now);
    estimate_tile(out, m, "Apparent attenuation", Quantity::apparent_attenuation);
    estimate_tile(out, m, "Alcohol by volume", Quantity::alcohol_by_volume);
    estimate_tile(out, m, "CO2", Quantity::co2_volumes);
    out += tile("Volume", fmt::format("{:.1f} L", plan.volume_l), "as planned");
    if (const auto finished = held(m.batch, estimation::FactKind::fermentation_finished))
        out += tile("Finished after", display::duration_text(finished->at - pitched(m.batch)),
                    m.display.local(finished->at));
    return "<div class=\"tiles\">" + out + "</div>";
}

std::string head(const Material& m) {
    const batch::Record& b = m.batch;
    const std::string vessel = m.vessel && !m.vessel->name.empty() ? m.vessel->name : b.plan.vessel;
    const std::string culture =
        b.plan.culture_name.empty() ? std::string{base::name(b.plan.culture)} : b.plan.culture_name;
    return fmt::format("<header><h1>{}</h1><p>{}{} · {} · from {} to {}</p></header>", escaped(b.plan.name),
                       escaped(m.site.empty() ? "" : m.site + " · "), escaped(vessel), escaped(culture),
                       escaped(m.display.local(b.started)),
                       b.ended ? escaped(m.display.local(*b.ended))
                               : "now (" + escaped(m.display.local(m.made)) + "), still running");
}

// ---- the plan as it happened

/// "19.2 °C (18.6 to 20.1)" between two moments.
std::string seen(const Material& m, Quantity q, Timestamp from, Timestamp to) {
    double sum = 0, low = HUGE_VAL, high = -HUGE_VAL;
    std::size_t n = 0;
    for (const Trends* trends : {&m.brew_day, &m.trends}) {
        const auto found = trends->find(q);
        if (found == trends->end() || n > 0) continue;
        const cellar::Trend& t = found->second;
        for (std::size_t i = 0; i < t.at.size(); ++i) {
            if (t.at[i] < from || t.at[i] >= to) continue;
            sum += t.value[i];
            low = std::min(low, t.low[i]);
            high = std::max(high, t.high[i]);
            ++n;
        }
    }
    if (n == 0) return "-";
    return fmt::format("{} ({} to {})", m.display.text(q, sum / static_cast<double>(n)),
                       number(m.display, q, low), number(m.display, q, high));
}

std::string asked(const Material& m, Quantity q, const std::optional<base::Band>& band) {
    if (!band) return "-";
    return fmt::format("{} to {}", number(m.display, q, band->low), m.display.text(q, band->high));
}

std::string stage_row(const Material& m, std::size_t i) {
    const auto& entered = m.batch.stages[i];
    const Timestamp until = i + 1 < m.batch.stages.size() ? m.batch.stages[i + 1].at : m.end();
    if (entered.index >= m.batch.plan.stages.size()) return {};
    const batch::StagePlan& stage = m.batch.plan.stages[entered.index];
    return row(base::spoken(base::name(stage.kind)), m.display.local(entered.at),
               display::duration_text(std::max(until - entered.at, base::Duration{})),
               asked(m, Quantity::beer_temperature, stage.temperature_c),
               seen(m, Quantity::beer_temperature, entered.at, until),
               seen(m, Quantity::head_pressure, entered.at, until), entered.why);
}

std::string story(const Material& m) {
    std::string rows;
    for (std::size_t i = 0; i < m.batch.stages.size(); ++i) rows += stage_row(m, i);
    return section(
        "The plan as it happened",
        table("story", {"Stage", "Began", "Lasted", "Band", "Temperature", "Pressure", "Why"}, rows));
}

// ---- what was found, and what was said

std::string facts(const Material& m) {
    std::string rows;
    const auto& all = m.batch.facts;
    for (std::size_t i = 0; i < std::min(all.size(), room.facts); ++i)
        rows += row(m.display.local(all[i].at), base::spoken(estimation::name(all[i].kind)),
                    all[i].revoked ? "Revoked: " + all[i].revoked_because : all[i].evidence);
    if (rows.empty()) return {};
    return section("Facts",
                   table("dated", {"When", "What", "Because"}, rows) + more(all.size(), room.facts, "facts"));
}

std::string alarm_end(const Material& m, const alarms::Transition& t) {
    return t.state == alarms::AlarmState::normal
               ? display::duration_text(t.at - t.raised_at)
               : std::string{alarms::name(t.state)} + ", " + m.display.local(t.at);
}

std::string alarm_list(const Material& m) {
    std::string rows;
    for (std::size_t i = 0; i < std::min(m.alarms.size(), room.alarms); ++i) {
        const alarms::Transition& t = m.alarms[i];
        rows += row(m.display.local(t.raised_at), alarms::name(t.priority),
                    t.title.empty() ? t.text : t.title, alarm_end(m, t));
    }
    if (rows.empty()) return {};
    return section("Alarms", table("dated", {"Raised", "Priority", "What", "Stood"}, rows) +
                                 more(m.alarms.size(), room.alarms, "in the alarm log"));
}

std::string measurements(const Material& m) {
    std::string rows;
    const auto& all = m.batch.measurements;
    for (std::size_t i = 0; i < std::min(all.size(), room.measurements); ++i)
        rows += row(m.display.local(all[i].at), base::spoken(base::name(all[i].quantity)),
                    m.display.text(all[i].quantity, all[i].value), all[i].note);
    if (rows.empty()) return {};
    return section("Measured by hand", table("dated", {"When", "What", "Value", "Note"}, rows) +
                                           more(all.size(), room.measurements, "measurements"));
}

// ---- beside earlier batches

std::string earlier_row(const Material& m, const batch::Record& batch, const Course& course,
                        std::string_view which) {
    const auto finished = held(batch, estimation::FactKind::fermentation_finished);
    return row(
        which, m.display.local(batch.started),
        batch.plan.original_gravity ? m.display.text(Quantity::gravity, *batch.plan.original_gravity) : "-",
        course.percent.empty() ? "-" : fmt::format("{:.0f} %", course.percent.back()),
        finished ? display::duration_text(finished->at - pitched(batch)) : "-");
}

std::string comparison(const Material& m) {
    const Plot chart = comparison_chart(m);
    if (chart.is_empty()) return {};
    std::vector<Course> earlier;
    for (const Earlier& one : m.earlier) earlier.push_back(course(one.attenuation, pitched(one.batch)));
    const Course mine = course(m.trends.at(Quantity::apparent_attenuation), pitched(m.batch));
    const auto found = pace(mine, earlier);
    std::string rows = earlier_row(m, m.batch, mine, "this one");
    for (std::size_t i = 0; i < std::min(m.earlier.size(), room.earlier); ++i)
        rows += earlier_row(m, m.earlier[i].batch, earlier[i], "before");
    return section(
        "Beside your earlier batches of this name",
        fmt::format("<p class=\"pace\">{}</p>", escaped(found ? words(*found) : "Too early to compare.")) +
            "<div class=\"beside\">" + figure(chart) +
            table("dated", {"", "Began", "Original gravity", "Attenuated", "Finished after"}, rows) +
            "</div>");
}

std::string figures_of(const std::vector<Plot>& plots) {
    std::string out;
    for (const Plot& plot : plots) out += figure(plot);
    return out.empty() ? "<p>No reading of this batch is stored.</p>"
                       : "<div class=\"charts\">" + out + "</div>";
}

constexpr std::string_view legend =
    "<p class=\"legend\"><i class=\"measured\"></i> measured, lowest to highest <i class=\"believed\"></i> "
    "estimated, 90 % interval <i class=\"bandkey\"></i> asked for <i class=\"handkey\"></i> by hand "
    "<i class=\"earlier\"></i> earlier batches</p>";

}  // namespace

std::string page(const Material& m) {
    return fmt::format(
               "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
               "content=\"width=device-width, "
               "initial-scale=1\"><title>{}</title><style>{}</style></head><body>",
               escaped(m.batch.plan.name), style) +
           head(m) + figures(m) + story(m) + figures_of(charts(m)) + std::string{legend} +
           "<div class=\"second\">" + comparison(m) + facts(m) + alarm_list(m) + measurements(m) + "</div>" +
           fmt::format(
               "<footer>Made {} by gyled {}. Estimates at 90 %. It watches and advises; it is no proof that "
               "a "
               "vessel or a package is safe.</footer></body></html>\n",
               escaped(m.display.local(m.made)), GYLED_VERSION);
}

}  // namespace gyled::report
