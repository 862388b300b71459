#include "daemon/cli/status_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>
#include <utility>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/cli/document_text.hpp"

namespace gyled::cli {
namespace {

std::string age(double seconds) {
    if (seconds < 90) return fmt::format("{:.0f} s ago", seconds);
    if (seconds < 5400) return fmt::format("{:.0f} min ago", seconds / 60);
    if (seconds < 172800) return fmt::format("{:.0f} h ago", seconds / 3600);
    return fmt::format("{:.0f} d ago", seconds / 86400);
}

/// How it stands now; as it was when raised where nothing else is known.
std::string present_text(const Json& alarm) {
    const std::string now = text_of(alarm, "now_text");
    return now.empty() ? text_of(alarm, "text") : now;
}

/// Of standing alarms: it is neither acknowledged nor shelved.
bool calls(const Json& alarm) {
    const std::string state = text_of(alarm, "state");
    return text_of(alarm, "shelved_until").empty() && (state == "raised" || state.empty());
}

void alarm_text(std::string& out, const Json& alarm, const std::string& vessel) {
    const bool is_shelved = !text_of(alarm, "shelved_until").empty();
    const std::string state = is_shelved ? "shelved" : text_of(alarm, "state");
    out += fmt::format("{} {}{}{} ({}{}, since {})\n", calls(alarm) ? '!' : '-', vessel,
                       vessel.empty() ? "" : ": ", present_text(alarm), text_of(alarm, "priority"),
                       calls(alarm) ? "" : ", " + state, text_of(alarm, "raised_at_text"));
    if (const std::string first = text_of(alarm, "first_action"); !first.empty())
        out += fmt::format("    First: {}\n", first);
    out += fmt::format("    {}\n", text_of(alarm, "alarm"));
}

/// Those of the watch itself and of each vessel, as on the page: most urgent first, of these those that
/// nobody has acknowledged.
void standing_text(std::string& out, const Json& watch, const Json& vessels) {
    std::vector<std::pair<Json, std::string>> standing;
    if (watch.contains("alarms"))
        for (const Json& alarm : watch.at("alarms")) standing.emplace_back(alarm, "");
    for (const Json& vessel : vessels)
        for (const Json& alarm : vessel.at("alarms")) standing.emplace_back(alarm, text_of(vessel, "name"));
    std::ranges::stable_sort(standing, std::greater{}, [](const auto& one) {
        return std::tuple{alarms::priority_named(text_of(one.first, "priority")), calls(one.first)};
    });
    for (const auto& [alarm, vessel] : standing) alarm_text(out, alarm, vessel);
    if (!standing.empty()) out += '\n';
}

void impairments_text(std::string& out, const Json& watch) {
    if (!watch.contains("impairments") || watch.at("impairments").empty()) return;
    out += "The watch is impaired:\n";
    for (const Json& impairment : watch.at("impairments")) {
        const std::string first_aid = text_of(impairment, "first_aid");
        out += fmt::format("  * {}, since {}.{}{}\n", text_of(impairment, "text"),
                           text_of(impairment, "since_text"), first_aid.empty() ? "" : " ", first_aid);
    }
    out += '\n';
}

/// A number beyond what the vessel bears says so.
std::string against_limit(const Json& vessel, const std::string& quantity, const Json& value) {
    if (quantity != "head_pressure" || !vessel.contains("limits")) return {};
    const Json& limit = vessel.at("limits").at("pressure");
    if (!limit.is_object() || !value.at("value").is_number()) return {};
    return value.at("value") >= limit.at("value")
               ? fmt::format("  AT OR ABOVE THE LIMIT of {}", text_of(limit, "text"))
               : std::string{};
}

std::string staleness(const Json& estimate) {
    if (!estimate.value("stale", false)) return {};
    const Json& input = estimate.at("rests_on");
    return fmt::format("  STALE: {} of {}", text_of(input, "text"), text_of(input, "at_text"));
}

void numbers_text(std::string& out, const Json& vessel) {
    for (const auto& [name, value] : vessel.at("measured").items())
        out += fmt::format("  {:<26} {:>14}   {}{}{}\n", spoken(name), text_of(value, "text"),
                           age(value.value("age_s", 0.0)), value.value("stale", false) ? "  STALE" : "",
                           against_limit(vessel, name, value));
    for (const auto& [name, value] : vessel.at("estimates").items())
        out += fmt::format("  {:<26} {:>14}   {}{}\n", spoken(name), text_of(value, "text"),
                           text_of(value, "interval"), staleness(value));
}

void findings_text(std::string& out, const Json& batch) {
    if (!batch.contains("findings")) return;
    for (const Json& finding : batch.at("findings"))
        out += fmt::format("  {}: {}\n", text_of(finding, "severity"), text_of(finding, "text"));
}

void vessel_text(std::string& out, const Json& vessel) {
    const Json& batch = vessel.at("batch");
    out += text_of(vessel, "name");
    if (batch.is_object()) out += fmt::format(" · {}", text_of(batch, "name"));
    out += fmt::format("\n  {}\n\n", text_of(vessel, "sentence"));
    numbers_text(out, vessel);

    if (batch.is_object()) {
        out += "\n  plan:";
        const char* separator = " ";
        for (const Json& stage : batch.at("stages")) {
            const std::string name = text_of(stage, "text");
            out += separator + (text_of(stage, "state") == "now" ? fmt::format("[{}]", name) : name);
            separator = ", ";
        }
        out += '\n';
        findings_text(out, batch);
    }
    for (const Json& fact : vessel.at("facts"))
        if (!fact.value("revoked", false))
            out += fmt::format("  {}: {}. {}\n", text_of(fact, "at_text"), spoken(text_of(fact, "fact")),
                               text_of(fact, "evidence"));
    out += '\n';
}

}  // namespace

std::string status_text(const Json& answer) {
    const Json watch = answer.contains("watch") ? answer.at("watch") : Json::object();
    std::string out;
    standing_text(out, watch, answer.at("vessels"));
    impairments_text(out, watch);
    for (const Json& vessel : answer.at("vessels")) vessel_text(out, vessel);
    out += "gyled only watches: the relief valve protects. Mind CO2 in closed rooms.\n";
    return out;
}

std::string rejected_text(const Json& answer) {
    std::string out;
    for (const auto& [reason, count] : answer.at("rejected").items())
        out += fmt::format("{} {} {}", out.empty() ? "Not used:" : ",", count.get<std::uint64_t>(),
                           spoken(reason));
    return out.empty() ? out : out + ".\n";
}

}  // namespace gyled::cli
