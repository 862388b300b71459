#include "daemon/cli/status_text.hpp"

#include <fmt/format.h>

#include "daemon/cli/document_text.hpp"

namespace gyled::cli {
namespace {

std::string age(double seconds) {
    if (seconds < 90) return fmt::format("{:.0f} s ago", seconds);
    if (seconds < 5400) return fmt::format("{:.0f} min ago", seconds / 60);
    if (seconds < 172800) return fmt::format("{:.0f} h ago", seconds / 3600);
    return fmt::format("{:.0f} d ago", seconds / 86400);
}

void vessel_text(std::string& out, const Json& vessel) {
    const Json& batch = vessel.at("batch");
    out += text_of(vessel, "name");
    if (batch.is_object()) out += fmt::format(" · {}", text_of(batch, "name"));
    out += fmt::format("\n  {}\n\n", text_of(vessel, "sentence"));

    for (const Json& alarm : vessel.at("alarms"))
        out += fmt::format("  ! {} ({}, since {})\n    {}\n",
                           text_of(alarm, text_of(alarm, "now_text").empty() ? "text" : "now_text"),
                           text_of(alarm, "priority"), text_of(alarm, "raised_at_text"),
                           text_of(alarm, "alarm"));
    if (!vessel.at("alarms").empty()) out += '\n';

    for (const auto& [name, value] : vessel.at("measured").items())
        out += fmt::format("  {:<26} {:>14}   {}{}\n", spoken(name), text_of(value, "text"),
                           age(value.value("age_s", 0.0)), value.value("stale", false) ? "  STALE" : "");
    for (const auto& [name, value] : vessel.at("estimates").items())
        out += fmt::format("  {:<26} {:>14}   {}\n", spoken(name), text_of(value, "text"),
                           text_of(value, "interval"));

    if (batch.is_object()) {
        out += "\n  plan:";
        for (const Json& stage : batch.at("stages")) {
            const std::string kind = text_of(stage, "kind");
            out += text_of(stage, "state") == "now" ? fmt::format(" [{}]", kind) : fmt::format(" {}", kind);
        }
        out += '\n';
    }
    for (const Json& fact : vessel.at("facts"))
        if (!fact.value("revoked", false))
            out += fmt::format("  {}: {}. {}\n", text_of(fact, "at_text"), spoken(text_of(fact, "fact")),
                               text_of(fact, "evidence"));
    out += '\n';
}

}  // namespace

std::string status_text(const Json& answer) {
    std::string out;
    if (answer.contains("vessels")) {
        for (const Json& vessel : answer.at("vessels")) vessel_text(out, vessel);
    } else {
        vessel_text(out, answer);
    }
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
