#include "daemon/notify/fallback.hpp"

#include <algorithm>

namespace gyled::notify {
namespace {

bool is_among(const std::vector<Failing>& failing, const std::string& messenger) {
    return std::any_of(failing.begin(), failing.end(),
                       [&](const Failing& one) { return one.messenger == messenger; });
}

}  // namespace

Fallback::Fallback(std::vector<annunciation::Recipient> configured, FallbackParameters parameters)
    : configured_{std::move(configured)}, parameters_{parameters} {}

void Fallback::offered(const QueuedNotice& queued) {
    waiting_.try_emplace({queued.notice.id, queued.messenger},
                         Waiting{.notice = queued.notice, .attempts = queued.attempts, .expired = false});
}

void Fallback::note(const DeliveryReport& report) {
    const auto found = waiting_.find({report.notice, report.messenger});
    if (found == waiting_.end()) return;
    found->second.attempts = report.attempts;
    found->second.expired = report.kind == DeliveryReport::Kind::expired;
    if (report.kind == DeliveryReport::Kind::delivered) waiting_.erase(found);
}

/// Those behind the messenger in the configuration, then those before it.
std::vector<std::string> Fallback::candidates(const annunciation::Notice& notice,
                                              const std::string& messenger) const {
    const auto own = std::find_if(configured_.begin(), configured_.end(),
                                  [&](const annunciation::Recipient& one) { return one.name == messenger; });
    std::vector<annunciation::Recipient> order{own, configured_.end()};
    order.insert(order.end(), configured_.begin(), own);
    std::vector<std::string> out;
    for (const annunciation::Recipient& one : order)
        if (one.name != messenger && !annunciation::is_for(notice, one)) out.push_back(one.name);
    return out;
}

std::vector<annunciation::Notice> Fallback::due(const std::vector<Failing>& failing) {
    std::vector<annunciation::Notice> out;
    for (auto it = waiting_.begin(); it != waiting_.end();) {
        if (!it->second.expired && it->second.attempts < parameters_.attempts) {
            ++it;
            continue;
        }
        const auto others = candidates(it->second.notice, it->first.second);
        auto chosen = std::find_if(others.begin(), others.end(), [&](const std::string& messenger) {
            return !is_among(failing, messenger);
        });
        if (chosen == others.end()) chosen = others.begin();
        if (chosen != others.end()) {
            out.push_back(std::move(it->second.notice));
            out.back().recipients = {*chosen};
        }
        it = waiting_.erase(it);
    }
    return out;
}

}  // namespace gyled::notify
