/// gyle status: what stands, what of the watch does not work; then what is in there, what is next, is it
/// safe.

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "daemon/cli/connection.hpp"
#include "daemon/cli/status_text.hpp"

namespace gyled::cli {
namespace {

struct Status {
    Connection daemon;
    std::string vessel;

    [[nodiscard]] int run(Terminal to) const {
        auto answer = daemon.get("/api/vessels", to.talk);
        if (!answer) return failed;
        if (!vessel.empty() && !keep_only(*answer, vessel)) {
            fmt::print(to.talk, "gyle: No such vessel: no vessel is called '{}'.\n", vessel);
            return failed;
        }
        if (daemon.json) {
            fmt::print(to.out, "{}\n", (vessel.empty() ? *answer : with_watch(*answer)).dump(2));
            return done;
        }
        fmt::print(to.out, "{}", status_text(*answer));
        if (const auto sensors = daemon.get("/api/sensors", to.talk))
            fmt::print(to.out, "{}", rejected_text(*sensors));
        return done;
    }

private:
    static bool keep_only(Json& answer, const std::string& id) {
        Json kept = Json::array();
        for (Json& each : answer.at("vessels"))
            if (each.at("id") == id) kept.push_back(std::move(each));
        answer["vessels"] = std::move(kept);
        return !answer["vessels"].empty();
    }
    /// The one vessel as /api/vessels/{id} tells it, with what is told of the watch.
    static Json with_watch(const Json& answer) {
        Json one = answer.at("vessels").front();
        one["watch"] = answer.at("watch");
        return one;
    }
};

}  // namespace

void add_status(CLI::App& gyle, Action& chosen) {
    auto* verb = gyle.add_subcommand("status", "what is in there, what is next, is it safe");
    auto options = std::make_shared<Status>();
    options->daemon.add_options(*verb);
    verb->add_option("vessel", options->vessel, "only this vessel");
    verb->callback([options, &chosen] { chosen = [options](Terminal to) { return options->run(to); }; });
}

}  // namespace gyled::cli
