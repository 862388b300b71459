#include "daemon/batch/correction.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/batch/measurement.hpp"
#include "daemon/brewing/plausible.hpp"

namespace gyled::batch {
namespace {

using base::Unexpected;

/// The objection to a gravity that is none.
std::optional<std::string> gravity_objection(const std::optional<double>& sg) {
    if (!sg || brewing::is_plausible_gravity(*sg)) return std::nullopt;
    return fmt::format("A gravity lies between {:.3f} and {:.3f} SG{}", brewing::plausible_gravity.low,
                       brewing::plausible_gravity.high, likely_gravity(*sg));
}

bool is_empty(const Correction& c) {
    return !c.name && !c.original_gravity && !c.expected_final_gravity && !c.volume_l &&
           !c.target_co2_volumes && !c.culture && !c.culture_name && !c.started && c.stage_times.empty();
}

std::optional<std::string> objection(const Correction& c, const VesselSpec& vessel) {
    if (is_empty(c)) return "Nothing to correct was given.";
    if (c.name && c.name->empty()) return "A batch needs a name.";
    if (auto wrong = gravity_objection(c.original_gravity)) return wrong;
    if (auto wrong = gravity_objection(c.expected_final_gravity)) return wrong;
    if (c.volume_l && !(std::isfinite(*c.volume_l) && *c.volume_l > 0)) return "A volume is more than 0 L.";
    if (c.volume_l && *c.volume_l > vessel.total_volume_l)
        return fmt::format("{:.1f} L do not fit into {}: it holds {:.1f} L.", *c.volume_l, vessel.id,
                           vessel.total_volume_l);
    if (c.target_co2_volumes && !brewing::is_plausible_co2(*c.target_co2_volumes))
        return fmt::format("A target lies between {:.0f} and {:.0f} volumes of CO2.",
                           brewing::plausible_co2_volumes.low, brewing::plausible_co2_volumes.high);
    return std::nullopt;
}

std::optional<std::string> set_times(Record& record, const Correction& c, base::Timestamp now) {
    if (c.started) record.stages.front().at = *c.started;
    for (const Correction::StageTime& time : c.stage_times) {
        if (time.entry >= record.stages.size())
            return fmt::format("{} stages were entered; there is no number {}.", record.stages.size(),
                               time.entry + 1);
        record.stages[time.entry].at = time.at;
    }
    record.started = record.stages.front().at;
    const auto earlier = [](const Record::Entered& a, const Record::Entered& b) { return a.at < b.at; };
    if (!std::is_sorted(record.stages.begin(), record.stages.end(), earlier))
        return "A stage cannot begin before the one it follows.";
    if (record.stages.back().at > now) return "A stage that has begun cannot begin in the future.";
    return std::nullopt;
}

template <class T>
void take(T& to, const std::optional<T>& from) {
    if (from) to = *from;
}
template <class T>
void take(std::optional<T>& to, const std::optional<T>& from) {
    if (from) to = from;
}

}  // namespace

base::Result<Record, std::string> corrected(const Record& record, const Correction& c,
                                            const VesselSpec& vessel, base::Timestamp now) {
    if (auto wrong = objection(c, vessel)) return Unexpected{std::move(*wrong)};
    Record after = record;
    take(after.plan.name, c.name);
    take(after.plan.original_gravity, c.original_gravity);
    take(after.plan.expected_final_gravity, c.expected_final_gravity);
    take(after.plan.volume_l, c.volume_l);
    take(after.plan.target_co2_volumes, c.target_co2_volumes);
    take(after.plan.culture, c.culture);
    take(after.plan.culture_name, c.culture_name);
    const auto& plan = after.plan;
    if (plan.original_gravity && plan.expected_final_gravity &&
        *plan.expected_final_gravity >= *plan.original_gravity)
        return Unexpected{std::string{"The expected final gravity must lie below the original gravity."}};
    if (auto wrong = set_times(after, c, now)) return Unexpected{std::move(*wrong)};
    return after;
}

std::string summary(const Correction& c) {
    std::vector<std::string> parts;
    if (c.name) parts.push_back("name " + *c.name);
    if (c.original_gravity) parts.push_back(fmt::format("original gravity {:.4f} SG", *c.original_gravity));
    if (c.expected_final_gravity)
        parts.push_back(fmt::format("expected final gravity {:.4f} SG", *c.expected_final_gravity));
    if (c.volume_l) parts.push_back(fmt::format("volume {:.1f} L", *c.volume_l));
    if (c.target_co2_volumes)
        parts.push_back(fmt::format("target {:.2f} volumes of CO2", *c.target_co2_volumes));
    if (c.culture) parts.push_back(fmt::format("culture {}", base::name(*c.culture)));
    if (c.culture_name) parts.push_back("culture name " + *c.culture_name);
    if (c.started) parts.push_back("started " + base::to_rfc3339(*c.started));
    for (const auto& time : c.stage_times)
        parts.push_back(fmt::format("stage {} began {}", time.entry + 1, base::to_rfc3339(time.at)));
    return fmt::format("{}", fmt::join(parts, ", "));
}

}  // namespace gyled::batch
