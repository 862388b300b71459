/// gyle check: every mistake in a configuration or batch file.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

Json mistakes_json(const config::Mistakes& mistakes) {
    Json list = Json::array();
    for (const auto& m : mistakes)
        list.push_back({{"file", m.file}, {"line", m.line}, {"column", m.column}, {"what", m.what}});
    return {{"mistakes", list}};
}

struct Check {
    std::string file;
    bool is_batch = false, json = false;

    [[nodiscard]] config::Mistakes mistakes() const {
        if (is_batch) {
            const auto plan = config::load_batch(file);
            return plan ? config::Mistakes{} : plan.error();
        }
        const auto config = config::check_config(file);
        return config ? config::Mistakes{} : config.error();
    }

    [[nodiscard]] int run(Terminal to) const {
        const config::Mistakes found = mistakes();
        if (json)
            fmt::print(to.out, "{}\n", mistakes_json(found).dump(2));
        else if (found.empty())
            fmt::print(to.talk, "{}: all in order\n", file);
        else
            say(to.talk, found);
        return found.empty() ? done : failed;
    }
};

}  // namespace

void add_check(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("check", "report every mistake in a configuration or batch file");
    auto options = std::make_shared<Check>();
    verb->add_option("file", options->file)->required();
    verb->add_flag("--batch", options->is_batch, "the file is a batch file");
    verb->add_flag("--json", options->json, "print JSON");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
