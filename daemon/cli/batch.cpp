/// gyle batch: start, next, correct, end, list.

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

struct Start {
    Connection daemon;
    std::string file;

    [[nodiscard]] int run(Terminal to) const {
        const auto plan = config::load_batch(file);
        if (!plan) {
            say(to.talk, plan.error());
            return wrong_usage;
        }
        return daemon.tell({.method = "POST",
                            .target = vessel_target(plan->vessel, "/batch"),
                            .body = contents(file),
                            .content_type = "application/toml"},
                           fmt::format("{} started in {}.", plan->name, plan->vessel), to);
    }
};

struct Next {
    Connection daemon;
    std::string vessel, why;

    [[nodiscard]] int run(Terminal to) const {
        Json body{{"next", true}};
        if (!why.empty()) body["why"] = why;
        return daemon.tell({.method = "POST", .target = vessel_target(vessel, "/stage"), .body = body.dump()},
                           fmt::format("{}: next stage.", vessel), to);
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
    start->add_option("file", add<Start>(*start, chosen)->file, "the batch file")
        ->required()
        ->check(CLI::ExistingFile);

    auto* next = batch->add_subcommand("next", "enter the next stage of the plan");
    const auto next_options = add<Next>(*next, chosen);
    next->add_option("vessel", next_options->vessel)->required();
    next->add_option("--why", next_options->why, "noted in the batch's record");

    add_correct(*batch, chosen);

    auto* end = batch->add_subcommand("end", "the vessel is empty: the batch has ended");
    end->add_option("vessel", add<End>(*end, chosen)->vessel)->required();

    add<List>(*batch->add_subcommand("list", "batches, newest first"), chosen);
}

}  // namespace gyled::cli
