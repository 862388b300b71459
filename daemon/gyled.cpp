/// gyled: the daemon. Only wiring: read the configuration, build the App, run the loop until told to stop.

#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <systemd/sd-daemon.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <csignal>
#include <cstdlib>
#include <iostream>
#include <utility>

#include "daemon/app/app.hpp"
#include "daemon/app/log.hpp"
#include "daemon/base/pace.hpp"

namespace {

void say_mistakes(const gyled::config::Mistakes& mistakes) {
    for (const auto& mistake : mistakes) {
        std::cerr << mistake.text() << '\n';
        if (!mistake.excerpt.empty()) std::cerr << mistake.excerpt << '\n';
    }
}

/// How many refuse the file.
void say_count(const gyled::config::Mistakes& mistakes) {
    const auto count = std::ranges::count(mistakes, false, &gyled::config::Mistake::is_warning);
    std::cerr << "gyled: " << count << (count == 1 ? " mistake" : " mistakes") << " in the configuration\n";
}

}  // namespace

int main(int argc, char** argv) try {
    CLI::App options{
        "Watches a brewed batch from strike water to the glass. Monitors and advises; never actuates."};
    std::string path = "/etc/gyled/gyled.toml";
    bool check_only = false;
    std::string log_level = "info", rehearsal;
    options.add_option("-c,--config", path, "the configuration file")->capture_default_str();
    options.add_flag("--check-config", check_only, "report every mistake in the configuration and end");
    options.add_option("--log-level", log_level, "how much to tell")
        ->check(CLI::IsMember({"debug", "info", "warn", "error"}))
        ->capture_default_str();
    options.add_option("--rehearsal", rehearsal,
                       "let time pass so many times as fast, beside a gyle-vessel of the same pace: nothing "
                       "real is watched then (60, or 60,5.25h:4000@2026-03-01T08:00:00Z)");
    options.set_version_flag("--version", "gyled " GYLED_VERSION);
    try {
        options.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return options.exit(error) == 0 ? EXIT_SUCCESS : 2;
    }

    auto config = check_only ? gyled::config::check_config(path) : gyled::config::load_config(path);
    if (!config) {
        say_mistakes(config.error());
        say_count(config.error());
        return 2;
    }
    if (check_only) {
        say_mistakes(config->warnings);
        std::cout << path << ": " << config->vessels.size() << " vessels, " << config->sensors.size()
                  << " sensors, " << config->messengers.size() << " messengers: "
                  << (config->warnings.empty() ? "all in order" : "in order but for the warnings") << '\n';
        return EXIT_SUCCESS;
    }

    ::signal(SIGXFSZ, SIG_IGN);  // a file that may grow no more is a full disk, not the end of the watch
    // database and spool are for owner and group alone, as the service has it; a stricter wish stands
    ::umask(::umask(0) | S_IRWXO | S_IWGRP);
    gyled::app::log_to_stderr(log_level);
    for (const auto& warning : config->warnings) spdlog::warn("{}", warning.text());
    gyled::base::Clock clock = gyled::base::system_clock();
    if (!rehearsal.empty()) {
        const auto pace = gyled::base::Pace::from(rehearsal, clock.wall());
        if (!pace) {
            std::cerr << "gyled: --rehearsal: " << pace.error() << '\n';
            return 2;
        }
        clock = gyled::base::hurried(clock, *pace);
        spdlog::warn("a rehearsal, at the pace {}: nothing real is watched", rehearsal);
    }
    boost::asio::io_context loop{1};
    gyled::app::Lifesigns lifesigns;
    lifesigns.ready = [] { sd_notify(0, "READY=1"); };
    lifesigns.alive = [] { sd_notify(0, "WATCHDOG=1"); };
    gyled::app::App app{loop, std::move(config).value(), lifesigns, std::move(clock)};

    boost::asio::signal_set signals{loop, SIGINT, SIGTERM};
    signals.async_wait([&](const boost::system::error_code&, int) {
        sd_notify(0, "STOPPING=1");
        spdlog::info("stopping");
        app.stop();
    });
    app.start();
    spdlog::info("gyled {} started", GYLED_VERSION);
    loop.run();
    return EXIT_SUCCESS;
} catch (const std::exception& problem) {
    std::cerr << "gyled: " << problem.what() << '\n';
    return EXIT_FAILURE;
}
