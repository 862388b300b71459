#include "sensors/virtual_vessel/options.hpp"

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <stdexcept>

#include "sensors/virtual_vessel/plant/scenarios.hpp"

namespace gyled::virtual_vessel {
namespace {

constexpr const char* about =
    "A simulated vessel: its sensors publish over MQTT as real ones would, and its troubles come on demand.\n"
    "Nothing here touches a real valve, heater or cylinder.";

constexpr const char* examples =
    R"(Each reading goes to PREFIX/QUANTITY as a document such as {"sg":1.0213,"ts":"2026-03-02T07:15:00Z"}
(fields: sg, celsius, kpa; ts is the vessel's own time). Pressures are gauge.

Trouble is written KIND[@OFFSET][,for=SPAN][,amount=NUMBER][,sensor=QUANTITY]; OFFSET counts from the beginning of
the batch, without it trouble begins when the live part does. KIND is one of
  stuck            most of the yeast gives up; amount: the fraction of the drop at which it does
  chiller-failure  no cold           heater-failure  no heat
  shut-vent        blow-off or spunding valve blocked; the relief valve still works
  shut-supply      the cylinder is closed
  leak             amount: mmol/(h kPa), 0.1 when not given
  sensor-dropout   sensor: which; all when not given
  late-creep       enzymes free more sugar; amount: gravity points, 3 when not given
While it runs, the same text sent to PREFIX/trouble starts a trouble now and "end KIND" ends it; what became of it
is told on PREFIX/trouble/answer.

Examples:
  gyle-vessel --broker mqtt://127.0.0.1:1883 --scenario ale --backfill 12d
  gyle-vessel --broker mqtt://127.0.0.1:1883 --scenario set-and-wait --trouble leak,amount=0.2 --speed 60
  gyle-vessel --log - --scenario stuck-at-half-way --seed 7 --for 6d --sensors gravity,beer_temperature
  gyle-vessel --log ale.log --batch-file ale.toml --config-file gyled.toml && gyle replay --config gyled.toml --batch ale.toml ale.log
  mosquitto_pub -t cellar/north/trouble -m shut-vent,for=2h

Exit codes: 0 done, 1 failed, 2 wrong usage.)";

/// Wrong usage, told in one sentence.
struct WrongUsage : std::runtime_error {
    using std::runtime_error::runtime_error;
};

struct Typed {
    std::string scenario = "ale", vessel, prefix = "cellar/north", backfill, run_for, begin, cadence,
                password_file, rehearsal;
    std::vector<std::string> troubles, sensors;
    std::uint64_t seed = 1;
    double original_gravity = 0, elevation_m = 0;
};

Duration span(const std::string& text, const char* option) {
    const auto duration = duration_from(text);
    if (!duration)
        throw WrongUsage{fmt::format("{}: '{}' is no span of time such as 12d or 1h30min", option, text)};
    return *duration;
}

void check_prefix(const std::string& prefix) {
    const bool has_odd_character = std::ranges::any_of(
        prefix, [](unsigned char c) { return c <= ' ' || c == '+' || c == '#' || c == 0x7f; });
    if (prefix.empty() || prefix.size() > 200 || has_odd_character || prefix.front() == '$' ||
        prefix.front() == '/' || prefix.back() == '/')
        throw WrongUsage{fmt::format("--topic-prefix: '{}' is no topic such as cellar/north", prefix)};
}

std::string password_in(const std::string& path) {
    if (path.empty()) return {};
    std::ifstream file{path};
    std::string line;
    if (!std::getline(file, line)) throw WrongUsage{fmt::format("--password-file: cannot read {}", path)};
    return line;
}

/// Keeps the named instruments only; names that the scenario lacks are added with their defaults.
void choose_sensors(Scenario& scenario, const std::vector<std::string>& names) {
    if (names.empty()) return;
    std::vector<SensorOptions> chosen;
    for (const std::string& one : names) {
        const auto quantity = base::quantity_named(one);
        if (!quantity || *quantity > Quantity::supply_pressure)
            throw WrongUsage{fmt::format("--sensors: nothing measures '{}'", one)};
        chosen.push_back(sensor(scenario, *quantity));
    }
    scenario.sensors = std::move(chosen);
}

Timestamp now_to_the_second() {
    return std::chrono::time_point_cast<Duration>(
        std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now()));
}

void take_pace(const Typed& typed, Options& options) {
    if (typed.rehearsal.empty()) return;
    const auto pace = base::Pace::from(typed.rehearsal, now_to_the_second());
    if (!pace) throw WrongUsage{fmt::format("--rehearsal: {}", pace.error())};
    options.pace = *pace;
}

Timestamp begin_of(const Typed& typed, const Options& options) {
    if (!typed.begin.empty()) {
        const auto begin = base::from_rfc3339(typed.begin);
        if (!begin)
            throw WrongUsage{
                fmt::format("--begin: '{}' is no moment such as 2026-03-01T18:00:00Z", typed.begin)};
        return *begin;
    }
    if (options.pace) return options.pace->origin();
    if (options.broker_url.empty()) return options.scenario.begin;
    return now_to_the_second() - options.backfill;
}

void add_trouble(Options& options, const std::string& text) {
    const auto typed = trouble_from(text);
    if (!typed) throw WrongUsage{fmt::format("--trouble: {}", typed.error())};
    Trouble trouble = typed->trouble;
    if (!typed->has_offset) trouble.start_hours = static_cast<double>(options.backfill.count()) / 3'600'000.0;
    options.scenario.troubles.push_back(trouble);
}

void apply(const Typed& typed, Options& options) {
    if (options.list_scenarios) return;
    const bool to_files =
        !options.batch_path.empty() || !options.config_path.empty() || !options.truth_path.empty();
    if (options.broker_url.empty() && options.log_path.empty() && !to_files)
        throw WrongUsage{"say where to: --broker URL, --log FILE, or a file to write"};
    if (!options.broker_url.empty() && !options.broker_url.starts_with("mqtt://") &&
        !options.broker_url.starts_with("mqtts://"))
        throw WrongUsage{
            fmt::format("--broker: '{}' is no broker such as mqtt://127.0.0.1:1883", options.broker_url)};
    if (!typed.backfill.empty()) options.backfill = span(typed.backfill, "--backfill");
    if (!typed.run_for.empty()) options.run_for = span(typed.run_for, "--for");
    if (options.broker_url.empty() && options.backfill.count() > 0)
        throw WrongUsage{"--backfill is for a broker; a log is written at once, --for says how much of it"};
    if (!(options.speed > 0 && options.speed <= 100'000))
        throw WrongUsage{"--speed must be above 0 and at most 100000"};
    take_pace(typed, options);
    options.topic_prefix = typed.prefix;
    check_prefix(typed.prefix);
    options.password = password_in(typed.password_file);

    auto scenario = scenario_named(typed.scenario, typed.seed);
    if (!scenario)
        throw WrongUsage{
            fmt::format("--scenario: there is no '{}'; --list-scenarios shows them", typed.scenario)};
    options.scenario = std::move(*scenario);
    Scenario& s = options.scenario;
    s.begin = begin_of(typed, options);
    s.vessel.id = !typed.vessel.empty() ? typed.vessel : typed.prefix.substr(typed.prefix.rfind('/') + 1);
    if (typed.original_gravity != 0) s.original_gravity = typed.original_gravity;
    s.vessel.elevation_m = typed.elevation_m;
    choose_sensors(s, typed.sensors);
    if (!typed.cadence.empty())
        for (SensorOptions& o : s.sensors)
            o.cadence_s = static_cast<double>(span(typed.cadence, "--cadence").count()) / 1000.0;
    for (const std::string& text : typed.troubles) add_trouble(options, text);

    std::string all;
    for (const std::string& mistake : mistakes_in(s)) all += (all.empty() ? "" : "; ") + mistake;
    if (!all.empty()) throw WrongUsage{all};
}

}  // namespace

std::variant<Options, int> parse_command_line(int argc, char** argv) {
    CLI::App app{about, "gyle-vessel"};
    app.footer(examples);
    app.set_version_flag("--version", "gyle-vessel " GYLED_VERSION);
    Options o;
    Typed t;
    auto* broker =
        app.add_option("--broker", o.broker_url, "publish there: mqtt://host:port or mqtts://host:port");
    app.add_option("--user", o.user, "the broker's user")->needs(broker);
    app.add_option("--password-file", t.password_file, "a file whose first line is the password")
        ->needs(broker);
    app.add_option("--topic-prefix", t.prefix, "topics are PREFIX/QUANTITY")->capture_default_str();
    app.add_option("--vessel", t.vessel, "vessel id in the files written; default: the prefix's last level");
    app.add_option("--scenario", t.scenario, "which batch to live through")->capture_default_str();
    app.add_option("--seed", t.seed, "another number is another batch of its kind")->capture_default_str();
    app.add_flag("--list-scenarios", o.list_scenarios, "show the scenarios and end");
    app.add_option("--backfill", t.backfill, "publish that much history at once, then go on live (12d, 36h)");
    app.add_option("--for", t.run_for,
                   "how long to go on live; with --log, how much to write (default: all)");
    app.add_option("--speed", o.speed,
                   "vessel time per wall time when live; above 1 its clock runs ahead of ours")
        ->capture_default_str();
    app.add_option(
           "--rehearsal", t.rehearsal,
           "live at a pace that gyled shares, from its beginning (60, or 60,5.25h:4000@2026-03-01T08:00:00Z)")
        ->excludes("--speed")
        ->excludes("--backfill");
    app.add_option("--begin", t.begin, "when the batch begins (RFC 3339); default: now, less the backfill");
    app.add_option("--trouble", t.troubles, "trouble on demand, as below; may be repeated")->take_all();
    app.add_option("--cadence", t.cadence, "each sensor reads that often (10s, 1min)");
    app.add_option("--sensors", t.sensors, "only these, by quantity, with commas")->delimiter(',');
    app.add_option("--og", t.original_gravity, "original gravity, such as 1.048");
    app.add_option("--elevation", t.elevation_m, "metres above the sea");
    app.add_option("--log", o.log_path,
                   "write UNIX_SECONDS TOPIC PAYLOAD lines instead of publishing; - is stdout")
        ->excludes(broker);
    app.add_option("--batch-file", o.batch_path, "write the batch file that belongs to it");
    app.add_option("--config-file", o.config_path, "write a configuration that listens to it");
    app.add_option("--truth-file", o.truth_path,
                   "write what really happens, a JSON line each quarter of an hour");
    try {
        app.parse(argc, argv);
        apply(t, o);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    } catch (const WrongUsage& wrong) {
        fmt::print(stderr, "gyle-vessel: {}\nRun with --help for more information.\n", wrong.what());
        return 2;
    }
    return o;
}

}  // namespace gyled::virtual_vessel
