#pragma once
/// A running batch can be corrected: what was typed wrong or became known later. Everything derived follows,
/// because the estimators start anew from their own series. Pure functions over plain values; gravities SG
/// 20/20, litres.

#include <optional>
#include <string>
#include <vector>

#include "daemon/base/result.hpp"
#include "daemon/batch/record.hpp"

namespace gyled::batch {

/// What is not given stays as it is.
struct Correction {
    struct StageTime {
        std::size_t entry = 0;  ///< into the record's entered stages; 0 is the batch's start, too
        base::Timestamp at;
    };
    std::optional<std::string> name{};
    std::optional<double> original_gravity{}, expected_final_gravity{};
    std::optional<double> volume_l{};
    std::optional<double> target_co2_volumes{};
    std::optional<base::Culture> culture{};
    std::optional<std::string> culture_name{};  ///< what its earlier batches taught becomes the prior anew
    std::optional<base::Timestamp> started{};
    std::vector<StageTime> stage_times{};
};

/// The record after the correction, or the reason in words why it cannot be so: a volume that does not fit, a
/// gravity that is none, stages out of order or in the future, nothing to correct. `now`: no stage begins
/// after it.
[[nodiscard]] base::Result<Record, std::string> corrected(const Record& record, const Correction& correction,
                                                          const VesselSpec& vessel, base::Timestamp now);

/// "original gravity 1.042, volume 20.5 L": what was understood, for the answer. Canonical units.
[[nodiscard]] std::string summary(const Correction& correction);

}  // namespace gyled::batch
