/// gyle batch: start, next, purged, correct, end, list.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <fstream>
#include <memory>
#include <sstream>

#include "daemon/cli/batches_text.hpp"
#include "daemon/cli/connection.hpp"
#include "daemon/cli/correct.hpp"

namespace gyled::cli {
namespace {

std::string contents(const std::string& file) {
    std::ifstream stream{file};
    std::stringstream text;
    text << stream.rdbuf();
    return text.str();
}

constexpr const char* confirm_meaning = "go on in spite of what is doubtful; what is dangerous stays refused";

struct Start {
    Connection daemon;
    std::string file;
    bool confirm = false;

    [[nodiscard]] int run(Terminal to) const {
        const auto plan = config::load_batch(file);
        if (!plan) {
            say(to.talk, plan.error());
            return wrong_usage;
        }
        return daemon.tell({.method = "POST",
                            .target = vessel_target(plan->vessel, confirm ? "/batch?confirm=true" : "/batch"),
                            .body = contents(file),
                            .content_type = "application/toml"},
                           fmt::format("{} started in {}.", plan->name, plan->vessel), to);
    }
};

struct Next {
    Connection daemon;
    std::string vessel, why;
    bool confirm = false;

    [[nodiscard]] int run(Terminal to) const {
        Json body{{"next", true}};
        if (confirm) body["confirm"] = true;
        if (!why.empty()) body["why"] = why;
        return daemon.tell({.method = "POST", .target = vessel_target(vessel, "/stage"), .body = body.dump()},
                           fmt::format("{}: next stage.", vessel), to);
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
    std::string vessel;

    [[nodiscard]] int run(Terminal to) const {
        return daemon.tell({.method = "POST", .target = vessel_target(vessel, "/batch/end"), .body = "{}"},
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

}  // namespace

void add_batch(CLI::App& gyle, Action& chosen) {
    auto* batch = gyle.add_subcommand("batch", "start a batch, move through its stages, correct it, end it");
    batch->require_subcommand(1);

    auto* start = batch->add_subcommand("start", "start a batch from its file");
    const auto start_options = add<Start>(*start, chosen);
    start->add_option("file", start_options->file, "the batch file")->required()->check(CLI::ExistingFile);
    start->add_flag("--confirm", start_options->confirm, confirm_meaning);

    auto* next = batch->add_subcommand("next", "enter the next stage of the plan");
    const auto next_options = add<Next>(*next, chosen);
    next->add_option("vessel", next_options->vessel)->required();
    next->add_option("--why", next_options->why, "noted in the batch's record");
    next->add_flag("--confirm", next_options->confirm, confirm_meaning);

    auto* purged = batch->add_subcommand(
        "purged", "the head space was filled with CO2 and let off; `measure undo` withdraws it");
    const auto purged_options = add<Purged>(*purged, chosen);
    purged->add_option("vessel", purged_options->vessel)->required();
    purged->add_option("--cycles", purged_options->cycles, "how many times")
        ->required()
        ->check(CLI::Range(1, 50));
    purged->add_option("--at", purged_options->at, "when it began, RFC 3339; now when left out");

    add_correct(*batch, chosen);

    auto* end = batch->add_subcommand("end", "the vessel is empty: the batch has ended");
    end->add_option("vessel", add<End>(*end, chosen)->vessel)->required();

    add<List>(*batch->add_subcommand("list", "batches, newest first"), chosen);
}

}  // namespace gyled::cli
