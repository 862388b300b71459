/// A simulated vessel that talks like a real one.

#include <fmt/format.h>

#include <chrono>
#include <exception>
#include <memory>

#include "sensors/virtual_vessel/broker_outlet.hpp"
#include "sensors/virtual_vessel/files.hpp"
#include "sensors/virtual_vessel/log_outlet.hpp"
#include "sensors/virtual_vessel/options.hpp"
#include "sensors/virtual_vessel/plant/scenarios.hpp"
#include "sensors/virtual_vessel/stop.hpp"
#include "sensors/virtual_vessel/voyage.hpp"

namespace {

using namespace gyled::virtual_vessel;

void list_scenarios() {
    for (const NamedScenario& named : all_scenarios()) fmt::print("{:24}{}\n", named.name, named.says);
}

void write_files(const Options& o) {
    const std::string broker = o.broker_url.empty() ? "mqtt://127.0.0.1:1883" : o.broker_url;
    if (!o.batch_path.empty()) write_file(o.batch_path, batch_file(o.scenario));
    if (!o.config_path.empty()) write_file(o.config_path, config_file(o.scenario, {broker, o.topic_prefix}));
    if (!o.truth_path.empty()) write_file(o.truth_path, truth_lines(o.scenario, o.run_for));
}

void write_log(const Options& o) {
    LogOutlet log{o.log_path};
    Voyage voyage{o, log};
    voyage.hurry(o.run_for.value_or(gyled::base::hours(o.scenario.duration_hours)));
    log.finish();
}

void publish(const Options& o) {
    BrokerOutlet broker{{o.broker_url, o.user, o.password, o.topic_prefix}};
    Voyage voyage{o, broker};
    const auto start = std::chrono::steady_clock::now();
    voyage.hurry(o.backfill);
    broker.finish();
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    fmt::print(stderr, "gyle-vessel: {} of seed {}: {} readings in {:.1f} s{}\n", o.scenario.name,
               o.scenario.seed, voyage.delivered(), took.count(), stop_asked() ? ", stopped" : "; now live");
    voyage.keep_pace(o.run_for);
    broker.finish();
}

}  // namespace

int main(int argc, char** argv) try {
    const auto parsed = parse_command_line(argc, argv);
    if (const int* code = std::get_if<int>(&parsed)) return *code;
    const Options& options = std::get<Options>(parsed);
    if (options.list_scenarios) {
        list_scenarios();
        return 0;
    }
    watch_for_stop();
    write_files(options);
    if (!options.log_path.empty()) write_log(options);
    if (!options.broker_url.empty()) publish(options);
    return 0;
} catch (const std::exception& problem) {
    fmt::print(stderr, "gyle-vessel: {}\n", problem.what());
    return 1;
}
