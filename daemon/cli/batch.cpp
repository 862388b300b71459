/// gyle batch: new, start, next, skip, back, undo, purged, correct, end, list.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <fstream>
#include <memory>
#include <sstream>

#include "daemon/cli/batches_text.hpp"
#include "daemon/cli/connection.hpp"
#include "daemon/cli/correct.hpp"
#include "daemon/cli/new_batch.hpp"

namespace gyled::cli {
namespace {

std::string contents(const std::string& file) {
    std::ifstream stream{file};
    std::stringstream text;
    text << stream.rdbuf();
    return text.str();
}

constexpr const char* at_meaning = "when it was: 10:42, \"20min ago\", RFC 3339; now when left out";
constexpr const char* confirm_meaning = "go on in spite of what is doubtful; what is dangerous stays refused";

struct Start {
    Connection daemon;
    std::string file, at;
    bool confirm = false;

    [[nodiscard]] int run(Terminal to) const {
        const auto plan = config::load_batch(file);
        if (!plan) {
            say(to.talk, plan.error());
            return wrong_usage;
        }
        Json body{{"toml", contents(file)}};
        if (!at.empty()) body["at"] = at;
        if (confirm) body["confirm"] = true;
        return daemon.tell(
            {.method = "POST", .target = vessel_target(plan->vessel, "/batch"), .body = body.dump()},
            fmt::format("{} started in {}.", plan->name, plan->vessel), to);
    }
};

/// Through the plan: `key` is what the API calls the step.
struct Step {
    Connection daemon;
    std::string key, vessel, at, why;
    bool confirm = false;

    [[nodiscard]] int run(Terminal to) const {
        Json body{{key, true}};
        if (confirm) body["confirm"] = true;
        if (!at.empty()) body["at"] = at;
        if (!why.empty()) body["why"] = why;
        return daemon.tell({.method = "POST", .target = vessel_target(vessel, "/stage"), .body = body.dump()},
                           fmt::format("{}: {} stage.", vessel, key), to);
    }
};

struct Undo {
    Connection daemon;
    std::string vessel;

    [[nodiscard]] int run(Terminal to) const {
        return daemon.tell({.method = "POST", .target = vessel_target(vessel, "/batch/undo"), .body = "{}"},
                           fmt::format("{}: the last step is undone.", vessel), to);
    }
};

/// A purge is a measurement of its own kind: it stands in the record, and `measure undo` withdraws it.
struct Purged {
    Connection daemon;
    std::string vessel, at;
    int cycles = 1;

    [[nodiscard]] int run(Terminal to) const {
        Json body{{"quantity", "purge_cycles"}, {"value", cycles}};
        if (!at.empty()) body["at"] = at;
        return daemon.tell(
            {.method = "POST", .target = vessel_target(vessel, "/measurements"), .body = body.dump()},
            fmt::format("{}: purged.", vessel), to);
    }
};

struct End {
    Connection daemon;
    std::string vessel, at, why;

    [[nodiscard]] int run(Terminal to) const {
        Json body = Json::object();
        if (!at.empty()) body["at"] = at;
        if (!why.empty()) body["why"] = why;
        return daemon.tell(
            {.method = "POST", .target = vessel_target(vessel, "/batch/end"), .body = body.dump()},
            fmt::format("{}: the batch has ended.", vessel), to);
    }
};

struct List {
    Connection daemon;

    [[nodiscard]] int run(Terminal to) const { return daemon.show("/api/batches", batches_text, to); }
};

template <class Verb>
std::shared_ptr<Verb> add(CLI::App& verb, Action& chosen) {
    auto options = std::make_shared<Verb>();
    options->daemon.add_options(verb);
    verb.callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
    return options;
}

void add_at_and_why(CLI::App& verb, std::string& at, std::string& why) {
    verb.add_option("--at", at, at_meaning);
    verb.add_option("--why", why, "noted in the batch's record");
}

void add_start(CLI::App& batch, Action& chosen) {
    auto* verb = batch.add_subcommand("start", "start a batch from its file");
    const auto options = add<Start>(*verb, chosen);
    verb->add_option("file", options->file, "the batch file")->required()->check(CLI::ExistingFile);
    verb->add_option("--at", options->at, at_meaning);
    verb->add_flag("--confirm", options->confirm, confirm_meaning);
}

void add_step(CLI::App& batch, Action& chosen, const char* key, const char* meaning) {
    auto* verb = batch.add_subcommand(key, meaning);
    const auto options = add<Step>(*verb, chosen);
    options->key = key;
    verb->add_option("vessel", options->vessel)->required();
    add_at_and_why(*verb, options->at, options->why);
    verb->add_flag("--confirm", options->confirm, confirm_meaning);
}

void add_purged(CLI::App& batch, Action& chosen) {
    auto* verb = batch.add_subcommand(
        "purged", "the head space was filled with CO2 and let off; `measure undo` withdraws it");
    const auto options = add<Purged>(*verb, chosen);
    verb->add_option("vessel", options->vessel)->required();
    verb->add_option("--cycles", options->cycles, "how many times")->required()->check(CLI::Range(1, 50));
    verb->add_option("--at", options->at, at_meaning);
}

void add_end(CLI::App& batch, Action& chosen) {
    auto* verb = batch.add_subcommand("end", "the vessel is empty: the batch has ended");
    const auto options = add<End>(*verb, chosen);
    verb->add_option("vessel", options->vessel)->required();
    add_at_and_why(*verb, options->at, options->why);
}

}  // namespace

void add_batch(CLI::App& gyle, Action& chosen) {
    auto* batch =
        gyle.add_subcommand("batch", "write, start, correct and end a batch, and move through its stages");
    batch->require_subcommand(1);
    add_new_batch(*batch, chosen);
    add_start(*batch, chosen);
    add_step(*batch, chosen, "next", "enter the next stage of the plan");
    add_step(*batch, chosen, "skip", "leave the next stage out, and enter the one after it");
    add_step(*batch, chosen, "back", "enter the stage before once more");
    auto* undo = batch->add_subcommand("undo", "take the last step back: a stage, or the batch's end");
    undo->add_option("vessel", add<Undo>(*undo, chosen)->vessel)->required();
    add_purged(*batch, chosen);
    add_correct(*batch, chosen);
    add_end(*batch, chosen);
    add<List>(*batch->add_subcommand("list", "batches, newest first"), chosen);
}

}  // namespace gyled::cli
