/// gyle replay: a recorded log through the real core.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"
#include "daemon/cli/replay.hpp"
#include "daemon/config/words.hpp"

namespace gyled::cli {
namespace {

/// Estimates stand on a grid of this step.
constexpr base::Duration estimates_grid = std::chrono::minutes{15};

struct Replay {
    std::string config_path, batch_path, log, every = "15min";
    bool json = false;

    [[nodiscard]] int run(Terminal to) const {
        const auto config = config::load_config(config_path);
        if (!config) return refuse(to, config.error());
        std::optional<batch::Plan> plan;
        if (!batch_path.empty()) {
            auto loaded = config::load_batch(batch_path);
            if (!loaded) return refuse(to, loaded.error());
            plan = std::move(loaded).value();
        }
        const auto interval = config::parse_duration(every);
        if (!interval || *interval < estimates_grid || *interval % estimates_grid != base::Duration{0}) {
            fmt::print(to.talk, "gyle: --every {}: expected a multiple of 15min, as in 15min, 1h, 1d\n",
                       every);
            return wrong_usage;
        }
        return replay(*config, plan ? &*plan : nullptr, {log, json, *interval}, to.out, to.talk);
    }

private:
    static int refuse(Terminal to, const config::Mistakes& mistakes) {
        say(to.talk, mistakes);
        return wrong_usage;
    }
};

}  // namespace

void add_replay(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("replay", "run a recorded log through the real core");
    auto options = std::make_shared<Replay>();
    verb->add_option("-c,--config", options->config_path, "the configuration")->required();
    verb->add_option("-b,--batch", options->batch_path, "the batch file");
    verb->add_option("log", options->log,
                     "lines UNIX_SECONDS TOPIC PAYLOAD, gzipped or not; - is standard input")
        ->required();
    verb->add_option("--every", options->every, "event time between estimates: 15min, 1h ...")
        ->capture_default_str();
    verb->add_flag("--json", options->json, "one object per line");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
