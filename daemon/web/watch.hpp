#pragma once
/// The watch itself, as it is told at /health, in /metrics, on the page and by `gyle status`: what of it does
/// not work. Pure; thread: the loop's.

#include <string_view>
#include <vector>

#include "daemon/base/impairment.hpp"
#include "daemon/json/document.hpp"
#include "daemon/web/backend.hpp"

namespace gyled::web {

struct WatchState {
    /// ok: all works. impaired: something does not, but every alarm is still judged and told. failing: an
    /// alarm may be missed.
    enum class Status { ok, impaired, failing } status = Status::ok;
    base::Impairments impairments;  ///< the app's, and the sensors that are silent
};
[[nodiscard]] std::string_view name(WatchState::Status status);
/// /health answers 503 when this is so, and only then.
[[nodiscard]] constexpr bool may_miss_an_alarm(WatchState::Status status) {
    return status == WatchState::Status::failing;
}

[[nodiscard]] WatchState watch_state(const Backend& backend);
/// Every name that an impairment can have, for metrics that count from 0.
[[nodiscard]] std::vector<std::string_view> impairment_names();
/// {"status", "impairments", "alarms"}: the alarms are those of the watch itself.
[[nodiscard]] json::Json watch_json(const Backend& backend);

}  // namespace gyled::web
