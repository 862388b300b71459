#include "daemon/app/commands.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <ostream>
#include <sstream>

#include "daemon/alarms/rules.hpp"
#include "daemon/app/replay.hpp"
#include "daemon/app/status_text.hpp"
#include "daemon/config/config.hpp"
#include "daemon/web/client.hpp"
#include "sensors/intake.hpp"

namespace gyled::app {
namespace {

using Json = nlohmann::ordered_json;

void say(std::ostream& talk, const config::Mistakes& mistakes) {
    for (const auto& mistake : mistakes) {
        fmt::print(talk, "{}\n", mistake.text());
        if (!mistake.excerpt.empty()) fmt::print(talk, "{}\n", mistake.excerpt);
    }
}

/// "45min", "2h", "10s", "1d"; nothing when it is none.
std::optional<base::Duration> duration(const std::string& text) {
    double number = 0;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    const std::string_view unit{rest, static_cast<std::size_t>(text.data() + text.size() - rest)};
    if (error != std::errc{} || !(number > 0) || number > 1e6) return std::nullopt;
    const double seconds = unit == "s"     ? 1
                           : unit == "min" ? 60
                           : unit == "h"   ? 3600
                           : unit == "d"   ? 86400
                                           : 0;
    if (seconds == 0) return std::nullopt;
    return base::Duration{static_cast<long long>(number * seconds * 1000)};
}

}  // namespace

struct Commands::State {
    State(CLI::App& options, std::ostream& o, std::ostream& t) : out{o}, talk{t} {
        status(options);
        batch(options);
        measure(options);
        alarm_log(options);
        replay(options);
        check(options);
    }

    // ---- how to reach the daemon

    void reach(CLI::App* verb) {
        verb->add_option("--socket", socket, "the daemon's Unix socket");
        verb->add_option("-c,--config", config_path, "take the socket from this configuration");
        verb->add_flag("--json", json, "print JSON");
    }

    std::string socket_path() {
        if (!socket.empty()) return socket;
        for (const std::string& path : {config_path, std::string{"/etc/gyled/gyled.toml"}}) {
            if (path.empty() || (config_path.empty() && !std::filesystem::exists(path))) continue;
            const auto config = config::load_config(path);
            if (config) return config->web.socket;
            if (!config_path.empty()) {
                say(talk, config.error());
                return {};
            }
        }
        return "/run/gyled/gyled.sock";
    }

    /// The answer as JSON; nothing when there is none (said on `talk`).
    std::optional<Json> ask(const web::ClientRequest& request) {
        const std::string path = socket_path();
        if (path.empty()) return std::nullopt;
        const auto answer = web::ask(path, request);
        if (!answer) {
            fmt::print(talk, "gyle: {}\n", answer.error());
            return std::nullopt;
        }
        auto document = Json::parse(answer->body, nullptr, false);
        if (answer->status >= 400) {
            if (document.is_object())
                fmt::print(talk, "gyle: {}: {}\n", document.value("title", "refused"),
                           document.value("detail", ""));
            else
                fmt::print(talk, "gyle: the daemon answered with status {}\n", answer->status);
            return std::nullopt;
        }
        if (document.is_discarded()) document = Json::object();
        return document;
    }

    std::optional<Json> get(const std::string& target) {
        web::ClientRequest request;
        request.target = target;
        return ask(request);
    }

    int tell(const std::string& target, const std::string& body, const std::string& done,
             const std::string& type = "application/json") {
        const auto answer = ask({.method = "POST", .target = target, .body = body, .content_type = type});
        if (!answer) return 1;
        if (json)
            fmt::print(out, "{}\n", answer->dump(2));
        else
            fmt::print(talk, "{}\n", done);
        return 0;
    }

    // ---- the verbs

