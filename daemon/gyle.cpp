/// gyle: the command line. Data to standard output, talk to standard error; 0 done, 1 failed, 2 wrong usage.

#include <CLI/CLI.hpp>
#include <iostream>

#include "daemon/app/commands.hpp"

int main(int argc, char** argv) try {
    CLI::App options{"Asks and tells the running gyled, and replays recorded logs."};
    options.set_version_flag("--version", "gyle " GYLED_VERSION);
    options.footer(
        "Examples:\n"
        "  gyle status\n"
        "  gyle batch start harbour-mild.toml\n"
        "  gyle measure north gravity 1.012\n"
        "  gyle replay --config gyled.toml --batch harbour-mild.toml readings.log.gz\n");
    options.require_subcommand(1);
    gyled::app::Commands commands{options, std::cout, std::cerr};
    try {
        options.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return options.exit(error) == 0 ? 0 : 2;
    }
    return commands.run();
} catch (const std::exception& problem) {
    std::cerr << "gyle: " << problem.what() << '\n';
    return 1;
}
