#include "sensors/plausibility/range.hpp"

#include <limits>

namespace gyled::sensors {
namespace {

using enum base::Quantity;

struct Row {
    base::Quantity quantity;
    Range usual;     ///< a pressure: gauge
    Range absolute;  ///< the same, of an absolute transducer; for head and supply pressure only
};

// clang-format off
constexpr Row rows[] = {
    {beer_temperature,    {-5, 110},      {-5, 110}},     // degC: supercooled beer to a rolling boil under pressure
    {jacket_temperature,  {-40, 160},     {-40, 160}},    // degC: glycol to steam
    {room_temperature,    {-30, 60},      {-30, 60}},     // degC: a shed in winter to a roof in August
    {gravity,             {0.980, 1.200}, {0.980, 1.200}},// SG: dry cider to a wort of 45 degP
    {head_pressure,       {-105, 1000},   {0, 1100}},     // kPa: full vacuum to far beyond any plate
    {supply_pressure,     {-105, 25'000}, {0, 25'100}},   // kPa: up to a CO2 cylinder in the sun
    {barometric_pressure, {50, 110},      {50, 110}},     // kPa: 5500 m up to the deepest valley
    {battery_voltage,     {0, 60},        {0, 60}},       // V: extra-low voltage
    {signal_strength,     {-150, 30},     {-150, 30}},    // dBm: thermal noise to a watt at the antenna
};
// clang-format on

}  // namespace

Range default_range(base::Quantity q, bool absolute) {
    for (const Row& row : rows)
        if (row.quantity == q) return absolute ? row.absolute : row.usual;
    return {-std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
}

}  // namespace gyled::sensors
