#include "sensors/calibrate/curve.hpp"

#include <algorithm>

namespace gyled::sensors {

double polynomial(std::span<const double> coefficients, double x) {
    if (coefficients.empty()) return x;
    double sum = 0;
    for (std::size_t i = coefficients.size(); i-- > 0;) sum = sum * x + coefficients[i];
    return sum;
}

std::optional<double> look_up(std::span<const std::pair<double, double>> table, double raw) {
    const double reach = table_reach * (table.back().first - table.front().first);
    if (!(raw >= table.front().first - reach && raw <= table.back().first + reach)) return std::nullopt;
    // The segment that ends at the first point above raw; at either end the outermost one.
    const auto above = std::upper_bound(table.begin() + 1, table.end() - 1, raw,
                                        [](double x, const auto& point) { return x < point.first; });
    const auto& [x0, y0] = *(above - 1);
    const auto& [x1, y1] = *above;
    return y0 + (y1 - y0) * (raw - x0) / (x1 - x0);
}

}  // namespace gyled::sensors
