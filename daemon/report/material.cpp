#include "daemon/report/material.hpp"

namespace gyled::report {

Timestamp pitched(const batch::Record& batch) {
    for (const batch::Record::Entered& entered : batch.stages)
        if (entered.index < batch.plan.stages.size() &&
            base::is_cold_side(batch.plan.stages[entered.index].kind))
            return entered.at;
    return batch.started;
}

bool has_brew_day(const batch::Record& batch) {
    return pitched(batch) > batch.started;
}

}  // namespace gyled::report
