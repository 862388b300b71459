/// gyle alarms: the alarm log, the rules, and "I have seen it".

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/alarms/rules.hpp"
#include "daemon/cli/alarms_text.hpp"
#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

Json rule_json(const alarms::RuleInfo& rule) {
    return {{"rule", rule.name},
            {"meaning", rule.meaning},
            {"priority", alarms::name(rule.priority)},
            {"safety", rule.safety},
            {"first", alarms::first_aid(rule.name)}};
}

std::string rule_text(const alarms::RuleInfo& rule) {
    return fmt::format("{} ({}{})\n    {}\n    {}\n", rule.name, alarms::name(rule.priority),
                       rule.safety ? ", safety" : "", rule.meaning, alarms::first_aid(rule.name));
}

struct Alarms {
    Connection daemon;
    bool rules = false;
    std::string acknowledged;

    [[nodiscard]] int run(Terminal to) const {
        if (rules) return show_rules(to);
        if (!acknowledged.empty()) return acknowledge(to);
        return daemon.show("/api/alarms", alarms_text, to);
    }

    [[nodiscard]] int acknowledge(Terminal to) const {
        return daemon.tell({.method = "POST",
                            .target = "/api/alarms/acknowledge",
                            .body = Json{{"alarm", acknowledged}}.dump()},
                           "Acknowledged.", to);
    }

    [[nodiscard]] int show_rules(Terminal to) const {
        Json list = Json::array();
        std::string text;
        for (const alarms::RuleInfo& rule : alarms::rule_infos()) {
            list.push_back(rule_json(rule));
            text += rule_text(rule);
        }
        fmt::print(to.out, "{}", daemon.json ? Json{{"rules", list}}.dump(2) + "\n" : text);
        return done;
    }
};

}  // namespace

void add_alarms(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("alarms", "the alarm log, newest first");
    auto options = std::make_shared<Alarms>();
    options->daemon.add_options(*verb);
    verb->add_flag("--rules", options->rules, "the built-in rules, and what to do first when one is raised");
    verb->add_option("--acknowledge", options->acknowledged,
                     "say of an alarm, by its id, that you have seen it");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
