#pragma once
/// What a person reads after a replay: what happened, where it stands, and a small plot of each trend.

#include <cstdint>
#include <iosfwd>
#include <map>
#include <string>
#include <vector>

#include "daemon/brewing/face.hpp"
#include "daemon/cellar/cellar.hpp"

namespace gyled::app {

class ReplaySummary {
public:
    explicit ReplaySummary(brewing::Face face) : face_{std::move(face)} {}

    void take(const cellar::Effects& effects);
    void print(std::ostream& out, const cellar::Cellar& core, std::uint64_t readings,
               const std::map<std::string, std::uint64_t>& rejected, double wall_seconds) const;

private:
    struct Point {
        brewing::Timestamp at;
        double value;
    };
    brewing::Face face_;
    std::vector<std::pair<brewing::Timestamp, std::string>> events_;
    std::map<std::pair<std::string, brewing::Quantity>, std::vector<Point>> trends_;
};

/// "▁▂▃▄▅▆▇█" over `width` columns; a blank where there is no data.
[[nodiscard]] std::string sparkline(const std::vector<double>& columns);

}  // namespace gyled::app
