#pragma once
/// How a verb reaches the running daemon, and what every answer has in common.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "daemon/cli/client.hpp"
#include "daemon/cli/verb.hpp"
#include "daemon/config/config.hpp"

namespace gyled::cli {

using Json = nlohmann::ordered_json;

/// The options of a verb that talks to the daemon.
struct Connection {
    std::string socket, config_path;
    bool json = false;

    void add_options(CLI::App& verb);
    void add_place(CLI::App& verb);  ///< without --json

    /// The answer as it came; nothing when there is none, or when the daemon refused (both said on `talk`).
    [[nodiscard]] std::optional<std::string> fetch(const ClientRequest& request, std::ostream& talk) const;

    /// The same as JSON.
    [[nodiscard]] std::optional<Json> ask(const ClientRequest& request, std::ostream& talk) const;
    [[nodiscard]] std::optional<Json> get(const std::string& target, std::ostream& talk) const;

    /// Sends a command. The daemon's words about what it understood, else `otherwise`, go to `talk`; with
    /// --json the answer goes to `out`.
    [[nodiscard]] int tell(const ClientRequest& request, const std::string& otherwise, Terminal to) const;

    /// Prints an answer: as JSON, or as the text made of it.
    using TextOf = std::string (*)(const Json&);
    [[nodiscard]] int show(const std::string& target, TextOf text_of, Terminal to) const;

private:
    [[nodiscard]] std::optional<std::string> socket_path(std::ostream& talk) const;
};

/// "/api/vessels/north" and what follows it; the id is escaped.
[[nodiscard]] std::string vessel_target(const std::string& vessel, const std::string& rest = {});

/// Each mistake with its place and an excerpt.
void say(std::ostream& talk, const config::Mistakes& mistakes);

}  // namespace gyled::cli
