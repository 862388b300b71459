// What is stored, value by value, out and in.

#include <cmath>

#include "daemon/web/call.hpp"
#include "sensors/plausibility/range.hpp"

namespace gyled::web {
namespace {

using base::Quantity;
using base::Unexpected;
using namespace std::chrono_literals;

constexpr std::size_t values_at_once = 5'000;  ///< of each kind: half a MiB of JSON
/// What is younger comes over the broker: it is judged there, and rings.
constexpr base::Duration history_age = 1h;

/// A number, or a moment where the quantity is one; null where it never comes.
Json shown(Quantity q, double value) {
    if (!std::isfinite(value)) return nullptr;
    return base::is_moment(q) ? json::moment(base::from_unix_seconds(value)) : json::number(value);
}

Json row(const cellar::StoredValue& v) {
    Json out{{"at", json::moment(v.at)},
             {"quantity", base::name(v.quantity)},
             {"value", shown(v.quantity, v.value.value)}};
    if (!v.sensor.empty()) {
        out["sensor"] = v.sensor;
        return out;
    }
    out["low"] = shown(v.quantity, v.value.low);
    out["high"] = shown(v.quantity, v.value.high);
    return out;
}

Reply bad_body(std::string_view detail) {
    return problem(400, "Bad request body", detail);
}

/// {"series": [...], "last": true} and nothing else.
base::Result<Json, Reply> history_in(const Request& request) {
    Json body = Json::parse(request.body, nullptr, false);
    if (!body.is_object() || !body.contains("series") || !body["series"].is_array())
        return Unexpected{bad_body("Send a JSON object with 'series', a list.")};
    if (body.contains("last") && !body["last"].is_boolean())
        return Unexpected{bad_body("'last' must be true or false.")};
    for (const auto& [key, value] : body.items())
        if (key != "series" && key != "last")
            return Unexpected{bad_body("Unknown key '" + key.substr(0, 40) + "'; known are: series, last.")};
    return body;
}

base::Result<Quantity, Reply> measured_in(const Json& series) {
    const auto found = series.contains("quantity") && series["quantity"].is_string()
                           ? base::quantity_named(series["quantity"].get<std::string>())
                           : std::nullopt;
    if (!found || !base::is_measured(*found))
        return Unexpected{bad_body("'quantity' must name something measured, such as gravity.")};
    return *found;
}

/// {"sensor": "...", "quantity": "...", "rows": [[milliseconds, value], ...]}: canonical units, gauge.
std::optional<Reply> take_series(const Call& call, const Json& series,
                                 std::vector<sensors::Reading>& readings) {
    if (!series.is_object() || !series.contains("sensor") || !series["sensor"].is_string() ||
        series["sensor"].get_ref<const std::string&>().empty() || !series.contains("rows") ||
        !series["rows"].is_array())
        return bad_body("Each of 'series' is {\"sensor\", \"quantity\", \"rows\": [[ms, value], ...]}.");
    const auto quantity = measured_in(series);
    if (!quantity) return quantity.error();
    const sensors::Range range = sensors::default_range(*quantity, false);
    for (const Json& row : series["rows"]) {
        const bool is_pair =
            row.is_array() && row.size() == 2 && row[0].is_number_integer() && row[1].is_number();
        const auto at = is_pair ? parse_moment(row[0].dump()) : std::nullopt;
        if (!at || !range.holds(row[1].get<double>()))
            return bad_body("A row is [Unix milliseconds, a value that the quantity can have], not " +
                            row.dump().substr(0, 60) + ".");
        sensors::Reading reading;
        reading.sensor = series["sensor"].get<std::string>();
        reading.vessel = call.id;
        reading.quantity = *quantity;
        reading.at = reading.arrived = *at;
        reading.value = row[1].get<double>();
        readings.push_back(std::move(reading));
    }
    return std::nullopt;
}

}  // namespace

Handled values_answer(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto span = span_of(call);
    if (!span) return span.error();
    return [vessel = call.id, span = *span](const History& history) {
        const cellar::StoredValues page = history.values(vessel, span.from, span.to, values_at_once);
        Json out{
            {"schema", 1}, {"vessel", vessel}, {"values", Json::array()}, {"next", json::moment(page.next)}};
        for (const cellar::StoredValue& v : page.values) out["values"].push_back(row(v));
        return json_reply(out);
    };
}

Reply import_readings(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    const auto body = history_in(call.request);
    if (!body) return body.error();
    std::vector<sensors::Reading> readings;
    for (const Json& series : (*body)["series"])
        if (auto mistake = take_series(call, series, readings)) return *std::move(mistake);
    const Timestamp history_ends = call.backend.now() - history_age;
    const std::size_t all = readings.size();
    std::erase_if(readings, [&](const sensors::Reading& r) { return r.at > history_ends; });
    const auto stored = call.backend.take_history(readings, body->value("last", false));
    if (!stored) return problem(stored.error());
    return json_reply(
        {{"stored", *stored}, {"known", readings.size() - *stored}, {"too_young", all - readings.size()}});
}

}  // namespace gyled::web
