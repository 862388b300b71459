#include "daemon/cli/correct.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <memory>
#include <ostream>
#include <utility>
#include <vector>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

/// Values travel as they were typed; the daemon reads them in the person's units and answers with what it
/// understood. Only what is given is corrected.
struct Correct {
    Connection daemon;
    std::string vessel;
    std::string name, original_gravity, expected_final_gravity, volume, culture, culture_name, started;
    std::string target_co2;
    std::vector<std::pair<std::size_t, std::string>> stage_times;
    bool confirm = false;

    [[nodiscard]] Json body() const {
        Json body = Json::object();
        const std::pair<const char*, const std::string&> texts[] = {
            {"name", name},       {"original_gravity", original_gravity},
            {"volume", volume},   {"expected_final_gravity", expected_final_gravity},
            {"culture", culture}, {"culture_name", culture_name},
            {"started", started}, {"target_co2", target_co2}};
        for (const auto& [key, text] : texts)
            if (!text.empty()) body[key] = text;
        for (const auto& [number, at] : stage_times)
            body["stage_times"].push_back({{"stage", number}, {"at", at}});
        return body;
    }

    [[nodiscard]] int run(Terminal to) const {
        Json correction = body();
        if (correction.empty()) {
            fmt::print(to.talk, "gyle: say what to correct, as in --original-gravity 1.048\n");
            return wrong_usage;
        }
        if (confirm) correction["confirm"] = true;
        return daemon.tell(
            {.method = "PATCH", .target = vessel_target(vessel, "/batch"), .body = correction.dump()},
            "Corrected.", to);
    }
};

}  // namespace

void add_correct(CLI::App& batch, Action& chosen) {
    auto* verb = batch.add_subcommand("correct", "correct the running batch; what follows from it is redone");
    auto options = std::make_shared<Correct>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel)->required();
    verb->add_option("--name", options->name);
    verb->add_option("--original-gravity", options->original_gravity, "1.048, 12P");
    verb->add_option("--expected-final-gravity", options->expected_final_gravity, "1.010, 2.5P");
    verb->add_option("--volume", options->volume, "21L, 5.5gal");
    verb->add_option("--target-co2", options->target_co2, "2.4vol, 4.7g/L");
    verb->add_option("--culture", options->culture, "ale, lager or mixed");
    verb->add_option("--culture-name", options->culture_name, "whose earlier batches taught");
    verb->add_option("--started", options->started, "10:42, \"20min ago\", RFC 3339");
    verb->add_option(
        "--stage-time", options->stage_times,
        "when a stage was entered: its number in the batch's record, from 1, and a moment likewise");
    verb->add_flag("--confirm", options->confirm,
                   "go on in spite of what is doubtful; what is dangerous stays refused");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
