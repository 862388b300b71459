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

using namespace std::chrono_literals;

/// Moments that come again each day, or stand on the estimators' grid.
bool is_even(base::Duration every) {
    constexpr base::Duration none{}, grid = 15min;
    return every > none && every % 1min == none && (24h % every == none || every % grid == none);
}

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
        if (!interval || !is_even(*interval)) {
            fmt::print(to.talk,
                       "gyle: --every {}: expected whole minutes that divide a day or are a multiple of 15, "
                       "as in 1min, 15min, 6h\n",
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
    verb->add_option("--every", options->every, "event time between estimates: 1min, 15min, 6h ...")
        ->capture_default_str();
    verb->add_flag("--json", options->json, "one object per line");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
