#include "sensors/decode/json.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "sensors/decode/number.hpp"
#include "sensors/decode/text.hpp"

namespace gyled::sensors {
namespace {

using base::Unexpected;
using nlohmann::json;
using Pointer = json::json_pointer;

Pointer pointer_or_throw(const std::string& text) {
    try {
        return Pointer{text};
    } catch (const json::exception&) {
        throw std::invalid_argument(fmt::format(
            "'{}' is not a JSON pointer (RFC 6901): it starts with / and writes ~ as ~0, / as ~1", text));
    }
}

const json* find(const json& document, const Pointer& pointer) {
    try {
        return document.contains(pointer) ? &document.at(pointer) : nullptr;
    } catch (const json::exception&) {  // an array index beyond any array
        return nullptr;
    }
}

Refusal placed(Refusal refusal, const Pointer& pointer) {
    refusal.detail += fmt::format(" at {}", excerpt(pointer.to_string(), 200));
    return refusal;
}

/// Seconds or milliseconds; when the configuration leaves it open, a count above 1e11 is in milliseconds, for
/// as seconds it would lie beyond the year 5000.
std::optional<Timestamp> moment_from_count(double count, TimeUnit unit) {
    const bool in_milliseconds =
        unit == TimeUnit::milliseconds || (unit == TimeUnit::automatic && count > 1e11);
    return moment_from_seconds(in_milliseconds ? count / 1000 : count);
}

std::optional<Timestamp> moment_from_text(const std::string& text, TimeUnit unit) {
    if (unit == TimeUnit::rfc3339 || unit == TimeUnit::automatic)
        if (const auto moment = base::from_rfc3339(text)) return moment;
    if (unit == TimeUnit::rfc3339) return std::nullopt;
    const Decoded count = read_number(text);
    if (!count || !count->unit.empty()) return std::nullopt;
    return moment_from_count(count->value, unit);
}

std::optional<Timestamp> moment_from(const json& value, TimeUnit unit) {
    if (value.is_string()) return moment_from_text(value.get_ref<const std::string&>(), unit);
    if (value.is_number() && unit != TimeUnit::rfc3339) return moment_from_count(value.get<double>(), unit);
    return std::nullopt;
}

Decoded number_at(const json& document, const Pointer& pointer) {
    const json* value = find(document, pointer);
    if (value == nullptr) return Unexpected{placed({"no_such_pointer", "nothing"}, pointer)};
    if (value->is_number()) return Sample{.value = value->get<double>(), .unit = {}, .at = {}};
    if (value->is_null()) return Unexpected{placed({"null_value", "expected a number, found null"}, pointer)};
    if (!value->is_string())
        return Unexpected{
            placed({"not_a_number", fmt::format("expected a number, found {}", kind_of(*value))}, pointer)};
    Decoded in_string = read_number(value->get_ref<const std::string&>());
    if (!in_string) return Unexpected{placed(in_string.error(), pointer)};
    return in_string;
}

}  // namespace

JsonPlace json_place(const SensorSpec& spec) {
    JsonPlace place{.value = pointer_or_throw(spec.pointer), .time = {}, .time_unit = spec.time_unit};
    if (!spec.time_pointer.empty()) place.time = pointer_or_throw(spec.time_pointer);
    return place;
}

Decoded decode_json(const json& document, const JsonPlace& place) {
    Decoded number = number_at(document, place.value);
    if (!number || !place.time) return number;
    const json* time = find(document, *place.time);
    if (time == nullptr || time->is_null()) return number;
    Sample sample = *std::move(number);
    sample.at = moment_from(*time, place.time_unit);
    if (!sample.at) {
        const std::string found = time->is_string()
                                      ? fmt::format("'{}'", excerpt(time->get_ref<const std::string&>()))
                                      : std::string{kind_of(*time)};
        return Unexpected{placed({"bad_time", fmt::format("expected a time, found {}", found)}, *place.time)};
    }
    return sample;
}

}  // namespace gyled::sensors
