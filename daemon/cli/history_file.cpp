#include "daemon/cli/history_file.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <stdexcept>
#include <utility>

#include "daemon/brewing/atmosphere.hpp"
#include "daemon/display/typed_value.hpp"
#include "sensors/plausibility/range.hpp"
#include "sensors/units/units.hpp"

namespace gyled::cli {
namespace {

using base::Quantity;

/// Seconds since 1970 beyond this are milliseconds, in truth: it is the year 2286.
constexpr double seconds_most = 1e10;

std::string trimmed(std::string text) {
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.pop_back();
    text.erase(0, std::min(text.find_first_not_of(" \t"), text.size()));
    return text;
}

/// RFC 4180, one line of it; nothing when a quotation does not end.
std::optional<std::vector<std::string>> fields_of(const std::string& line, char separator) {
    std::vector<std::string> out(1);
    bool quoted = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const char c = line[i];
        if (quoted && c == '"' && i + 1 < line.size() && line[i + 1] == '"')
            out.back() += line[++i];
        else if (c == '"')
            quoted = !quoted;
        else if (c == separator && !quoted)
            out.emplace_back();
        else
            out.back() += c;
    }
    if (quoted) return std::nullopt;
    for (std::string& field : out) field = trimmed(std::move(field));
    return out;
}

/// RFC 3339, or seconds since 1970.
base::Result<base::Timestamp, std::string> moment(const std::string& text) {
    if (const auto at = base::from_rfc3339(text)) return *at;
    double seconds = 0;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), seconds);
    const bool is_number = error == std::errc{} && rest == text.data() + text.size() && !text.empty();
    if (is_number && seconds > 0 && seconds < seconds_most) return base::from_unix_seconds(seconds);
    return base::Unexpected{fmt::format(
        "'{}' is no time: write RFC 3339, as in 2026-03-02T07:15:00Z, or seconds since 1970", text)};
}

base::Result<double, std::string> value_in(const std::string& text, const std::string& unit,
                                           Quantity quantity, const display::Display& display) {
    if (unit.empty()) {
        const auto typed = display::typed_value(text, quantity, display);
        if (!typed) return base::Unexpected{typed.error()};
        return typed->canonical;
    }
    double value = 0;
    const auto [rest, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || rest != text.data() + text.size())
        return base::Unexpected{fmt::format("'{}' is no number", text)};
    if (!sensors::unit_fits(quantity, unit))
        return base::Unexpected{fmt::format("'{}' is no unit of {}", unit, base::name(quantity))};
    return sensors::to_canonical(quantity, unit, value);
}

HistoryLine bad(std::string why) {
    return {.complaint = std::move(why)};
}

bool is_for_people(const std::string& line) {
    return line.find_first_not_of(" \t") == std::string::npos || line.front() == '#';
}

}  // namespace

HistoryFile::HistoryFile(const std::string& path, Options options)
    : lines_{path}, options_{std::move(options)} {
    while (auto line = lines_.next()) {
        ++number_;
        if (is_for_people(*line)) continue;
        if (!parse_log_line(*line)) {
            read_head(*line);
            return;
        }
        if (options_.config == nullptr)
            throw std::runtime_error(path + " is a recorded log: say with --config what its topics are");
        intake_.emplace(options_.config->sensors);
        ambient_kpa_ = brewing::atmosphere_at(options_.config->site.elevation_m).kpa_absolute();
        first_ = std::move(line);
        return;
    }
    throw std::runtime_error(path + " holds nothing");
}

