/// gyle status: what is in there, what is next, is it safe.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"
#include "daemon/cli/status_text.hpp"

namespace gyled::cli {
namespace {

struct Status {
    Connection daemon;
    std::string vessel;

    [[nodiscard]] int run(Terminal to) const {
        const int code =
            daemon.show(vessel.empty() ? "/api/vessels" : vessel_target(vessel), status_text, to);
        if (code != done || daemon.json) return code;
        if (const auto sensors = daemon.get("/api/sensors", to.talk))
            fmt::print(to.out, "{}", rejected_text(*sensors));
        return done;
    }
};

}  // namespace

void add_status(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("status", "what is in there, what is next, is it safe");
    auto options = std::make_shared<Status>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel, "only this vessel");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
