#pragma once
/// One vessel lived through, from its beginning to the end that the options set, its readings sent to an
/// outlet.

#include "sensors/virtual_vessel/options.hpp"
#include "sensors/virtual_vessel/outlet.hpp"
#include "sensors/virtual_vessel/plant/plant.hpp"

namespace gyled::virtual_vessel {

class Voyage {
public:
    /// `options` and `outlet` must outlive it.
    Voyage(const Options& options, Outlet& outlet);

    /// History as fast as the outlet takes it.
    void hurry(Duration span);
    /// In step with the clock, times the options' speed, until stopped or `span` of vessel time has passed.
    void keep_pace(std::optional<Duration> span);

    [[nodiscard]] std::size_t delivered() const { return delivered_; }

private:
    void deliver_what_is_due();
    void obey_commands();
    [[nodiscard]] std::string obey(const std::string& command);

    const Options& options_;
    Outlet& outlet_;
    Plant plant_;
    Instruments instruments_;
    Duration tick_;  ///< the shortest cadence
    std::size_t delivered_ = 0;
};

/// What really happens, as JSON lines each quarter of an hour over the scenario's length or `span`.
[[nodiscard]] std::string truth_lines(const Scenario& scenario, std::optional<Duration> span);

}  // namespace gyled::virtual_vessel
