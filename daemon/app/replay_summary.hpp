#pragma once
/// What a person reads after a replay: what happened, where it stands, and a small plot of each trend.

#include <cstdint>
#include <iosfwd>
#include <map>
#include <string>
#include <vector>

#include "daemon/display/display.hpp"
#include "daemon/cellar/cellar.hpp"

namespace gyled::app {

class ReplaySummary {
public:
    explicit ReplaySummary(display::Display display) : display_{std::move(display)} {}

    void take(const cellar::Effects& effects);
    void print(std::ostream& out, const cellar::Cellar& core, std::uint64_t readings,
               const std::map<std::string, std::uint64_t>& rejected, double wall_seconds) const;

private:
    struct Point {
        base::Timestamp at;
        double value;
    };
    display::Display display_;
    std::vector<std::pair<base::Timestamp, std::string>> events_;
    std::map<std::pair<std::string, base::Quantity>, std::vector<Point>> trends_;
};

/// "▁▂▃▄▅▆▇█" over `width` columns; a blank where there is no data.
[[nodiscard]] std::string sparkline(const std::vector<double>& columns);

}  // namespace gyled::app
