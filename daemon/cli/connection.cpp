#include "daemon/cli/connection.hpp"

#include <fmt/format.h>
#include <fmt/ostream.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <ostream>

namespace gyled::cli {
namespace {

constexpr const char* usual_config = "/etc/gyled/gyled.toml";
constexpr const char* usual_socket = "/run/gyled/gyled.sock";
constexpr int first_error_status = 400;  // RFC 9110: 4xx and 5xx are errors

/// A line for each thing that the vessel does not bear, and whether it can be confirmed.
void say_findings(std::ostream& talk, const Json& document) {
    fmt::print(talk, "gyle: {}:\n", document.value("title", "refused"));
    for (const Json& finding : document.at("findings"))
        fmt::print(talk, "  {}: {}\n", finding.value("severity", "doubtful"), finding.value("text", ""));
    if (document.value("confirmable", false))
        fmt::print(talk, "gyle: nothing was changed. If it is meant so, say it again with --confirm\n");
}

void say_refusal(std::ostream& talk, const ClientResponse& answer, const Json& document) {
    if (document.is_object() && document.contains("findings"))
        say_findings(talk, document);
    else if (document.is_object())
        fmt::print(talk, "gyle: {}: {}\n", document.value("title", "refused"), document.value("detail", ""));
    else
        fmt::print(talk, "gyle: the daemon answered with status {}\n", answer.status);
}

/// What the daemon understood, a line each.
std::string understood(const Json& answer) {
    std::string text;
    if (const auto lines = answer.find("understood"); lines != answer.end() && lines->is_array())
        for (const Json& line : *lines) text += (text.empty() ? "" : "\n") + line.get<std::string>();
    return text;
}

}  // namespace

void Connection::add_place(CLI::App& verb) {
    verb.add_option("--socket", socket, "the daemon's Unix socket");
    verb.add_option("-c,--config", config_path, "take the socket from this configuration");
}

void Connection::add_options(CLI::App& verb) {
    add_place(verb);
    verb.add_flag("--json", json, "print JSON");
}

std::optional<std::string> Connection::socket_path(std::ostream& talk) const {
    if (!socket.empty()) return socket;
    if (config_path.empty() && !std::filesystem::exists(usual_config)) return usual_socket;
    const auto config = config::load_config(config_path.empty() ? usual_config : config_path);
    if (config) return config->web.socket;
    if (config_path.empty()) return usual_socket;  // not ours to read, perhaps
    say(talk, config.error());
    return std::nullopt;
}

std::optional<std::string> Connection::fetch(const ClientRequest& request, std::ostream& talk) const {
    const auto path = socket_path(talk);
    if (!path) return std::nullopt;
    const auto answer = cli::ask(*path, request);
    if (!answer) {
        fmt::print(talk, "gyle: {}\n", answer.error());
        return std::nullopt;
    }
    if (answer->status < first_error_status) return answer->body;
    say_refusal(talk, *answer, Json::parse(answer->body, nullptr, false));
    return std::nullopt;
}

std::optional<Json> Connection::ask(const ClientRequest& request, std::ostream& talk) const {
    const auto body = fetch(request, talk);
    if (!body) return std::nullopt;
    auto document = Json::parse(*body, nullptr, false);
    return document.is_discarded() ? Json::object() : document;
}

std::optional<Json> Connection::get(const std::string& target, std::ostream& talk) const {
    ClientRequest request;
    request.target = target;
    return ask(request, talk);
}

int Connection::tell(const ClientRequest& request, const std::string& otherwise, Terminal to) const {
    const auto answer = ask(request, to.talk);
    if (!answer) return failed;
    const std::string words = understood(*answer);
    if (json)
        fmt::print(to.out, "{}\n", answer->dump(2));
    else
        fmt::print(to.talk, "{}\n", words.empty() ? otherwise : words);
    return done;
}

int Connection::show(const std::string& target, TextOf text_of, Terminal to) const {
    const auto answer = get(target, to.talk);
    if (!answer) return failed;
    fmt::print(to.out, "{}", json ? answer->dump(2) + "\n" : text_of(*answer));
    return done;
}

std::string vessel_target(const std::string& vessel, const std::string& rest) {
    return "/api/vessels/" + percent_encoded(vessel) + rest;
}

void say(std::ostream& talk, const config::Mistakes& mistakes) {
    for (const auto& mistake : mistakes) {
        fmt::print(talk, "{}\n", mistake.text());
        if (!mistake.excerpt.empty()) fmt::print(talk, "{}\n", mistake.excerpt);
    }
}

}  // namespace gyled::cli
