/// gyle calc: the sums of a brew, without the daemon.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <ostream>

#include "daemon/cli/calc/ask.hpp"
#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

/// The options of one sum, and what was typed for them.
struct Calc {
    const calc::Sum* sum = nullptr;
    calc::Typed typed;
    std::string config_path, vessel, elevation;
    bool json = false;

    [[nodiscard]] int run(Terminal to) const {
        calc::Site site;
        calc::Typed words = typed;
        if (!config_path.empty()) {
            const auto config = config::load_config(config_path);
            if (!config) {
                say(to.talk, config.error());
                return wrong_usage;
            }
            site = {config->site.display, config->site.elevation_m};
            if (!vessel.empty() && !take_plate(words, *config))
                return refuse({"vessel", "no vessel is called '" + vessel.substr(0, 40) + "'."}, to);
        }
        if (!elevation.empty()) {
            const auto metres = calc::read(calc::Kind::elevation, elevation, site.display);
            if (!metres) return refuse({"elevation", metres.error()}, to);
            site.elevation_m = *metres;
        }
        return answer(words, site, to);
    }

private:
    static int refuse(const calc::Complaint& complaint, Terminal to) {
        fmt::print(to.talk, "gyle: --{}: {}\n", complaint.argument, complaint.what);
        return wrong_usage;
    }
    /// What stands on the vessel's plate, unless something else was typed. False: there is no such vessel.
    [[nodiscard]] bool take_plate(calc::Typed& words, const config::Config& config) const {
        const auto found = std::find_if(config.vessels.begin(), config.vessels.end(),
                                        [&](const batch::VesselSpec& spec) { return spec.id == vessel; });
        if (found == config.vessels.end()) return false;
        if (const auto kpa = found->lowest_limit_kpa())
            words.try_emplace("rating", fmt::format("{}kPa", *kpa));
        if (const auto kpa = found->relief_pressure_kpa)
            words.try_emplace("relief", fmt::format("{}kPa", *kpa));
        return true;
    }
    [[nodiscard]] int answer(const calc::Typed& words, const calc::Site& site, Terminal to) const {
        const auto given = calc::understand(*sum, words, site.display);
        if (!given) return refuse(given.error(), to);
        const auto answer = sum->work(*given, site);
        if (!answer) return refuse(answer.error(), to);
        if (json)
            fmt::print(to.out, "{}\n", calc::json_of(*sum, *given, *answer, site).dump(2));
        else
            fmt::print(to.out, "{}", calc::text_of(*sum, *given, *answer, site));
        return answer->refused.empty() ? done : failed;
    }
};

std::string meaning_of(const calc::Argument& argument) {
    std::string out{argument.meaning};
    if (argument.kind == calc::Kind::word) out += ": " + fmt::format("{}", fmt::join(argument.words, ", "));
    if (argument.otherwise && !argument.otherwise->empty()) out += fmt::format(" [{}]", *argument.otherwise);
    return out;
}

bool has_limits(const calc::Sum& sum) {
    return std::any_of(sum.arguments.begin(), sum.arguments.end(),
                       [](const calc::Argument& argument) { return argument.name == "rating"; });
}

void add_sum(CLI::App& verb, const calc::Sum& sum, Action& chosen) {
    auto* one = verb.add_subcommand(std::string{sum.name}, std::string{sum.meaning});
    auto options = std::make_shared<Calc>();
    options->sum = &sum;
    for (const calc::Argument& argument : sum.arguments) {
        const std::string name{argument.name};
        auto* option = one->add_option_function<std::string>(
            "--" + name, [options, name](const std::string& text) { options->typed[name] = text; },
            meaning_of(argument));
        if (!argument.otherwise) option->required();
    }
    if (sum.knows_altitude)
        one->add_option("--elevation", options->elevation, "above the sea, as 1500m; else the site's");
    auto* config = one->add_option("-c,--config", options->config_path,
                                   "a configuration: the site's units and elevation");
    if (has_limits(sum))
        one->add_option("--vessel", options->vessel,
                        "of the configuration: its plate, for --rating and --relief")
            ->needs(config);
    one->add_flag("--json", options->json, "print JSON");
    one->footer("Source: " + std::string{sum.source} + ".");
    one->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace

void add_calc(CLI::App& gyle, Action& chosen) {
    auto* verb =
        gyle.add_subcommand("calc", "sums of a brew: strike, carbonation, priming ...; needs no daemon");
    verb->require_subcommand(1);
    for (const calc::Sum& sum : calc::all_sums()) add_sum(*verb, sum, chosen);
}

}  // namespace gyled::cli
