#include "daemon/web/body.hpp"

#include <algorithm>

#include "daemon/web/without_case.hpp"

namespace gyled::web {

using base::Result;
using base::Unexpected;

Reply bad_body(std::string_view detail) {
    return problem(400, "Bad request body", detail);
}

bool has_type(const Request& request, std::string_view type) {
    const std::string_view given = request.content_type;
    std::string_view essence = given.substr(0, given.find(';'));
    while (essence.ends_with(' ')) essence.remove_suffix(1);
    return equal_without_case(essence, type);
}

Reply wrong_type(std::string_view wanted) {
    return problem(415, "Unsupported media type", "Send " + std::string{wanted} + ".");
}

Result<Json, Reply> body_object(const Call& call, std::initializer_list<std::string_view> keys) {
    if (call.request.body.empty()) return Json::object();
    if (!has_type(call.request, "application/json")) return Unexpected{wrong_type("application/json")};
    Json body = Json::parse(call.request.body, nullptr, false);
    if (!body.is_object()) return Unexpected{bad_body("The body is not a JSON object.")};
    for (const auto& [key, value] : body.items()) {
        if (std::find(keys.begin(), keys.end(), key) != keys.end()) continue;
        std::string known;
        for (const std::string_view k : keys) known += (known.empty() ? "" : ", ") + std::string{k};
        return Unexpected{bad_body("Unknown key '" + key.substr(0, 40) + "'; known are: " + known + ".")};
    }
    return body;
}

Reply carried_out(const Call& call, const cellar::Command& command) {
    const auto done = call.backend.command(command);
    if (!done) return problem(done.error());
    return json_reply({{"done", true}, {"at", json::moment(call.backend.now())}, {"understood", *done}});
}

}  // namespace gyled::web