    void status(CLI::App& options) {
        auto* verb = options.add_subcommand("status", "what is in there, what is next, is it safe");
        reach(verb);
        verb->add_option("vessel", vessel, "only this vessel");
        verb->callback([this] {
            action = [this] {
                const auto answer =
                    get(vessel.empty() ? "/api/vessels" : "/api/vessels/" + web::percent_encoded(vessel));
                if (!answer) return 1;
                if (json)
                    fmt::print(out, "{}\n", answer->dump(2));
                else
                    fmt::print(out, "{}", status_text(*answer));
                if (json) return 0;
                if (const auto sensors = get("/api/sensors")) fmt::print(out, "{}", rejected_text(*sensors));
                return 0;
            };
        });
    }

    void batch(CLI::App& options) {
        auto* verb = options.add_subcommand("batch", "start a batch, move through its stages, end it");
        verb->require_subcommand(1);
        auto* start = verb->add_subcommand("start", "start a batch from its file");
        reach(start);
        start->add_option("file", file, "the batch file")->required()->check(CLI::ExistingFile);
        start->callback([this] {
            action = [this] {
                const auto plan = config::load_batch(file);
                if (!plan) {
                    say(talk, plan.error());
                    return 2;
                }
                std::ifstream stream{file};
                std::stringstream text;
                text << stream.rdbuf();
                return tell("/api/vessels/" + web::percent_encoded(plan->vessel) + "/batch", text.str(),
                            fmt::format("{} is in {} now.", plan->name, plan->vessel), "application/toml");
            };
        });
        auto* next = verb->add_subcommand("next", "enter the next stage of the plan");
        reach(next);
        next->add_option("vessel", vessel)->required();
        next->add_option("--why", why, "noted in the batch's record");
        next->callback([this] {
            action = [this] {
                Json body{{"next", true}};
                if (!why.empty()) body["why"] = why;
                return tell("/api/vessels/" + web::percent_encoded(vessel) + "/stage", body.dump(),
                            fmt::format("{}: next stage.", vessel));
            };
        });
        auto* end = verb->add_subcommand("end", "the vessel is empty: the batch is over");
        reach(end);
        end->add_option("vessel", vessel)->required();
        end->callback([this] {
            action = [this] {
                return tell("/api/vessels/" + web::percent_encoded(vessel) + "/batch/end", "{}",
                            fmt::format("{}: the batch is over.", vessel));
            };
        });
        auto* list = verb->add_subcommand("list", "batches, newest first");
        reach(list);
        list->callback([this] {
            action = [this] {
                const auto answer = get("/api/batches");
                if (!answer) return 1;
                if (json)
                    fmt::print(out, "{}\n", answer->dump(2));
                else
                    fmt::print(out, "{}", batches_text(*answer));
                return 0;
            };
        });
    }

    void measure(CLI::App& options) {
        auto* verb = options.add_subcommand(
            "measure", "note a measurement taken by hand (canonical units: SG, degC, kPa)");
        reach(verb);
        verb->add_option("vessel", vessel)->required();
        verb->add_option("quantity", quantity, "gravity, beer_temperature, head_pressure ...")->required();
        verb->add_option("value", value)->required();
        verb->add_option("--at", at, "when it was taken, RFC 3339; now when left out");
        verb->add_option("--note", why);
        verb->callback([this] {
            action = [this] {
                Json body{{"quantity", quantity}, {"value", value}};
                if (!at.empty()) body["at"] = at;
                if (!why.empty()) body["note"] = why;
                return tell("/api/vessels/" + web::percent_encoded(vessel) + "/measurements", body.dump(),
                            "Noted.");
            };
        });
    }

    void alarm_log(CLI::App& options) {
        auto* verb = options.add_subcommand("alarms", "the alarm log, newest first");
        reach(verb);
        verb->add_flag("--rules", show_rules, "the built-in rules, and what to do first when one rings");
        verb->add_option("--acknowledge", alarm, "say of an alarm, by its id, that you have seen it");
        verb->callback([this] {
            action = [this] {
                if (show_rules) return rules();
                if (!alarm.empty())
                    return tell("/api/alarms/acknowledge", Json{{"alarm", alarm}}.dump(), "Acknowledged.");
                const auto answer = get("/api/alarms");
                if (!answer) return 1;
                if (json)
                    fmt::print(out, "{}\n", answer->dump(2));
                else
                    fmt::print(out, "{}", alarms_text(*answer));
                return 0;
            };
        });
    }

