#pragma once
/// What `gyle replay --json` prints: an object a line, each moment's beliefs once: what was believed then,
/// not later.

#include <iosfwd>
#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "daemon/cellar/cellar.hpp"

namespace gyled::cli {

/// Thread: one. The stream must outlive it and is not checked here.
class ReplayLines {
public:
    using Json = nlohmann::ordered_json;

    /// Beliefs are printed for moments that are multiples of `every` of event time.
    ReplayLines(std::ostream& out, base::Duration every) : out_{out}, every_{every} {}

    void print(const cellar::Effects& effects, const cellar::Cellar& core);
    void print(const Json& line);

private:
    void print(const alarms::Transition& transition);
    void print(const cellar::FactChange& change);
    void print(const std::vector<cellar::EstimatePoint>& estimates, const cellar::Cellar& core);

    std::ostream& out_;
    base::Duration every_;
    std::map<std::string, base::Timestamp> printed_until_;  ///< by vessel
};

}  // namespace gyled::cli
