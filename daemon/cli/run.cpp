#include "daemon/cli/run.hpp"

#include <CLI/CLI.hpp>
#include <ostream>

#include "daemon/cli/verb.hpp"

namespace gyled::cli {
namespace {

constexpr const char* examples =
    "Examples:\n"
    "  gyle status\n"
    "  gyle batch start harbour-mild.toml\n"
    "  gyle measure north gravity 1.012\n"
    "  gyle calc strike --mash 67C --grain 18C --liquor 15L --grist 5kg\n"
    "  gyle replay --config gyled.toml --batch harbour-mild.toml readings.log.gz\n";

/// What could not be written was not done: a full disk must not look like success to a script.
int finish(int code, Terminal to) {
    to.out.flush();
    if (to.out) return code;
    to.talk << "gyle: the output could not be written; is the disk full?\n";
    return code == done ? failed : code;
}

int act(CLI::App& gyle, const Action& chosen, int argc, const char* const* argv, Terminal to) {
    try {
        gyle.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return gyle.exit(error, to.out, to.talk) == 0 ? done : wrong_usage;
    }
    return chosen ? chosen(to) : wrong_usage;
}

}  // namespace

int run(int argc, const char* const* argv, std::ostream& out, std::ostream& talk) {
    CLI::App gyle{"Asks and tells the running gyled, and replays recorded logs."};
    gyle.set_version_flag("--version", "gyle " GYLED_VERSION);
    gyle.footer(examples);
    gyle.require_subcommand(1);
    Action chosen;
    add_status(gyle, chosen);
    add_batch(gyle, chosen);
    add_measure(gyle, chosen);
    add_alarms(gyle, chosen);
    add_replay(gyle, chosen);
    add_check(gyle, chosen);
    add_report(gyle, chosen);
    add_export(gyle, chosen);
    add_import(gyle, chosen);
    add_package(gyle, chosen);
    add_what_if(gyle, chosen);
    add_carbonate(gyle, chosen);
    add_calc(gyle, chosen);
    add_vessel(gyle, chosen);
    add_culture(gyle, chosen);
    const Terminal to{out, talk};
    return finish(act(gyle, chosen, argc, argv, to), to);
}

}  // namespace gyled::cli
