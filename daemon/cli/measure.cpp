/// gyle measure: what a person read from an instrument, with its unit as it was read.

#include <CLI/CLI.hpp>
#include <memory>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

struct Measure {
    Connection daemon;
    std::string vessel, quantity, text, at, note;

    /// The value travels as it was typed: the daemon knows the person's units and answers with what it
    /// understood.
    [[nodiscard]] int run(Terminal to) const {
        Json body{{"quantity", quantity}, {"text", text}};
        if (!at.empty()) body["at"] = at;
        if (!note.empty()) body["note"] = note;
        return daemon.tell(
            {.method = "POST", .target = vessel_target(vessel, "/measurements"), .body = body.dump()},
            "Noted.", to);
    }
};

struct Undo {
    Connection daemon;
    std::string vessel;

    [[nodiscard]] int run(Terminal to) const {
        return daemon.tell({.method = "DELETE", .target = vessel_target(vessel, "/measurements/latest")},
                           "The latest measurement is withdrawn.", to);
    }
};

void add_undo(CLI::App& verb, Action& chosen) {
    auto* undo = verb.add_subcommand("undo", "withdraw the latest measurement of a vessel");
    auto options = std::make_shared<Undo>();
    options->daemon.add_options(*undo);
    undo->add_option("vessel", options->vessel)->required();
    undo->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace

void add_measure(CLI::App& gyle, Action& chosen) {
    auto* verb =
        gyle.add_subcommand("measure", "note a measurement taken by hand; `measure undo` withdraws it");
    auto options = std::make_shared<Measure>();
    options->daemon.add_options(*verb);
    // Required of the verb itself but not beside `undo`, so the callback asks for them.
    verb->add_option("vessel", options->vessel);
    verb->add_option("quantity", options->quantity, "gravity, forced_final_gravity, head_pressure ...");
    verb->add_option("value", options->text,
                     "as read: 1.012, 12P, 68F, 12psi; without a unit, in the one you have set");
    verb->add_option("--at", options->at,
                     "when it was taken: 10:42, \"20min ago\", RFC 3339; now when left out");
    verb->add_option("--note", options->note);
    add_undo(*verb, chosen);
    verb->callback([options, verb, &chosen] {
        if (verb->got_subcommand("undo")) return;
        if (options->text.empty()) throw CLI::RequiredError("vessel, quantity and value");
        chosen = [options](Terminal to) { return options->run(to); };
    });
}

}  // namespace gyled::cli
