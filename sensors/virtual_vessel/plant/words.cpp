#include "sensors/virtual_vessel/plant/words.hpp"

#include <charconv>
#include <cmath>

namespace gyled::virtual_vessel {
namespace {

using base::Unexpected;

/// Takes a plain decimal number off the front. Nothing when there is none.
std::optional<double> take_number(std::string_view& text) {
    if (text.empty() || !((text[0] >= '0' && text[0] <= '9') || text[0] == '.')) return std::nullopt;
    double value = 0;
    const auto [end, error] =
        std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (error != std::errc{}) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return value;
}

std::optional<double> take_unit_in_hours(std::string_view& text) {
    struct Unit {
        std::string_view name;
        double hours;
    };
    for (const Unit& unit :
         {Unit{"min", 1.0 / 60}, Unit{"d", 24}, Unit{"h", 1}, Unit{"m", 1.0 / 60}, Unit{"s", 1.0 / 3600}})
        if (text.starts_with(unit.name)) {
            text.remove_prefix(unit.name.size());
            return unit.hours;
        }
    return std::nullopt;
}

/// What stands before `mark`; drops both from `text`.
std::string_view take_until(std::string_view& text, char mark) {
    const std::size_t at = text.find(mark);
    const std::string_view head = text.substr(0, at);
    text = at == std::string_view::npos ? std::string_view{} : text.substr(at + 1);
    return head;
}

std::string troubles_known() {
    std::string all;
    for (const TroubleKind kind :
         {TroubleKind::stuck, TroubleKind::chiller_failure, TroubleKind::heater_failure,
          TroubleKind::shut_vent, TroubleKind::shut_supply, TroubleKind::leak, TroubleKind::sensor_dropout,
          TroubleKind::late_creep})
        all += (all.empty() ? "" : ", ") + std::string{name(kind)};
    return all;
}

/// Reads one "key=value" into `trouble`; the reason when it cannot.
std::optional<std::string> set(Trouble& trouble, std::string_view part) {
    std::string_view value = part;
    const std::string_view key = take_until(value, '=');
    if (key == "for") {
        const auto span = duration_from(value);
        if (!span) return "'" + std::string{value} + "' is no span of time such as 6h";
        trouble.hours = static_cast<double>(span->count()) / 3'600'000.0;
        return std::nullopt;
    }
    if (key == "amount") {
        const auto number = take_number(value);
        const double most = trouble.kind == TroubleKind::stuck ? 1 : 100;
        if (!number || !value.empty() || *number > most)
            return "amount wants a number from 0 to " + std::to_string(static_cast<int>(most));
        trouble.amount = *number;
        return std::nullopt;
    }
    if (key == "sensor") {
        trouble.sensor = base::quantity_named(value);
        if (!trouble.sensor || !base::is_measured(*trouble.sensor))
            return "'" + std::string{value} + "' is nothing that an instrument measures";
        return std::nullopt;
    }
    return "'" + std::string{part} + "' is not for=, amount= or sensor=";
}

}  // namespace

std::optional<Duration> duration_from(std::string_view text) {
    if (text == "0") return Duration{0};
    double hours = 0;
    if (text.empty()) return std::nullopt;
    while (!text.empty()) {
        const auto number = take_number(text);
        if (!number) return std::nullopt;
        const auto unit = take_unit_in_hours(text);
        if (!unit) return std::nullopt;
        hours += *number * *unit;
    }
    if (!(hours <= 100 * 365.25 * 24)) return std::nullopt;
    return Duration{std::llround(hours * 3'600'000.0)};
}

base::Result<TypedTrouble, std::string> trouble_from(std::string_view text) {
    std::string_view rest = text;
    std::string_view head = take_until(rest, ',');
    const bool has_offset = head.find('@') != std::string_view::npos;
    const std::string_view kind_name = take_until(head, '@');

    const auto kind = trouble_named(kind_name);
    if (!kind)
        return Unexpected{"there is no trouble '" + std::string{kind_name} + "'; there are " +
                          troubles_known()};
    TypedTrouble typed;
    typed.trouble.kind = *kind;
    typed.has_offset = has_offset;
    if (has_offset) {
        const auto offset = duration_from(head);
        if (!offset) return Unexpected{"'" + std::string{head} + "' is no span of time such as 3d"};
        typed.trouble.start_hours = static_cast<double>(offset->count()) / 3'600'000.0;
    }
    while (!rest.empty())
        if (auto reason = set(typed.trouble, take_until(rest, ','))) return Unexpected{*std::move(reason)};
    return typed;
}

}  // namespace gyled::virtual_vessel
