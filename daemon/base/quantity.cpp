#include "daemon/base/quantity.hpp"

#include <array>

namespace gyled::base {
namespace {

struct Row {
    Quantity quantity;
    std::string_view name;
    std::string_view unit;
};

// clang-format off
constexpr std::array rows{
    Row{Quantity::beer_temperature,        "beer_temperature",        "degC"},
    Row{Quantity::jacket_temperature,      "jacket_temperature",      "degC"},
    Row{Quantity::room_temperature,        "room_temperature",        "degC"},
    Row{Quantity::gravity,                 "gravity",                 "SG"},
    Row{Quantity::head_pressure,           "head_pressure",           "kPa"},
    Row{Quantity::barometric_pressure,     "barometric_pressure",     "kPa"},
    Row{Quantity::supply_pressure,         "supply_pressure",         "kPa"},
    Row{Quantity::battery_voltage,         "battery_voltage",         "V"},
    Row{Quantity::signal_strength,         "signal_strength",         "dBm"},
    Row{Quantity::gravity_now,             "gravity_now",             "SG"},
    Row{Quantity::gravity_rate,            "gravity_rate",            "SG/d"},
    Row{Quantity::final_gravity,           "final_gravity",           "SG"},
    Row{Quantity::finish_time,             "finish_time",             "s"},
    Row{Quantity::apparent_attenuation,    "apparent_attenuation",    "%"},
    Row{Quantity::real_attenuation,        "real_attenuation",        "%"},
    Row{Quantity::alcohol_by_volume,       "alcohol_by_volume",       "%"},
    Row{Quantity::co2_volumes,             "co2_volumes",             "vol"},
    Row{Quantity::co2_equilibrium_volumes, "co2_equilibrium_volumes", "vol"},
    Row{Quantity::carbonated_time,         "carbonated_time",         "s"},
    Row{Quantity::pressure_headroom,       "pressure_headroom",       "kPa"},
    Row{Quantity::limit_time,              "limit_time",              "s"},
    Row{Quantity::warm_pressure,           "warm_pressure",           "kPa"},
    Row{Quantity::crash_pressure,          "crash_pressure",          "kPa"},
    Row{Quantity::residual_co2_potential,  "residual_co2_potential",  "vol"},
    Row{Quantity::ready_time,              "ready_time",              "s"},
    Row{Quantity::closed_pressure,         "closed_pressure",         "kPa"},
    Row{Quantity::closing_gravity,         "closing_gravity",         "SG"},
    Row{Quantity::head_space_air,          "head_space_air",          "%"},
    Row{Quantity::head_space_oxygen,       "head_space_oxygen",       "mL"},
    Row{Quantity::purge_cycles,            "purge_cycles",            "times"},
    Row{Quantity::heated_volume,           "heated_volume",           "L"},
    Row{Quantity::forced_final_gravity,    "forced_final_gravity",    "SG"},
};
// clang-format on

constexpr auto quantities = [] {
    std::array<Quantity, rows.size()> out{};
    for (std::size_t i = 0; i < rows.size(); ++i) out[i] = rows[i].quantity;
    return out;
}();

constexpr const Row& row_of(Quantity q) {
    for (const Row& row : rows)
        if (row.quantity == q) return row;
    return rows[0];
}

}  // namespace

std::string_view name(Quantity q) {
    return row_of(q).name;
}
std::string_view unit(Quantity q) {
    return row_of(q).unit;
}
std::span<const Quantity> all_quantities() {
    return quantities;
}

std::optional<Quantity> quantity_named(std::string_view text) {
    for (const Row& row : rows)
        if (row.name == text) return row.quantity;
    return std::nullopt;
}

}  // namespace gyled::base
