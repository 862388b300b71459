#include "sensors/decode/json.hpp"

#include <fmt/format.h>

#include <cmath>
#include <stdexcept>

#include "daemon/zone/zone.hpp"
#include "sensors/decode/number.hpp"
#include "sensors/decode/text.hpp"

namespace gyled::sensors {
namespace {

using base::Unexpected;
using nlohmann::json;

/// Clocks differ a little: a reading may seem to be taken so long after it arrived.
constexpr base::Duration clock_tolerance = std::chrono::minutes{2};

const json* find(const json& document, const JsonPointer& pointer) {
    try {
        return document.contains(pointer) ? &document.at(pointer) : nullptr;
    } catch (const json::exception&) {  // an array index beyond any array
        return nullptr;
    }
}

Refusal placed(Refusal refusal, const JsonPointer& pointer) {
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

/// "2026-11-25T10:00:00", as a clock on the wall says it: RFC 3339 but for the offset.
std::optional<zone::LocalTime> local_time(const std::string& text) {
    const auto as_if_utc = base::from_rfc3339(text + 'Z');
    if (!as_if_utc) return std::nullopt;
    return zone::LocalTime{as_if_utc->time_since_epoch()};
}

std::optional<Timestamp> moment_from_text(const std::string& text, const JsonPlace& place,
                                          Timestamp arrived) {
    const TimeUnit unit = place.time_unit;
    if (unit == TimeUnit::rfc3339 || unit == TimeUnit::automatic)
        if (const auto moment = base::from_rfc3339(text)) return moment;
    if (unit == TimeUnit::rfc3339) return std::nullopt;
    if (unit == TimeUnit::automatic)
        if (const auto local = local_time(text))
            return zone::moment_of(*local, place.zone, arrived + clock_tolerance);
    const Decoded count = read_number(text);
    if (!count || !count->unit.empty()) return std::nullopt;
    return moment_from_count(count->value, unit);
}

std::optional<Timestamp> moment_from(const json& value, const JsonPlace& place, Timestamp arrived) {
    if (value.is_string()) return moment_from_text(value.get_ref<const std::string&>(), place, arrived);
    if (value.is_number() && place.time_unit != TimeUnit::rfc3339)
        return moment_from_count(value.get<double>(), place.time_unit);
    return std::nullopt;
}

/// The text at the unit's pointer joins the sample, or is the reason why there is none.
Decoded with_unit(Sample sample, const json& document, const JsonPointer& pointer) {
    const auto refuse = [&](std::string detail) {
        return Unexpected{placed({"wrong_unit", std::move(detail)}, pointer)};
    };
    const json* unit = find(document, pointer);
    if (unit == nullptr || !unit->is_string())
        return refuse(fmt::format("expected a unit, found {}", unit == nullptr ? "nothing" : kind_of(*unit)));
    const std::string text{trimmed(unit->get_ref<const std::string&>())};
    if (text.empty()) return refuse("expected a unit, found an empty text");
    if (!sample.unit.empty() && sample.unit != text)
        return refuse(
            fmt::format("two units: '{}' beside the number, '{}'", excerpt(sample.unit), excerpt(text)));
    sample.unit = text;
    return sample;
}

bool speaks_of(const json& part, const JsonWhere& where) {
    const json* found = find(part, where.pointer);
    if (found == nullptr || found->is_structured()) return false;
    return found->is_string() ? found->get_ref<const std::string&>() == where.equals
                              : found->dump() == where.equals;
}

Decoded number_at(const json& document, const JsonPointer& pointer) {
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

JsonPointer json_pointer(const std::string& text) {
    try {
        return JsonPointer{text};
    } catch (const json::exception&) {
        throw std::invalid_argument(fmt::format(
            "'{}' is not a JSON pointer (RFC 6901): it starts with / and writes ~ as ~0, / as ~1", text));
    }
}

JsonPlace json_place(const std::string& value, const std::string& time, TimeUnit time_unit) {
    JsonPlace place;
    place.value = json_pointer(value);
    place.time_unit = time_unit;
    if (!time.empty()) place.time = json_pointer(time);
    return place;
}

std::vector<const json*> parts_of(const json& document, const JsonPlace& place) {
    if (!place.where) return {&document};
    std::vector<const json*> parts;
    if (!document.is_array()) {
        if (speaks_of(document, *place.where)) parts.push_back(&document);
        return parts;
    }
    for (const json& element : document)
        if (speaks_of(element, *place.where)) parts.push_back(&element);
    return parts;
}

Decoded decode_json(const json& document, const JsonPlace& place, Timestamp arrived) {
    Decoded number = number_at(document, place.value);
    if (number && place.unit) number = with_unit(*std::move(number), document, *place.unit);
    if (!number || !place.time) return number;
    const json* time = find(document, *place.time);
    if (time == nullptr || time->is_null()) return number;
    Sample sample = *std::move(number);
    sample.at = moment_from(*time, place, arrived);
    if (!sample.at) {
        const std::string found = time->is_string()
                                      ? fmt::format("'{}'", excerpt(time->get_ref<const std::string&>()))
                                      : std::string{kind_of(*time)};
        return Unexpected{placed({"bad_time", fmt::format("expected a time, found {}", found)}, *place.time)};
    }
    return sample;
}

}  // namespace gyled::sensors
