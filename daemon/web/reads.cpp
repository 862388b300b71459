#include <charconv>
#include <utility>

#include "daemon/web/call.hpp"
#include "daemon/web/metrics.hpp"
#include "daemon/json/views.hpp"

namespace gyled::web {

using json::Json;
using json::alarm_json;
using json::batch_record_json;
using json::display_json;
using json::moment;
using json::number;
using json::sensor_json;
using json::vessel_json;

namespace {

using base::Quantity;

constexpr std::size_t points_most = 1500, points_usual = 600;
constexpr std::size_t entries_most = 1000, entries_usual = 50;

/// A parameter that was given and makes no sense is an error, not a default.
Reply bad_parameter(std::string_view name, std::string_view expected) {
    return problem(400, "Bad parameter",
                   "The parameter '" + std::string{name} + "' must be " + std::string{expected} + ".");
}

const std::string* parameter(const Call& call, const char* name) {
    const auto found = call.query.find(name);
    return found == call.query.end() ? nullptr : &found->second;
}

struct Span {
    Timestamp from, to;
};

/// from and to; the last day when not given.
base::Result<Span, Reply> span_of(const Call& call) {
    Span span{{}, call.backend.now()};
    if (const std::string* to = parameter(call, "to")) {
        const auto parsed = parse_moment(*to);
        if (!parsed) return base::Unexpected{bad_parameter("to", "RFC 3339 or Unix milliseconds")};
        span.to = *parsed;
    }
    span.from = span.to - std::chrono::hours{24};
    if (const std::string* from = parameter(call, "from")) {
        const auto parsed = parse_moment(*from);
        if (!parsed) return base::Unexpected{bad_parameter("from", "RFC 3339 or Unix milliseconds")};
        span.from = *parsed;
    }
    if (span.from >= span.to) return base::Unexpected{bad_parameter("from", "before 'to'")};
    return span;
}

Json column(const std::vector<double>& values, Quantity q, const display::Display* display) {
    Json out = Json::array();
    for (const double value : values) out.push_back(number(display ? display->shown(q, value) : value));
    return out;
}

Json state_json(const Call& call) {
    return {{"schema", 1},
            {"site", call.backend.site_name()},
            {"at", moment(call.backend.now())},
            {"display", display_json(call.backend.display())}};
}

}  // namespace

std::optional<Timestamp> parse_moment(std::string_view text) {
    constexpr long long year_2200_ms = 7'258'118'400'000;
    long long ms = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), ms);
    if (error == std::errc{} && end == text.data() + text.size()) {
        if (ms < 0 || ms >= year_2200_ms) return std::nullopt;
        return Timestamp{base::Duration{ms}};
    }
    const auto parsed = base::from_rfc3339(text);
    if (!parsed) return std::nullopt;
    const auto count = parsed->time_since_epoch().count();
    if (count < 0 || count >= year_2200_ms) return std::nullopt;
    return parsed;
}

std::optional<std::size_t> parse_count(std::string_view text, std::size_t least, std::size_t most) {
    std::size_t count = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), count);
    if (error != std::errc{} || end != text.data() + text.size() || count < least || count > most)
        return std::nullopt;
    return count;
}

std::optional<cellar::VesselView> find_vessel(const Call& call) {
    for (cellar::VesselView& view : call.backend.vessels())
        if (view.spec.id == call.id) return std::move(view);
    return std::nullopt;
}

Reply no_such_vessel(const Call& call) {
    return problem(404, "No such vessel", "No vessel is called '" + call.id.substr(0, 80) + "'.");
}

Reply index_reply(const Call& call) {
    Json links = Json::array({"/api/vessels", "/api/batches", "/api/alarms", "/api/sensors", "/api/events",
                              "/metrics", "/health"});
    for (const cellar::VesselView& view : call.backend.vessels())
        links.push_back("/api/vessels/" + view.spec.id);
    return json_reply({{"schema", 1}, {"version", GYLED_VERSION}, {"addresses", std::move(links)}});
}

Reply vessels_reply(const Call& call) {
    Json out = state_json(call);
    out["vessels"] = Json::array();
    const display::Display display = call.backend.display();
    for (const cellar::VesselView& view : call.backend.vessels())
        out["vessels"].push_back(vessel_json(view, display));
    return json_reply(out);
}

Reply vessel_reply(const Call& call) {
    const auto view = find_vessel(call);
    if (!view) return no_such_vessel(call);
    return json_reply(vessel_json(*view, call.backend.display()));
}

