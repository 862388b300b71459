/// gyle report: the record of a batch as one page.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <fstream>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

/// A batch of months takes the disk a while.
constexpr auto patience = std::chrono::minutes{2};

struct Report {
    Connection daemon;
    std::string batch, output;

    [[nodiscard]] int run(Terminal to) const {
        const auto page = daemon.fetch(
            {.target = "/api/batches/" + percent_encoded(batch) + "/report", .timeout = patience}, to.talk);
        if (!page) return failed;
        if (output.empty() || output == "-") {
            to.out << *page;
            return done;
        }
        std::ofstream file{output, std::ios::binary | std::ios::trunc};
        file << *page;
        file.close();
        if (file) return done;
        fmt::print(to.talk, "gyle: cannot write {}\n", output);
        return failed;
    }
};

}  // namespace

void add_report(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("report", "the record of a batch as one page, to keep or to print");
    auto options = std::make_shared<Report>();
    options->daemon.add_place(*verb);
    verb->add_option("batch", options->batch, "its id or name, or its vessel: then the newest")->required();
    verb->add_option("-o,--output", options->output,
                     "the file, as in mild.html; standard output when left out");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
