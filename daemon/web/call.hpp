#pragma once
/// Within the API: one matched request on its way to its handler.

#include "daemon/json/document.hpp"
#include "daemon/web/api.hpp"
#include "daemon/web/message.hpp"
#include "daemon/web/target.hpp"

namespace gyled::web {

using json::Json;
using json::text;

struct Call {
    const Request& request;
    std::string id;  ///< what stood for {id} in the route
    std::map<std::string, std::string> query;
    Backend& backend;
};

[[nodiscard]] inline Reply json_reply(const Json& document) {
    return {.body = text(document)};
}

/// A moment as people and programs write it: RFC 3339, or Unix milliseconds. From 1970 to 2200.
[[nodiscard]] std::optional<Timestamp> parse_moment(std::string_view text);
/// A whole number between the two, both included.
[[nodiscard]] std::optional<std::size_t> parse_count(std::string_view text, std::size_t least,
                                                     std::size_t most);
[[nodiscard]] Reply no_such_vessel(const Call& call);

// reading (reads.cpp)
[[nodiscard]] Reply index_reply(const Call& call);
[[nodiscard]] Reply vessels_reply(const Call& call);
[[nodiscard]] Reply vessel_reply(const Call& call);
[[nodiscard]] Handled trend_answer(const Call& call);
[[nodiscard]] Handled batches_answer(const Call& call);
[[nodiscard]] Handled alarms_answer(const Call& call);
[[nodiscard]] Reply sensors_reply(const Call& call);
[[nodiscard]] Reply health_reply(const Call& call);
[[nodiscard]] Reply metrics_reply(const Call& call);
[[nodiscard]] Reply events_reply(const Call& call);

// what has been learnt (learned.cpp)
[[nodiscard]] Reply learned_reply(const Call& call);
[[nodiscard]] Reply forget_vessel(const Call& call);
[[nodiscard]] Reply cultures_reply(const Call& call);
[[nodiscard]] Reply forget_culture(const Call& call);
struct Span {
    Timestamp from, to;
};
/// from and to; the last day when not given.
[[nodiscard]] base::Result<Span, Reply> span_of(const Call& call);

// may it be packaged? (packaging.cpp)
[[nodiscard]] Handled packaging_answer(const Call& call);

// what would come of it (what_if.cpp)
[[nodiscard]] Handled what_if_answer(const Call& call);
[[nodiscard]] Handled carbonation_answer(const Call& call);

// stored values out and in (values.cpp)
[[nodiscard]] Handled values_answer(const Call& call);
[[nodiscard]] Reply import_readings(const Call& call);

// the record of a batch (record.cpp)
[[nodiscard]] Handled report_answer(const Call& call);

// writing (writes.cpp)
[[nodiscard]] Reply start_batch(const Call& call);
[[nodiscard]] Reply end_batch(const Call& call);
[[nodiscard]] Reply enter_stage(const Call& call);
[[nodiscard]] Reply undo_step(const Call& call);
[[nodiscard]] Reply take_measurement(const Call& call);
[[nodiscard]] Reply undo_measurement(const Call& call);
[[nodiscard]] Reply correct_batch(const Call& call);
[[nodiscard]] Reply acknowledge(const Call& call);
[[nodiscard]] Reply shelve(const Call& call);

}  // namespace gyled::web
