#include <charconv>
#include <utility>

#include "daemon/json/views.hpp"
#include "daemon/web/call.hpp"
#include "daemon/web/metrics.hpp"
#include "daemon/web/watch.hpp"

namespace gyled::web {

using json::alarm_json;
using json::batch_record_json;
using json::display_json;
using json::Json;
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
    out["watch"] = watch_json(call.backend);
    out["vessels"] = Json::array();
    const display::Display display = call.backend.display();
    for (const cellar::VesselView& view : call.backend.vessels())
        out["vessels"].push_back(vessel_json(view, display));
    return json_reply(out);
}

Reply vessel_reply(const Call& call) {
    const auto view = call.backend.vessel(call.id);
    if (!view) return no_such_vessel(call);
    return json_reply(vessel_json(*view, call.backend.display()));
}

namespace {

struct TrendCall {
    std::string vessel;
    Quantity quantity{};
    Span span;
    std::size_t points = points_usual;
    bool is_in_display_units = false;
    display::Display display;
};

Reply trend_reply(const TrendCall& asked, const History& history) {
    const display::Display& display = asked.display;
    const display::Display* shown =
        asked.is_in_display_units && !base::is_moment(asked.quantity) ? &display : nullptr;
    const Trend trend =
        history.trend(asked.vessel, asked.quantity, asked.span.from, asked.span.to, asked.points);
    Json out{{"vessel", asked.vessel},
             {"quantity", base::name(asked.quantity)},
             {"unit", shown ? display.unit_text(asked.quantity) : base::unit(asked.quantity)},
             {"decimals", display.decimals(asked.quantity)},
             {"from", moment(asked.span.from)},
             {"to", moment(asked.span.to)},
             {"t", Json::array()}};
    for (const Timestamp at : trend.at) out["t"].push_back(moment(at));
    out["v"] = column(trend.value, asked.quantity, shown);
    out["low"] = column(trend.low, asked.quantity, shown);
    out["high"] = column(trend.high, asked.quantity, shown);
    return json_reply(out);
}

/// How many entries; those usual when not said.
base::Result<std::size_t, Reply> limit_of(const Call& call) {
    const std::string* wanted = parameter(call, "limit");
    if (!wanted) return entries_usual;
    const auto parsed = parse_count(*wanted, 1, entries_most);
    if (!parsed) return base::Unexpected{bad_parameter("limit", "a whole number from 1 to 1000")};
    return *parsed;
}

/// A place as it travels: nobody but us reads it.
std::string cursor_text(const AlarmPlace& place) {
    return std::to_string(place.at.time_since_epoch().count()) + "." + place.alarm;
}
std::optional<AlarmPlace> parse_cursor(std::string_view text) {
    const auto dot = text.find('.');
    if (dot == std::string_view::npos) return std::nullopt;
    const auto at = parse_moment(text.substr(0, dot));
    if (!at) return std::nullopt;
    return AlarmPlace{*at, std::string{text.substr(dot + 1)}};
}

/// Ask again with after=next for older ones; null when these were all.
Reply alarms_page(const std::vector<alarms::Transition>& page, std::size_t limit,
                  const display::Display& display) {
    Json out{{"schema", 1}, {"alarms", Json::array()}, {"next", nullptr}};
    for (const alarms::Transition& t : page) out["alarms"].push_back(alarm_json(t, display));
    if (page.size() == limit) out["next"] = cursor_text({page.back().at, page.back().alarm});
    return json_reply(out);
}

}  // namespace

Handled trend_answer(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    TrendCall asked;
    asked.vessel = call.id;
    const std::string* name = parameter(call, "quantity");
    const auto quantity = name ? base::quantity_named(*name) : std::nullopt;
    if (!quantity) return bad_parameter("quantity", "the name of a quantity, as in /api/vessels");
    asked.quantity = *quantity;
    const auto span = span_of(call);
    if (!span) return span.error();
    asked.span = *span;
    if (const std::string* wanted = parameter(call, "points")) {
        const auto parsed = parse_count(*wanted, 1, points_most);
        if (!parsed) return bad_parameter("points", "a whole number from 1 to 1500");
        asked.points = *parsed;
    }
    if (const std::string* units = parameter(call, "units")) {
        if (*units != "canonical" && *units != "display")
            return bad_parameter("units", "canonical or display");
        asked.is_in_display_units = *units == "display";
    }
    asked.display = call.backend.display();
    return [asked](const History& history) { return trend_reply(asked, history); };
}

Handled batches_answer(const Call& call) {
    const auto limit = limit_of(call);
    if (!limit) return limit.error();
    return [limit = *limit, display = call.backend.display()](const History& history) {
        Json out{{"schema", 1}, {"batches", Json::array()}};
        for (const batch::Record& batch : history.batches(limit))
            out["batches"].push_back(batch_record_json(batch, display));
        return json_reply(out);
    };
}

Handled alarms_answer(const Call& call) {
    const auto limit = limit_of(call);
    if (!limit) return limit.error();
    const display::Display display = call.backend.display();
    if (const std::string* wanted = parameter(call, "after")) {
        const auto after = parse_cursor(*wanted);
        if (!after) return bad_parameter("after", "what 'next' said");
        return [limit = *limit, after = *after, display](const History& history) {
            return alarms_page(history.alarms(limit, after), limit, display);
        };
    }
    Timestamp before = Timestamp::max();
    if (const std::string* wanted = parameter(call, "before")) {
        const auto parsed = parse_moment(*wanted);
        if (!parsed) return bad_parameter("before", "RFC 3339 or Unix milliseconds");
        before = *parsed;
    }
    return [limit = *limit, before, display](const History& history) {
        return alarms_page(history.alarms(limit, before), limit, display);
    };
}

Reply sensors_reply(const Call& call) {
    const display::Display display = call.backend.display();
    Json out{{"schema", 1}, {"at", moment(call.backend.now())}, {"sensors", Json::array()}};
    std::map<std::string, base::Duration> silent_after;
    for (const cellar::VesselView& vessel : call.backend.vessels())
        for (const alarms::SensorSilence& sensor : vessel.sensors)
            silent_after[sensor.sensor] = sensor.silent_after;
    for (const sensors::SensorHealth& s : call.backend.sensors())
        out["sensors"].push_back(sensor_json(s, silent_after[s.id], call.backend.now(), display));
    out["rejected"] = call.backend.rejected();
    return json_reply(out);
}

Reply health_reply(const Call& call) {
    const Health health = call.backend.health();
    const WatchState watch = watch_state(call.backend);
    std::string problem = health.problem;
    if (problem.empty() && !watch.impairments.empty()) problem = watch.impairments.front().text;
    Reply reply =
        json_reply({{"status", name(watch.status)},
                    {"problem", problem},
                    {"broker_connected", health.broker_connected},
                    {"store_ok", health.store_ok},
                    {"impairments", json::impairments_json(watch.impairments, call.backend.display())},
                    {"last_reading", moment(health.last_reading)},
                    {"last_commit", moment(health.last_commit)},
                    {"version", GYLED_VERSION}});
    reply.status = may_miss_an_alarm(watch.status) ? 503 : 200;
    return reply;
}

Reply metrics_reply(const Call& call) {
    return {.content_type = "text/plain; version=0.0.4; charset=utf-8", .body = metrics_text(call.backend)};
}

Reply events_reply(const Call& /*call*/) {
    return {.content_type = "text/event-stream", .is_event_stream = true};
}

}  // namespace gyled::web