void HistoryFile::read_head(const std::string& line) {
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    const std::string head = line.starts_with(byte_order_mark) ? line.substr(byte_order_mark.size()) : line;
    separator_ = head.find(',') == std::string::npos && head.find(';') != std::string::npos ? ';' : ',';
    const auto names = fields_of(head, separator_).value_or(Fields{});
    for (std::size_t i = 0; i < names.size(); ++i) columns_[names[i]] = i;
    for (const char* const needed : {"time", "quantity", "value"})
        if (!columns_.contains(needed))
            throw std::runtime_error(
                fmt::format("line {}: no recorded log, and no head of a table with a column '{}' (time, "
                            "quantity, value; and where needed vessel, sensor, unit)",
                            number_, needed));
    if (!columns_.contains("vessel") && options_.vessel.empty())
        throw std::runtime_error("no column says which vessel: say it with --vessel");
}

std::string HistoryFile::column(const Fields& fields, const std::string& name) const {
    const auto found = columns_.find(name);
    return found == columns_.end() || found->second >= fields.size() ? std::string{} : fields[found->second];
}

display::Display HistoryFile::display() const {
    return options_.config ? options_.config->site.display : display::Display{};
}

HistoryLine HistoryFile::table_line(const std::string& line) const {
    const auto fields = fields_of(line, separator_);
    if (!fields) return bad("a quotation does not end");
    const auto quantity = base::quantity_named(column(*fields, "quantity"));
    if (!quantity) return bad(fmt::format("'{}' is no quantity", column(*fields, "quantity").substr(0, 40)));
    if (!base::is_measured(*quantity)) return {};  // a belief: it is made anew
    const auto at = moment(column(*fields, "time"));
    if (!at) return bad(at.error());
    const auto value = value_in(column(*fields, "value"), column(*fields, "unit"), *quantity, display());
    if (!value) return bad(value.error());
    if (!sensors::default_range(*quantity, false).holds(*value))
        return bad(fmt::format("{} cannot be {} {}", base::name(*quantity), *value, base::unit(*quantity)));
    sensors::Reading reading;
    reading.vessel = column(*fields, "vessel");
    if (reading.vessel.empty()) reading.vessel = options_.vessel;
    if (reading.vessel.empty()) return bad("it names no vessel");
    reading.sensor = column(*fields, "sensor");
    if (reading.sensor.empty()) reading.sensor = options_.sensor;
    reading.quantity = *quantity;
    reading.at = reading.arrived = *at;
    reading.value = *value;
    return {.readings = {std::move(reading)}};
}

/// The daemon takes gauge pressures: against the air of the log's own barometer, else of the elevation.
void HistoryFile::make_gauge(sensors::Reading& reading) {
    if (reading.quantity == Quantity::barometric_pressure) ambient_kpa_ = reading.value;
    if (!reading.absolute) return;
    reading.value -= ambient_kpa_;
    reading.absolute = false;
}

HistoryLine HistoryFile::log_line(const sensors::Message& message) {
    sensors::Intaken intaken = intake_->accept(message);
    HistoryLine out;
    for (sensors::Reading& reading : intaken.readings)
        if (reading.quality == sensors::Quality::accepted) {
            make_gauge(reading);
            out.readings.push_back(std::move(reading));
        }
    for (const sensors::Reject& reject : intaken.rejects)
        if (!reject.sensor.empty() && reject.reason != "duplicate")
            out.complaint +=
                (out.complaint.empty() ? "" : "; ") +
                fmt::format("{}: {}", reject.sensor, reject.detail.empty() ? reject.reason : reject.detail);
    return out;
}

std::optional<HistoryLine> HistoryFile::next() {
    while (true) {
        const bool is_first = first_.has_value();
        const auto line = is_first ? std::exchange(first_, std::nullopt) : lines_.next();
        if (!line) return std::nullopt;
        if (!is_first) ++number_;
        if (is_for_people(*line)) continue;
        HistoryLine out;
        if (!intake_)
            out = table_line(*line);
        else if (const auto message = parse_log_line(*line))
            out = log_line(*message);
        else
            out = bad("no line of a log: UNIX_SECONDS TOPIC PAYLOAD");
        out.number = number_;
        if (!out.readings.empty() || !out.complaint.empty()) return out;
    }
}

}  // namespace gyled::cli
