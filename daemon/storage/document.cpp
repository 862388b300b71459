#include "daemon/storage/document.hpp"

#include <cmath>

namespace gyled::storage {
namespace {

/// Half of what 64 bits hold, 146 million years: the difference of two such times still fits.
constexpr std::int64_t most_ms = std::int64_t{1} << 62;

/// The years 1 to 9999, which RFC 3339 can write: a sensor's own clock may say any of them.
constexpr std::int64_t year_1_ms = -62'135'596'800'000, year_10000_ms = 253'402'300'800'000;
/// Who lives from one of these to another lives long: the core takes a batch up from its start.
constexpr std::int64_t year_1970_ms = 0, year_2200_ms = 7'258'118'400'000;

/// JSON has no word for these.
constexpr std::string_view not_a_number = "nan", infinite = "inf", minus_infinite = "-inf";

double not_finite(const std::string& word) {
    if (word == infinite) return std::numeric_limits<double>::infinity();
    if (word == minus_infinite) return -std::numeric_limits<double>::infinity();
    if (word == not_a_number) return std::numeric_limits<double>::quiet_NaN();
    throw std::runtime_error{"'" + word + "' is not a number"};
}

/// A piece of a stranger's document for a message: short.
std::string shown(const json& in) {
    constexpr std::size_t enough = 40;
    return text_of(in).substr(0, enough);
}

}  // namespace

json as_json(double value) {
    if (std::isnan(value)) return not_a_number;
    if (std::isinf(value)) return value > 0 ? infinite : minus_infinite;
    return value;
}

json as_json(const base::Band& value) {
    return json::array({as_json(value.low), as_json(value.high)});
}

void read(const json& in, double& value) {
    if (in.is_string())
        value = not_finite(in.get<std::string>());
    else if (in.is_number())
        value = in.get<double>();
    else
        throw std::runtime_error{shown(in) + " is not a number"};
}

void read(const json& in, bool& value) {
    if (!in.is_boolean()) throw std::runtime_error{shown(in) + " is neither true nor false"};
    value = in.get<bool>();
}

void read(const json& in, std::string& value) {
    if (!in.is_string()) throw std::runtime_error{shown(in) + " is not a text"};
    value = in.get<std::string>();
}

std::int64_t whole_number(const json& in, std::int64_t least, std::int64_t most) {
    const bool is_too_large =
        in.is_number_unsigned() && in.get<std::uint64_t>() > static_cast<std::uint64_t>(most);
    if (!in.is_number_integer() || is_too_large)
        throw std::runtime_error{shown(in) + " is not a whole number in range"};
    const auto value = in.get<std::int64_t>();
    if (value < least || value > most) throw std::runtime_error{shown(in) + " is out of range"};
    return value;
}

void read(const json& in, base::Duration& value) {
    value = base::Duration{whole_number(in, -most_ms, most_ms)};
}
void read(const json& in, base::Timestamp& value) {
    value = base::Timestamp{base::Duration{whole_number(in, year_1_ms, year_10000_ms - 1)}};
}

void require_our_time(const char* key, base::Timestamp at) {
    const std::int64_t ms = at.time_since_epoch().count();
    if (ms < year_1970_ms || ms >= year_2200_ms)
        throw std::runtime_error{std::string{key} + ": " + base::to_rfc3339(at) +
                                 " is not between 1970 and 2200"};
}

void read(const json& in, base::Band& value) {
    if (!in.is_array() || in.size() != 2) throw std::runtime_error{shown(in) + " is not a pair of numbers"};
    read(in[0], value.low);
    read(in[1], value.high);
}

std::string word(const json& in) {
    std::string found;
    read(in, found);
    return found;
}

void unknown_word(const std::string& found) {
    throw std::runtime_error{"unknown word '" + found + "'"};
}

void require_array(const json& in) {
    if (!in.is_array()) throw std::runtime_error{shown(in) + " is not a list"};
}
void require_object(const json& in) {
    if (!in.is_object()) throw std::runtime_error{shown(in) + " is not an object"};
}

std::string text_of(const json& document) {
    return document.dump(-1, ' ', false, json::error_handler_t::replace);
}

json object_from(std::string_view text) try {
    json in = json::parse(text);
    require_object(in);
    return in;
} catch (const json::exception& problem) {
    throw std::runtime_error{problem.what()};
}

}  // namespace gyled::storage
