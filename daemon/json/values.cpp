#include "daemon/json/views.hpp"

namespace gyled::json {
namespace {

using base::Quantity;

bool is_gauge(Quantity q) {
    switch (q) {
        case Quantity::head_pressure:
        case Quantity::supply_pressure:
        case Quantity::warm_pressure:
        case Quantity::crash_pressure:
        case Quantity::closed_pressure:
            return true;
        default:
            return false;
    }
}

/// A moment as it travels among estimates: Unix seconds, perhaps infinite or beyond what a calendar holds.
std::optional<Timestamp> as_moment(double seconds) {
    constexpr double year_2200 = 7'258'118'400.0;
    if (!(seconds >= 0 && seconds < year_2200)) return std::nullopt;
    return base::from_unix_seconds(std::round(seconds));
}

Json either(Quantity q, double canonical) {
    return base::is_moment(q) ? moment(as_moment(canonical)) : number(canonical);
}

std::string words(Quantity q, double canonical, const display::Display& display) {
    if (!base::is_moment(q)) return std::isfinite(canonical) ? display.text(q, canonical) : "not known";
    const std::optional<Timestamp> t = as_moment(canonical);
    return t ? display.local(*t) : "no end in sight";
}

/// What the person's unit is called where a unit is typed: as in the configuration.
std::string_view entry_unit(Quantity q, const display::Display& display) {
    const std::string_view canonical = base::unit(q);
    if (canonical == "degC")
        return display.temperature == display::TemperatureUnit::celsius ? "degC" : "degF";
    if (canonical == "SG") return display.gravity == display::GravityUnit::specific_gravity ? "SG" : "degP";
    if (canonical != "kPa") return canonical;
    switch (display.pressure) {
        case display::PressureUnit::bar:
            return "bar";
        case display::PressureUnit::psi:
            return "psi";
        case display::PressureUnit::kilopascal:
            break;
    }
    return "kPa";
}

}  // namespace

std::string interval_text(Quantity q, double low, double high, const display::Display& display) {
    const auto end = [&](double canonical) {
        std::string text = words(q, canonical, display);
        const std::string unit = " " + std::string{display.unit_text(q)};
        if (!base::is_moment(q) && text.ends_with(unit)) text.resize(text.size() - unit.size());
        return text;
    };
    return end(low) + " to " + end(high);
}

Json value_json(Quantity q, double canonical, const display::Display& display) {
    Json out{{"value", either(q, canonical)}, {"unit", base::unit(q)}};
    if (is_gauge(q)) out["reference"] = "gauge";
    if (q == Quantity::barometric_pressure) out["reference"] = "absolute";
    out["text"] = words(q, canonical, display);
    if (!base::is_moment(q))
        out["display"] = {{"value", number(display.shown(q, canonical))},
                          {"unit", display.unit_text(q)},
                          {"decimals", display.decimals(q)}};
    return out;
}

Json estimate_json(Quantity q, const base::Estimate& estimate, const display::Display& display) {
    Json out{{"value", either(q, estimate.value)},
             {"low", either(q, estimate.low)},
             {"high", either(q, estimate.high)},
             {"unit", base::is_moment(q) ? "RFC 3339" : base::unit(q)}};
    if (is_gauge(q)) out["reference"] = "gauge";
    out["text"] = words(q, estimate.value, display);
    out["interval"] = interval_text(q, estimate.low, estimate.high, display);
    if (!base::is_moment(q))
        out["display"] = {{"value", number(display.shown(q, estimate.value))},
                          {"low", number(display.shown(q, estimate.low))},
                          {"high", number(display.shown(q, estimate.high))},
                          {"unit", display.unit_text(q)},
                          {"decimals", display.decimals(q)}};
    return out;
}

Json display_json(const display::Display& display) {
    Json quantities = Json::object();
    for (const Quantity q : base::all_quantities()) {
        if (base::is_moment(q)) continue;
        quantities[std::string{base::name(q)}] = {{"unit", display.unit_text(q)},
                                                  {"entry_unit", entry_unit(q, display)},
                                                  {"decimals", display.decimals(q)}};
    }
    return {{"time_zone", display.time_zone}, {"quantities", std::move(quantities)}};
}

}  // namespace gyled::json
