#include "sensors/decode/senml.hpp"

#include <fmt/format.h>

#include <cmath>

#include "sensors/decode/text.hpp"

namespace gyled::sensors {
namespace {

using base::Result;
using base::Unexpected;
using nlohmann::json;

/// Version 10 is RFC 8428 itself, lower ones its drafts; 26 adds the secondary units of RFC 8798, as RFC 9100
/// counts.
bool is_supported_version(double version) {
    return version <= 10 || version == 26;
}

/// The base fields in force, section 4.1. They stay until a later record gives another.
struct Base {
    std::string name;
    std::string unit;
    double time = 0;
    double value = 0;
};

/// The number under `key`, or `fallback` when the key is absent. Nothing when it is not a number.
std::optional<double> number_or(const json& record, const char* key, double fallback) {
    const auto field = record.find(key);
    if (field == record.end()) return fallback;
    if (!field->is_number()) return std::nullopt;
    return field->get<double>();
}

std::optional<std::string> text_or(const json& record, const char* key, const std::string& fallback) {
    const auto field = record.find(key);
    if (field == record.end()) return fallback;
    if (!field->is_string()) return std::nullopt;
    return field->get<std::string>();
}

/// What makes the whole pack unusable in this record, or nothing.
std::optional<Refusal> refuse_pack(const json& record, std::size_t index) {
    if (!record.is_object())
        return Refusal{"not_senml",
                       fmt::format("record {}: expected an object, found {}", index, kind_of(record))};
    for (const auto& [key, value] : record.items())
        if (key.ends_with('_'))
            return Refusal{
                "must_understand",
                fmt::format("record {}: the field '{}' must be understood and is not", index, excerpt(key))};
    const auto version = number_or(record, "bver", 10);
    if (!version || !is_supported_version(*version))
        return Refusal{"unsupported_version",
                       fmt::format("record {}: the base version is not 10 or 26", index)};
    return std::nullopt;
}

/// Takes over the base fields of a record. False when one has the wrong type.
bool take_base_fields(Base& base, const json& record) {
    const auto name = text_or(record, "bn", base.name);
    const auto unit = text_or(record, "bu", base.unit);
    const auto time = number_or(record, "bt", base.time);
    const auto value = number_or(record, "bv", base.value);
    if (!name || !unit || !time || !value) return false;
    base = {*name, *unit, *time, *value};
    return true;
}

/// A record that only sets base fields, as in the RFC's "setting an actuator", is no measurement.
bool is_measurement(const json& record) {
    for (const char* field : {"n", "u", "v", "vs", "vb", "vd", "s", "t", "ut"})
        if (record.contains(field)) return true;
    return false;
}

Refusal refuse_missing_value(const json& record) {
    constexpr std::pair<const char*, const char*> others[] = {
        {"vs", "a string (vs)"}, {"vb", "a boolean (vb)"}, {"vd", "data (vd)"}, {"s", "only a sum (s)"}};
    for (const auto& [field, words] : others)
        if (record.contains(field))
            return {"not_a_number", fmt::format("expected a number (v), found {}", words)};
    return {"no_value", "no value (v)"};
}

Decoded read_record(const json& record, const Base& base, Timestamp arrived) {
    if (!record.contains("v")) return Unexpected{refuse_missing_value(record)};
    const auto value = number_or(record, "v", 0);
    const auto time = number_or(record, "t", 0);
    const auto unit = text_or(record, "u", base.unit);
    if (!value) return Unexpected{Refusal{"not_a_number", fmt::format("v is {}", kind_of(record["v"]))}};
    if (!time) return Unexpected{Refusal{"bad_time", fmt::format("t is {}", kind_of(record["t"]))}};
    if (!unit) return Unexpected{Refusal{"bad_record", fmt::format("u is {}", kind_of(record["u"]))}};

    Sample sample{.value = base.value + *value, .unit = *unit, .at = {}};
    if (!std::isfinite(sample.value))
        return Unexpected{Refusal{"not_finite", "base value plus value is not finite"}};

    const double seconds = base.time + *time;
    if (seconds == 0) return sample;                // "roughly now"
    constexpr double first_absolute = 268'435'456;  // 2^28 s: in 1978
    sample.relative_time = seconds < first_absolute;
    sample.at = moment_from_seconds(sample.relative_time ? base::unix_seconds(arrived) + seconds : seconds);
    if (!sample.at) return Unexpected{Refusal{"bad_time", fmt::format("a time of {} s", seconds)}};
    return sample;
}

}  // namespace

SenmlRecords decode_senml(const json& pack, std::string_view name, Timestamp arrived) {
    if (!pack.is_array())
        return {{},
                {Refusal{"not_senml", fmt::format("expected an array of records, found {}", kind_of(pack))}}};
    SenmlRecords found;
    Base base;
    for (std::size_t index = 0; index < pack.size(); ++index) {
        const json& record = pack[index];
        if (auto refusal = refuse_pack(record, index)) return {{}, {*std::move(refusal)}};
        const auto own_name = text_or(record, "n", "");
        if (!take_base_fields(base, record) || !own_name)
            return {{}, {Refusal{"bad_record", fmt::format("record {}: a field of the wrong type", index)}}};
        if (base.name + *own_name != name || !is_measurement(record)) continue;
        Decoded sample = read_record(record, base, arrived);
        if (sample)
            found.samples.push_back(*std::move(sample));
        else
            found.refusals.push_back(
                {sample.error().reason, fmt::format("record {}: {}", index, sample.error().detail)});
    }
    if (found.samples.empty() && found.refusals.empty())
        found.refusals.push_back({"no_such_name", fmt::format("no record is named '{}'", excerpt(name))});
    return found;
}

}  // namespace gyled::sensors
