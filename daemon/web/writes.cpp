#include <boost/beast/core/string.hpp>
#include <initializer_list>

#include "daemon/web/call.hpp"

namespace gyled::web {

using json::Json;
using json::moment;

namespace {

using base::Quantity;
using base::Result;
using base::Unexpected;

constexpr std::size_t note_bytes_most = 500;
constexpr base::Duration clock_slack = std::chrono::minutes{5};

Reply bad_body(std::string_view detail) {
    return problem(400, "Bad request body", detail);
}

bool has_type(const Request& request, std::string_view type) {
    const std::string_view given = request.content_type;
    std::string_view essence = given.substr(0, given.find(';'));
    while (essence.ends_with(' ')) essence.remove_suffix(1);
    return boost::beast::iequals(essence, type);
}

Reply wrong_type(std::string_view wanted) {
    return problem(415, "Unsupported media type", "Send " + std::string{wanted} + ".");
}

/// The body as a JSON object that holds only the named keys. A misspelt key is a mistake, not a default.
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

/// "at": RFC 3339 or Unix milliseconds; now when absent. Not in the future, give or take a clock.
Result<Timestamp, Reply> moment_in(const Json& body, const Backend& backend) {
    const Timestamp now = backend.now();
    if (!body.contains("at")) return now;
    const Json& at = body["at"];
    std::optional<Timestamp> parsed;
    if (at.is_string()) parsed = parse_moment(at.get_ref<const std::string&>());
    if (at.is_number_integer()) parsed = parse_moment(at.dump());
    if (!parsed) return Unexpected{bad_body("'at' must be RFC 3339 text or Unix milliseconds.")};
    if (*parsed > now + clock_slack) return Unexpected{bad_body("'at' lies in the future.")};
    return *parsed;
}

/// Text by a person; `fallback` when absent.
Result<std::string, Reply> note_in(const Json& body, const std::string& key, std::string fallback) {
    if (!body.contains(key)) return fallback;
    if (!body[key].is_string()) return Unexpected{bad_body("'" + key + "' must be text.")};
    std::string note = body[key].get<std::string>();
    if (note.size() > note_bytes_most) return Unexpected{bad_body("'" + key + "' is longer than 500 bytes.")};
    return note;
}

Reply carried_out(const Call& call, const cellar::Command& command) {
    const auto done = call.backend.command(command);
    if (!done) return problem(done.error());
    return json_reply({{"done", true}, {"at", moment(call.backend.now())}});
}

}  // namespace

Reply start_batch(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    std::string toml;
    Timestamp at = call.backend.now();
    if (has_type(call.request, "application/toml")) {
        toml = call.request.body;
    } else {
        const auto body = body_object(call, {"toml", "at"});
        if (!body) return body.error();
        if (!body->contains("toml") || !(*body)["toml"].is_string())
            return bad_body("Send a batch file as application/toml, or as JSON {\"toml\": \"...\"}.");
        toml = (*body)["toml"].get<std::string>();
        const auto given = moment_in(*body, call.backend);
        if (!given) return given.error();
        at = *given;
    }
    auto plan = call.backend.batch_plan(toml);
    if (!plan) return problem(plan.error());
    batch::Plan read = *std::move(plan);
    if (read.vessel.empty()) read.vessel = call.id;
    if (read.vessel != call.id)
        return problem(409, "Another vessel",
                       "The batch file is for '" + read.vessel + "', the address says '" + call.id + "'.");
    return carried_out(call, cellar::StartBatch{std::move(read), at, {}});
}

Reply end_batch(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"why", "at"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto why = note_in(*body, "why", "by hand");
    if (!why) return why.error();
    return carried_out(call, cellar::EndBatch{call.id, *at, *why});
}

Reply enter_stage(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"next", "index", "why", "at"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto why = note_in(*body, "why", "by hand");
    if (!why) return why.error();

    // Said twice by a nervous thumb, "next" would skip a stage; so it must be said in full, one way.
    if (body->contains("next") == body->contains("index"))
        return bad_body("Send either {\"next\": true} or {\"index\": 2}.");
    std::optional<std::size_t> index;
    if (body->contains("index")) {
        if (!(*body)["index"].is_number_unsigned())
            return bad_body("'index' must be a whole number, from 0 for the first stage.");
        index = (*body)["index"].get<std::size_t>();
    } else if ((*body)["next"] != true) {
        return bad_body("'next' can only be true.");
    }
    return carried_out(call, cellar::EnterStage{call.id, *at, index, *why});
}

Reply take_measurement(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = body_object(call, {"quantity", "value", "unit", "at", "note"});
    if (!body) return body.error();
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    const auto note = note_in(*body, "note", "");
    if (!note) return note.error();

    const auto quantity = body->contains("quantity") && (*body)["quantity"].is_string()
                              ? base::quantity_named((*body)["quantity"].get<std::string>())
                              : std::nullopt;
    if (!quantity || !base::is_measured(*quantity))
        return bad_body("'quantity' must name something measured, such as gravity or beer_temperature.");
    if (!body->contains("value") || !(*body)["value"].is_number())
        return bad_body("'value' must be a number.");
    double value = (*body)["value"].get<double>();
    if (body->contains("unit")) {
        if (!(*body)["unit"].is_string()) return bad_body("'unit' must be text.");
        const std::string unit = (*body)["unit"].get<std::string>();
        if (!sensors::unit_fits(*quantity, unit))
            return bad_body("'" + unit.substr(0, 20) + "' is not a unit of this quantity.");
        value = sensors::to_canonical(*quantity, unit, value);
    }
    if (!std::isfinite(value)) return bad_body("'value' must be a finite number.");
    return carried_out(call, cellar::Measure{call.id, {*quantity, value, *at, *note}});
}

Reply acknowledge(const Call& call) {
    const auto body = body_object(call, {"alarm", "at"});
    if (!body) return body.error();
    if (!body->contains("alarm") || !(*body)["alarm"].is_string() || (*body)["alarm"] == "")
        return bad_body("'alarm' must be the id of an alarm, as in /api/alarms.");
    const auto at = moment_in(*body, call.backend);
    if (!at) return at.error();
    return carried_out(call, cellar::Acknowledge{(*body)["alarm"].get<std::string>(), *at});
}

Reply shelve(const Call& call) {
    const auto body = body_object(call, {"alarm", "until", "reason"});
    if (!body) return body.error();
    if (!body->contains("alarm") || !(*body)["alarm"].is_string() || (*body)["alarm"] == "")
        return bad_body("'alarm' must be the id of an alarm, as in /api/alarms.");
    const auto reason = note_in(*body, "reason", "");
    if (!reason) return reason.error();
    std::optional<Timestamp> until;
    if (body->contains("until") && (*body)["until"].is_string())
        until = parse_moment((*body)["until"].get_ref<const std::string&>());
    const Timestamp now = call.backend.now();
    if (!until || *until <= now) return bad_body("'until' must be RFC 3339 text, after now.");
    return carried_out(call, cellar::Shelve{(*body)["alarm"].get<std::string>(), now, *until, *reason});
}

}  // namespace gyled::web
