#pragma once
/// What the tests of the store write down: a scratch folder, and points of the Harbour cellar.

#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <string>

#include "daemon/storage/store.hpp"

namespace gyled::storage {

using base::Duration;
using namespace std::chrono_literals;

/// A folder of its own for each test, gone afterwards.
class Scratch {
public:
    Scratch() {
        std::string pattern = (std::filesystem::temp_directory_path() / "gyled-store-XXXXXX").string();
        if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error{"no scratch folder"};
        folder_ = pattern;
    }
    ~Scratch() {
        std::error_code ignored;
        std::filesystem::permissions(folder_, std::filesystem::perms::owner_all, ignored);
        std::filesystem::remove_all(folder_, ignored);
    }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    [[nodiscard]] std::string file(const std::string& name = "gyled.db") const { return folder_ / name; }
    [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }

private:
    std::filesystem::path folder_;
};

/// Milliseconds, seconds, hours ... after Sunday 1 March 2026, 18:00 UTC: the day that Harbour Mild was
/// pitched.
inline Timestamp pitched(Duration later = 0ms) {
    return *base::from_rfc3339("2026-03-01T18:00:00Z") + later;
}

inline cellar::ReadingPoint gravity_reading(Duration later, double sg, const std::string& vessel = "north") {
    return {.sensor = vessel + "-gravity",
            .vessel = vessel,
            .quantity = Quantity::gravity,
            .at = pitched(later),
            .arrived = pitched(later),
            .value = sg};
}

inline cellar::ReadingPoint temperature_reading(Duration later, double celsius,
                                                const std::string& vessel = "north") {
    return {.sensor = vessel + "-probe",
            .vessel = vessel,
            .quantity = Quantity::beer_temperature,
            .at = pitched(later),
            .arrived = pitched(later),
            .value = celsius};
}

inline cellar::EstimatePoint belief(Quantity quantity, Duration later, base::Estimate estimate,
                                    const std::string& vessel = "north") {
    return {.vessel = vessel, .quantity = quantity, .at = pitched(later), .estimate = estimate};
}

inline Commit readings(std::vector<cellar::ReadingPoint> points) {
    Commit group;
    group.effects.readings = std::move(points);
    return group;
}
inline Commit estimates(std::vector<cellar::EstimatePoint> points) {
    Commit group;
    group.effects.estimates = std::move(points);
    return group;
}

inline alarms::Transition step(const std::string& id, alarms::AlarmState state, Duration later,
                               const std::string& text = "") {
    return {.alarm = id,
            .vessel = "north",
            .rule = "temperature_out_of_band",
            .subject = "",
            .state = state,
            .priority = alarms::Priority::medium,
            .at = pitched(later),
            .raised_at = pitched(1h),
            .text = text,
            .value = 20.8,
            .limit = 20.5,
            .title = "North is warm: 20.8 °C",
            .annunciated = true};
}

inline annunciation::Notice notice(const std::string& id, std::vector<std::string> recipients = {}) {
    return {.id = id,
            .thread = "north/temperature_out_of_band/1",
            .kind = annunciation::Notice::Kind::raised,
            .vessel = "north",
            .rule = "temperature_out_of_band",
            .priority = alarms::Priority::high,
            .title = "North is warm: 20.8 °C",
            .text = "Above 20.5 °C for 20 min.",
            .at = pitched(1h),
            .recipients = std::move(recipients)};
}

/// Every reading, in order.
inline std::vector<cellar::ReadingPoint> all_readings(const Queries& store, const std::string& vessel = "") {
    std::vector<cellar::ReadingPoint> out;
    store.for_each_reading(vessel, Timestamp{} - 24h, Timestamp::max(),
                           [&](const auto& point) { out.push_back(point); });
    return out;
}

}  // namespace gyled::storage
