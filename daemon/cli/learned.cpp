/// gyle vessel, gyle culture: what gyled has learnt of them over the batches, and forgetting it.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

std::string spoken(std::string what) {
    std::replace(what.begin(), what.end(), '_', ' ');
    return what;
}

std::string vessel_text(const Json& answer) {
    std::string out;
    for (const Json& figure : answer.at("learned"))
        out +=
            fmt::format("{:16} {}, from {}\n", spoken(figure.at("what").get<std::string>()),
                        figure.at("text").get<std::string>(), figure.at("rests_on_text").get<std::string>());
    return out.empty() ? "Nothing has been learnt of it yet: that comes with heat-ups and carbonations.\n"
                       : out;
}

std::string cultures_text(const Json& answer) {
    std::string out;
    for (const Json& each : answer.at("cultures")) {
        const int batches = each.at("batches").get<int>();
        out += fmt::format("{}: {} batch{}\n", each.at("culture").get<std::string>(), batches,
                           batches == 1 ? "" : "es");
    }
    return out.empty() ? "No batch of a named culture has ended yet.\n" : out;
}

struct Learned {
    Connection daemon;
    std::string of;
    bool forget = false;

    [[nodiscard]] int vessel(Terminal to) const {
        const std::string target = vessel_target(of, "/learned");
        if (forget) return daemon.tell({.method = "DELETE", .target = target}, "Forgotten.", to);
        return daemon.show(target, vessel_text, to);
    }
    [[nodiscard]] int culture(Terminal to) const {
        if (forget)
            return daemon.tell(
                {.method = "DELETE", .target = "/api/cultures", .body = Json{{"culture", of}}.dump()},
                "Forgotten.", to);
        return daemon.show("/api/cultures", cultures_text, to);
    }
};

}  // namespace

void add_vessel(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("vessel", "what has been learnt of a vessel over its batches");
    auto options = std::make_shared<Learned>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->of)->required();
    verb->add_flag("--forget", options->forget, "it has changed: learn it anew");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->vessel(to); }; });
}

void add_culture(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("culture", "of which cultures batches have taught how they ferment");
    auto options = std::make_shared<Learned>();
    options->daemon.add_options(*verb);
    auto* name = verb->add_option("culture", options->of, "which to forget");
    auto* forget = verb->add_flag("--forget", options->forget, "learn it anew");
    forget->needs(name);
    name->needs(forget);
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->culture(to); }; });
}

}  // namespace gyled::cli
