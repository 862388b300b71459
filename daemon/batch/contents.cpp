#include "daemon/batch/contents.hpp"

#include <algorithm>
#include <span>

namespace gyled::batch {
namespace {

Contents after(Contents before, StageKind kind) {
    switch (kind) {
        case StageKind::clean:
            return {.liquid = false, .co2 = false};
        case StageKind::rinse:
        case StageKind::sanitise:
            return {.liquid = false, .co2 = before.co2};
        case StageKind::purge:
        case StageKind::tightness:
            return {.liquid = before.liquid, .co2 = true};
        default:
            return {.liquid = true, .co2 = base::is_cold_side(kind)};
    }
}

Contents after_all(std::span<const Record::Entered> stages, const Plan& plan) {
    Contents now;
    for (const Record::Entered& entered : stages) now = after(now, plan.stages.at(entered.index).kind);
    return now;
}

}  // namespace

Contents contents_found(const Record& record) {
    return after_all(std::span{record.stages}.first(std::max<std::size_t>(record.stages.size(), 1) - 1),
                     record.plan);
}

Contents contents(const Record& record) {
    return after_all(record.stages, record.plan);
}

}  // namespace gyled::batch
