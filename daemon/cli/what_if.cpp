/// gyle what-if and gyle carbonate: what would come of it, and how the beer gets to its gas.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"
#include "daemon/cli/document_text.hpp"

namespace gyled::cli {
namespace {

/// Up to three weeks are lived on, on the daemon's reading thread.
constexpr auto patience = std::chrono::minutes{2};

std::string cell(const Json& at, const char* key) {
    if (!at.contains(key)) return {};
    const std::string interval = text_of(at.at(key), "interval");
    return text_of(at.at(key), "text") + (interval.empty() ? "" : " (" + interval + ")");
}

void add_course(std::string& out, const Json& course) {
    for (const Json& at : course)
        out += fmt::format("  {:<18} {:>8}   {:<32} {:<30} {}\n", text_of(at, "at_text"),
                           cell(at, "beer_temperature"), cell(at, "head_pressure"), cell(at, "co2_volumes"),
                           cell(at, "gravity_now"));
}

std::string what_if_text(const Json& answer) {
    std::string out;
    for (const Json& why : answer.at("refused")) out += fmt::format("! Do not: {}\n", why.get<std::string>());
    if (!answer.at("course").empty())
        out += fmt::format("  {:<18} {:>8}   {:<32} {:<30} {}\n", "", "beer", "head pressure", "CO2",
                           answer.at("course").front().contains("gravity_now") ? "gravity" : "");
    add_course(out, answer.at("course"));
    for (const Json& remark : answer.at("remarks")) out += remark.get<std::string>() + "\n";
    return out;
}

void add_way(std::string& out, std::string_view title, const Json& way) {
    if (way.is_null()) return;
    const Json& ready = way.at("ready");
    out += fmt::format("{}: ready {} ({})\n", title, text_of(ready, "text"), text_of(ready, "interval"));
    for (const Json& step : way.at("steps"))
        out += fmt::format("  {:<18} {}\n", text_of(step, "at_text"), text_of(step, "text"));
    if (const std::string overshoot = text_of(way, "overshoot"); !overshoot.empty())
        out += fmt::format("  ! {}\n", overshoot);
    out += '\n';
}

std::string carbonation_text(const Json& answer) {
    std::string out;
    for (const Json& why : answer.at("refused")) out += fmt::format("! {}\n", why.get<std::string>());
    add_way(out, "Set and wait", answer.at("set_and_wait"));
    add_way(out, "Faster", answer.at("faster"));
    if (!answer.at("spunding").empty()) out += "By its own gas:\n";
    for (const Json& line : answer.at("spunding")) out += fmt::format("  {}\n", line.get<std::string>());
    if (!answer.at("spunding").empty()) out += '\n';
    for (const Json& caution : answer.at("cautions")) out += caution.get<std::string>() + "\n";
    return out;
}

/// Exit code 1 where something is refused.
int show(const Connection& daemon, const std::string& target, Connection::TextOf text_of_answer,
         Terminal to) {
    const auto answer = daemon.ask({.target = target, .timeout = patience}, to.talk);
    if (!answer) return failed;
    fmt::print(to.out, "{}", daemon.json ? answer->dump(2) + "\n" : text_of_answer(*answer));
    return answer->at("refused").empty() ? done : failed;
}

/// "?a=1&b=2" of what was given.
class Query {
public:
    void add(std::string_view name, const std::string& value) {
        if (!value.empty())
            text_ += fmt::format("{}{}={}", text_.empty() ? '?' : '&', name, percent_encoded(value));
    }
    [[nodiscard]] const std::string& text() const { return text_; }

private:
    std::string text_;
};

struct WhatIf {
    Connection daemon;
    std::string vessel, close, vent, regulator, set, span;
    std::vector<std::string> temperatures;

    [[nodiscard]] int run(Terminal to) const {
        Query query;
        if (!close.empty()) {
            // Closed with a set point is closed by a spunding valve.
            query.add("head_space", set.empty() ? "sealed" : "spunded");
            query.add("at", close);
        } else if (!vent.empty()) {
            query.add("head_space", "vented");
            query.add("at", vent);
        } else if (!regulator.empty()) {
            query.add("head_space", "supplied");
            query.add("at", regulator);
        }
        query.add("set", set);
        std::string joined;
        for (const std::string& one : temperatures) joined += (joined.empty() ? "" : ",") + one;
        query.add("temperature", joined);
        query.add("for", span);
        return show(daemon, vessel_target(vessel, "/what-if" + query.text()), what_if_text, to);
    }
};

struct Carbonate {
    Connection daemon;
    std::string vessel, target, temperature;

    [[nodiscard]] int run(Terminal to) const {
        Query query;
        query.add("target", target);
        query.add("temperature", temperature);
        return show(daemon, vessel_target(vessel, "/carbonation" + query.text()), carbonation_text, to);
    }
};

}  // namespace

void add_what_if(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("what-if", "what would come of shutting, setting or chilling it");
    auto options = std::make_shared<WhatIf>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel)->required();
    constexpr const char* moments = "when: now, +6h, 20:00, Fri20:00, RFC 3339";
    auto* close = verb->add_option("--close", options->close,
                                   std::string{"shut it; with --set behind a spunding valve. "} + moments);
    auto* vent = verb->add_option("--vent", options->vent, std::string{"open it to the air. "} + moments);
    auto* gas = verb->add_option("--gas", options->regulator,
                                 std::string{"CO2 by a regulator, with --set. "} + moments);
    close->excludes(vent)->excludes(gas);
    vent->excludes(gas);
    verb->add_option("--set", options->set,
                     "what the valve or regulator is set to, gauge: 120kPa, 1.2bar, 12psi");
    verb->add_option("--temperature", options->temperatures,
                     "4C from now on, or 4C@Fri20:00; may be said again")
        ->allow_extra_args(false);
    verb->add_option("--for", options->span, "how far ahead: 36h, 7d (when left out), at most 21d");
    verb->footer(
        "Example: gyle what-if north --close now --set 120kPa --temperature 4C@Fri20:00\n"
        "Exit code 1 where it must not be done. Code 0 is no word that it is safe.");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

void add_carbonate(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("carbonate", "how the running batch gets to its volumes of CO2");
    auto options = std::make_shared<Carbonate>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel)->required();
    verb->add_option("--target", options->target, "volumes; the plan's when left out");
    verb->add_option("--temperature", options->temperature,
                     "that the beer is brought to; as it is when left out");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
