#include "daemon/app/ledger.hpp"

#include <spdlog/spdlog.h>

#include <chrono>

namespace gyled::app {
namespace {

using namespace std::chrono_literals;

/// A group this large is written at once: under load the commit interval shrinks by itself.
constexpr std::size_t readings_at_once = 5'000;
/// While the store fails, so many readings are kept in memory (some 30 MiB), then the oldest go.
constexpr std::size_t readings_kept_max = 200'000;
constexpr auto retry_store_after = 5s;

}  // namespace

Ledger::Ledger(storage::Store& store, const config::Config& config)
    : store_{store}, commit_every_{config.storage.commit_every} {
    for (const auto& messenger : config.messengers)
        messengers_.emplace_back(messenger.name, messenger.at_least);
}

void Ledger::add(cellar::Effects&& effects) {
    effects.problems.clear();
    if (effects.empty()) return;
    urgent_ = urgent_ || !effects.transitions.empty() || !effects.notices.empty() || !effects.batches.empty();
    group_.append(std::move(effects));
    if (group_.estimates.size() > readings_kept_max) {
        const auto extra = group_.estimates.size() - readings_kept_max;
        group_.estimates.erase(group_.estimates.begin(),
                               group_.estimates.begin() + static_cast<std::ptrdiff_t>(extra));
    }
    if (group_.readings.size() > readings_kept_max) {
        const auto extra = group_.readings.size() - readings_kept_max;
        group_.readings.erase(group_.readings.begin(),
                              group_.readings.begin() + static_cast<std::ptrdiff_t>(extra));
        dropped_ += extra;
    }
}

bool Ledger::is_due(base::Timestamp now) const {
    if (group_.empty()) return false;
    if (!store_ok() && last_attempt_ && now - *last_attempt_ < retry_store_after) return false;
    return urgent_ || group_.readings.size() >= readings_at_once || !last_commit_ ||
           now - *last_commit_ >= commit_every_;
}

bool Ledger::commit(base::Timestamp now) {
    if (group_.empty()) return true;
    last_attempt_ = now;
    const auto began = std::chrono::steady_clock::now();
    try {
        stored_ += store_.write(group_, [this](const annunciation::Notice& notice) {
            std::vector<std::string> names;
            for (const auto& [name, at_least] : messengers_)
                if (notice.priority >= at_least || notice.kind == annunciation::Notice::Kind::drill)
                    names.push_back(name);
            return names;
        });
    } catch (const storage::StorageError& error) {
        if (problem_ != error.what()) spdlog::error("{}", error.what());
        problem_ = error.what();
        return false;
    }
    if (!problem_.empty()) spdlog::info("the store works again");
    problem_.clear();
    group_ = {};
    urgent_ = false;
    last_commit_ = now;
    last_commit_seconds_ = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    return true;
}

}  // namespace gyled::app
