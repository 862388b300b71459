#include "daemon/notify/reachability.hpp"

namespace gyled::notify {

void Reachability::note(const DeliveryReport& report, SteadyTime now) {
    if (report.kind == DeliveryReport::Kind::delivered) {
        troubles_.erase(report.messenger);
        return;
    }
    Trouble& trouble = troubles_[report.messenger];
    if (trouble.attempts++ == 0) {
        trouble.began = now;
        trouble.failing = {.messenger = report.messenger, .words = {}, .since = report.at};
    }
    trouble.failing.words = report.words;
}

std::vector<Failing> Reachability::failing(SteadyTime now) const {
    std::vector<Failing> out;
    for (const auto& [messenger, trouble] : troubles_)
        if (trouble.attempts >= parameters_.attempts || now - trouble.began >= parameters_.lasting)
            out.push_back(trouble.failing);
    return out;
}

}  // namespace gyled::notify