    int rules() {
        Json list = Json::array();
        for (const alarms::RuleInfo& rule : alarms::rule_infos()) {
            list.push_back({{"rule", rule.name},
                            {"meaning", rule.meaning},
                            {"priority", alarms::name(rule.priority)},
                            {"safety", rule.safety},
                            {"first", alarms::first_aid(rule.name)}});
            if (!json)
                fmt::print(out, "{} ({}{})\n    {}\n    {}\n", rule.name, alarms::name(rule.priority),
                           rule.safety ? ", safety" : "", rule.meaning, alarms::first_aid(rule.name));
        }
        if (json) fmt::print(out, "{}\n", Json{{"rules", list}}.dump(2));
        return 0;
    }

    void replay(CLI::App& options) {
        auto* verb = options.add_subcommand("replay", "run a recorded log through the real core");
        verb->add_option("-c,--config", config_path, "the configuration")->required();
        verb->add_option("-b,--batch", file, "the batch file");
        verb->add_option("log", log, "lines UNIX_SECONDS TOPIC PAYLOAD, gzipped or not; - is standard input")
            ->required();
        verb->add_option("--every", every, "event time between estimates: 15min, 1h ...")
            ->capture_default_str();
        verb->add_flag("--json", json, "one object per line");
        verb->callback([this] {
            action = [this] {
                const auto config = config::load_config(config_path);
                if (!config) {
                    say(talk, config.error());
                    return 2;
                }
                std::optional<batch::Plan> plan;
                if (!file.empty()) {
                    auto loaded = config::load_batch(file);
                    if (!loaded) {
                        say(talk, loaded.error());
                        return 2;
                    }
                    plan = std::move(loaded).value();
                }
                const auto interval = duration(every);
                if (!interval || *interval < std::chrono::minutes{15} ||
                    *interval % std::chrono::minutes{15} != base::Duration{0}) {
                    fmt::print(talk, "gyle: --every {}: expected a multiple of 15min, as in 15min, 1h, 1d\n",
                               every);
                    return 2;
                }
                return app::replay(*config, plan ? &*plan : nullptr, {log, json, *interval}, out, talk);
            };
        });
    }

    void check(CLI::App& options) {
        auto* verb = options.add_subcommand("check", "report every mistake in a configuration or batch file");
        verb->add_option("file", file)->required();
        verb->add_flag("--batch", is_batch, "the file is a batch file");
        verb->add_flag("--json", json, "print JSON");
        verb->callback([this] {
            action = [this] {
                config::Mistakes mistakes;
                if (is_batch) {
                    const auto plan = config::load_batch(file);
                    if (!plan) mistakes = plan.error();
                } else {
                    const auto config = config::load_config(file);
                    if (!config) mistakes = config.error();
                }
                if (json) {
                    Json list = Json::array();
                    for (const auto& m : mistakes)
                        list.push_back(
                            {{"file", m.file}, {"line", m.line}, {"column", m.column}, {"what", m.what}});
                    fmt::print(out, "{}\n", Json{{"mistakes", list}}.dump(2));
                } else {
                    say(talk, mistakes);
                    if (mistakes.empty()) fmt::print(talk, "{}: all in order\n", file);
                }
                return mistakes.empty() ? 0 : 1;
            };
        });
    }

    std::ostream& out;
    std::ostream& talk;
    std::function<int()> action;
    std::string socket, config_path, vessel, file, why, quantity, at, alarm, log, every = "15min";
    double value = 0;
    bool json = false, is_batch = false, show_rules = false;
};

Commands::Commands(CLI::App& options, std::ostream& out, std::ostream& talk)
    : state_{std::make_unique<State>(options, out, talk)} {}
Commands::~Commands() = default;
int Commands::run() {
    return state_->action ? state_->action() : 2;
}

}  // namespace gyled::app
