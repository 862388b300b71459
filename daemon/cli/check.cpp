/// gyle check: every mistake in a configuration or batch file.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"

namespace gyled::cli {
namespace {

constexpr const char* usual_config = "/etc/gyled/gyled.toml";

/// Errors and warnings apart, as scripts ask for them.
Json mistakes_json(const config::Mistakes& mistakes) {
    Json out{{"mistakes", Json::array()}, {"warnings", Json::array()}};
    for (const auto& m : mistakes)
        out[m.is_warning ? "warnings" : "mistakes"].push_back(
            {{"file", m.file}, {"line", m.line}, {"column", m.column}, {"what", m.what}});
    return out;
}

struct Check {
    std::string file, config_path;
    bool is_batch = false, json = false;

    [[nodiscard]] int run(Terminal to) const {
        const config::Mistakes found = is_batch ? of_batch(to.talk) : of_config();
        const bool is_refused = config::has_error(found);
        if (json) {
            fmt::print(to.out, "{}\n", mistakes_json(found).dump(2));
        } else {
            say(to.talk, found);
            if (!is_refused)
                fmt::print(to.talk, "{}: {}\n", file,
                           found.empty() ? "all in order" : "in order but for the warnings");
        }
        return is_refused ? failed : done;
    }

private:
    [[nodiscard]] config::Mistakes of_config() const {
        const auto config = config::check_config(file);
        return config ? config->warnings : config.error();
    }

    /// Held against its vessel when there is a configuration that has one.
    [[nodiscard]] config::Mistakes of_batch(std::ostream& talk) const {
        const bool is_named = !config_path.empty();
        if (is_named || std::filesystem::exists(usual_config)) {
            const auto config = config::load_config(is_named ? config_path : usual_config);
            if (config) return config::check_batch(file, *config);
            if (is_named) return config.error();
        }
        fmt::print(talk, "gyle: {} is not compared with its vessel: name the configuration with --config\n",
                   file);
        const auto plan = config::load_batch(file);
        return plan ? config::Mistakes{} : plan.error();
    }
};

}  // namespace

void add_check(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("check", "report every mistake in a configuration or batch file");
    auto options = std::make_shared<Check>();
    verb->add_option("file", options->file)->required();
    auto* batch = verb->add_flag("--batch", options->is_batch,
                                 "the file is a batch file; it is held against the plate of its vessel, too");
    verb->add_option("-c,--config", options->config_path, "the configuration that has the batch's vessel")
        ->needs(batch);
    verb->add_flag("--json", options->json, "print JSON");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