Reply trend_reply(const Call& call) {
    if (!find_vessel(call)) return no_such_vessel(call);
    const std::string* name = parameter(call, "quantity");
    const auto quantity = name ? base::quantity_named(*name) : std::nullopt;
    if (!quantity) return bad_parameter("quantity", "the name of a quantity, as in /api/vessels");
    const auto span = span_of(call);
    if (!span) return span.error();
    std::size_t points = points_usual;
    if (const std::string* wanted = parameter(call, "points")) {
        const auto parsed = parse_count(*wanted, 1, points_most);
        if (!parsed) return bad_parameter("points", "a whole number from 1 to 1500");
        points = *parsed;
    }
    bool is_in_face_units = false;
    if (const std::string* units = parameter(call, "units")) {
        if (*units != "canonical" && *units != "display") return bad_parameter("units", "canonical or display");
        is_in_face_units = *units == "display";
    }

    const display::Display display = call.backend.display();
    const display::Display* shown = is_in_face_units && !base::is_moment(*quantity) ? &display : nullptr;
    const Trend trend = call.backend.trend(call.id, *quantity, span->from, span->to, points);
    Json out{{"vessel", call.id},
             {"quantity", base::name(*quantity)},
             {"unit", shown ? display.unit_text(*quantity) : base::unit(*quantity)},
             {"decimals", display.decimals(*quantity)},
             {"from", moment(span->from)},
             {"to", moment(span->to)},
             {"t", Json::array()}};
    for (const Timestamp at : trend.at) out["t"].push_back(at.time_since_epoch().count());
    out["v"] = column(trend.value, *quantity, shown);
    out["low"] = column(trend.low, *quantity, shown);
    out["high"] = column(trend.high, *quantity, shown);
    return json_reply(out);
}

Reply batches_reply(const Call& call) {
    std::size_t limit = entries_usual;
    if (const std::string* wanted = parameter(call, "limit")) {
        const auto parsed = parse_count(*wanted, 1, entries_most);
        if (!parsed) return bad_parameter("limit", "a whole number from 1 to 1000");
        limit = *parsed;
    }
    Json out{{"schema", 1}, {"batches", Json::array()}};
    const display::Display display = call.backend.display();
    for (const batch::Record& batch : call.backend.batches(limit))
        out["batches"].push_back(batch_record_json(batch, display));
    return json_reply(out);
}

Reply alarms_reply(const Call& call) {
    std::size_t limit = entries_usual;
    if (const std::string* wanted = parameter(call, "limit")) {
        const auto parsed = parse_count(*wanted, 1, entries_most);
        if (!parsed) return bad_parameter("limit", "a whole number from 1 to 1000");
        limit = *parsed;
    }
    std::optional<Timestamp> before;
    if (const std::string* wanted = parameter(call, "before")) {
        before = parse_moment(*wanted);
        if (!before) return bad_parameter("before", "RFC 3339 or Unix milliseconds");
    }
    const display::Display display = call.backend.display();
    const auto transitions = call.backend.alarms(limit, before);
    Json out{{"schema", 1}, {"alarms", Json::array()}};
    for (const alarms::Transition& t : transitions) out["alarms"].push_back(alarm_json(t, display));
    // Ask again with before=next for older ones; null when these were all.
    out["next"] = transitions.size() == limit ? moment(transitions.back().at) : Json(nullptr);
    return json_reply(out);
}

Reply sensors_reply(const Call& call) {
    const display::Display display = call.backend.display();
    Json out{{"schema", 1}, {"at", moment(call.backend.now())}, {"sensors", Json::array()}};
    for (const sensors::SensorHealth& s : call.backend.sensors())
        out["sensors"].push_back(sensor_json(s, call.backend.now(), display));
    out["rejected"] = call.backend.rejected();
    return json_reply(out);
}

Reply health_reply(const Call& call) {
    const Health health = call.backend.health();
    Reply reply = json_reply({{"status", health.ok ? "ok" : "problem"},
                              {"problem", health.problem},
                              {"broker_connected", health.broker_connected},
                              {"store_ok", health.store_ok},
                              {"last_reading", moment(health.last_reading)},
                              {"last_commit", moment(health.last_commit)},
                              {"version", GYLED_VERSION}});
    reply.status = health.ok ? 200 : 503;
    return reply;
}

Reply metrics_reply(const Call& call) {
    return {.content_type = "text/plain; version=0.0.4; charset=utf-8", .body = metrics_text(call.backend)};
}

Reply events_reply(const Call& /*call*/) {
    return {.content_type = "text/event-stream", .is_event_stream = true};
}

}  // namespace gyled::web
