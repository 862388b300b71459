#include "daemon/web/view_json.hpp"

namespace gyled::web {
namespace {

using brewing::Quantity;

bool is_gauge(Quantity q) {
    switch (q) {
        case Quantity::head_pressure:
        case Quantity::supply_pressure:
        case Quantity::warm_pressure:
        case Quantity::crash_pressure:
            return true;
        default:
            return false;
    }
}

/// A moment as it travels among estimates: Unix seconds, perhaps infinite or beyond what a calendar holds.
std::optional<Timestamp> as_moment(double seconds) {
    constexpr double year_2200 = 7'258'118'400.0;
    if (!(seconds >= 0 && seconds < year_2200)) return std::nullopt;
    return brewing::from_unix_seconds(std::round(seconds));
}

Json either(Quantity q, double canonical) {
    return brewing::is_moment(q) ? moment(as_moment(canonical)) : number(canonical);
}

std::string words(Quantity q, double canonical, const brewing::Face& face) {
    if (!brewing::is_moment(q)) return std::isfinite(canonical) ? face.text(q, canonical) : "not known";
    const std::optional<Timestamp> t = as_moment(canonical);
    return t ? face.local(*t) : "no end in sight";
}

/// What the person's unit is called where a unit is typed: as in the configuration.
std::string_view entry_unit(Quantity q, const brewing::Face& face) {
    const std::string_view canonical = brewing::unit(q);
    if (canonical == "degC") return face.temperature == brewing::TemperatureUnit::celsius ? "degC" : "degF";
    if (canonical == "SG") return face.gravity == brewing::GravityUnit::specific_gravity ? "SG" : "degP";
    if (canonical != "kPa") return canonical;
    switch (face.pressure) {
        case brewing::PressureUnit::bar:
            return "bar";
        case brewing::PressureUnit::psi:
            return "psi";
        case brewing::PressureUnit::kilopascal:
            break;
    }
    return "kPa";
}

}  // namespace

std::string interval_text(Quantity q, double low, double high, const brewing::Face& face) {
    const auto end = [&](double canonical) {
        std::string text = words(q, canonical, face);
        const std::string unit = " " + std::string{face.unit_text(q)};
        if (!brewing::is_moment(q) && text.ends_with(unit)) text.resize(text.size() - unit.size());
        return text;
    };
    return end(low) + " to " + end(high);
}

Json value_json(Quantity q, double canonical, const brewing::Face& face) {
    Json out{{"value", either(q, canonical)}, {"unit", brewing::unit(q)}};
    if (is_gauge(q)) out["reference"] = "gauge";
    if (q == Quantity::barometric_pressure) out["reference"] = "absolute";
    out["text"] = words(q, canonical, face);
    if (!brewing::is_moment(q))
        out["face"] = {{"value", number(face.shown(q, canonical))},
                       {"unit", face.unit_text(q)},
                       {"decimals", face.decimals(q)}};
    return out;
}

Json estimate_json(Quantity q, const brewing::Estimate& estimate, const brewing::Face& face) {
    Json out{{"value", either(q, estimate.value)},
             {"low", either(q, estimate.low)},
             {"high", either(q, estimate.high)},
             {"unit", brewing::is_moment(q) ? "RFC 3339" : brewing::unit(q)}};
    if (is_gauge(q)) out["reference"] = "gauge";
    out["text"] = words(q, estimate.value, face);
    out["interval"] = interval_text(q, estimate.low, estimate.high, face);
    if (!brewing::is_moment(q))
        out["face"] = {{"value", number(face.shown(q, estimate.value))},
                       {"low", number(face.shown(q, estimate.low))},
                       {"high", number(face.shown(q, estimate.high))},
                       {"unit", face.unit_text(q)},
                       {"decimals", face.decimals(q)}};
    return out;
}

Json face_json(const brewing::Face& face) {
    Json quantities = Json::object();
    for (const Quantity q : brewing::all_quantities()) {
        if (brewing::is_moment(q)) continue;
        quantities[std::string{brewing::name(q)}] = {
            {"unit", face.unit_text(q)}, {"entry_unit", entry_unit(q, face)}, {"decimals", face.decimals(q)}};
    }
    return {{"time_zone", face.time_zone}, {"quantities", std::move(quantities)}};
}

}  // namespace gyled::web
