#include "daemon/app/sensor_state_text.hpp"

#include <nlohmann/json.hpp>

namespace gyled::app {
namespace {

using Json = nlohmann::json;
using base::Timestamp;
using sensors::Past;
using sensors::SensorState;
using sensors::Stillness;

Json written(Timestamp at) {
    return at.time_since_epoch().count();
}
Timestamp moment(const Json& json) {
    return Timestamp{base::Duration{json.get<base::Duration::rep>()}};
}

Json written(const Past& past) {
    return {{"at", written(past.at)}, {"value", past.value}};
}
Past past(const Json& json) {
    return {moment(json.at("at")), json.at("value").get<double>()};
}

Json written(const Stillness& stillness) {
    Json json{{"until", written(stillness.until)},
              {"run", stillness.run},
              {"pairs", stillness.pairs},
              {"repeats", stillness.repeats}};
    if (stillness.since) json["since"] = written(*stillness.since);
    return json;
}
Stillness stillness(const Json& json) {
    Stillness stillness;
    if (json.contains("since")) stillness.since = past(json.at("since"));
    stillness.until = moment(json.at("until"));
    stillness.run = json.at("run").get<double>();
    stillness.pairs = json.at("pairs").get<double>();
    stillness.repeats = json.at("repeats").get<double>();
    return stillness;
}

void read_optionals(const Json& json, SensorState& state) {
    if (json.contains("latest")) state.latest = past(json.at("latest"));
    if (json.contains("last_known")) state.last_known = json.at("last_known").get<double>();
    if (json.contains("available")) state.available = json.at("available").get<bool>();
}

SensorState state_from(const Json& json) {
    SensorState state;
    state.sensor = json.at("sensor").get<std::string>();
    state.quantity = base::quantity_named(json.at("quantity").get<std::string>()).value();
    state.accepted = json.at("accepted").get<std::uint64_t>();
    state.clock_ahead = json.at("clock_ahead").get<std::uint64_t>();
    state.rejected = json.at("rejected").get<std::map<std::string, std::uint64_t>>();
    state.last_reject = json.at("last_reject").get<std::string>();
    for (const Json& one : json.at("doubted")) state.doubted.push_back(past(one));
    state.power_ups = json.at("power_ups").get<int>();
    state.stillness = stillness(json.at("stillness"));
    read_optionals(json, state);
    return state;
}

}  // namespace

std::string to_text(const SensorState& state) {
    Json json{{"version", state.version},
              {"sensor", state.sensor},
              {"quantity", base::name(state.quantity)},
              {"accepted", state.accepted},
              {"clock_ahead", state.clock_ahead},
              {"rejected", state.rejected},
              {"last_reject", state.last_reject},
              {"doubted", Json::array()},
              {"power_ups", state.power_ups},
              {"stillness", written(state.stillness)}};
    for (const Past& one : state.doubted) json["doubted"].push_back(written(one));
    if (state.latest) json["latest"] = written(*state.latest);
    if (state.last_known) json["last_known"] = *state.last_known;
    if (state.available) json["available"] = *state.available;
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

std::optional<SensorState> sensor_state_from_text(const std::string& text) try {
    const Json json = Json::parse(text);
    if (json.at("version").get<int>() != SensorState::current_version) return std::nullopt;
    return state_from(json);
} catch (const Json::exception&) {
    return std::nullopt;
} catch (const std::bad_optional_access&) {
    return std::nullopt;
}

}  // namespace gyled::app
