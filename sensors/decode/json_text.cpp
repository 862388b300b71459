#include "sensors/decode/json_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "sensors/decode/text.hpp"

namespace gyled::sensors {
namespace {

using base::Unexpected;
using nlohmann::json;

/// The deepest nesting of brackets outside strings. Text that is not JSON may give a wrong count, but then
/// the parser finds its fault.
int nesting_depth(std::string_view text) {
    int depth = 0;
    int deepest = 0;
    bool in_string = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (in_string) {
            if (c == '\\') ++i;
            if (c == '"') in_string = false;
        } else if (c == '"') {
            in_string = true;
        } else if (c == '{' || c == '[') {
            deepest = std::max(deepest, ++depth);
        } else if (c == '}' || c == ']') {
            --depth;
        }
    }
    return deepest;
}

}  // namespace

base::Result<json, Refusal> parse_json(std::string_view payload) {
    if (auto refusal = refuse_unreadable(payload)) return Unexpected{*std::move(refusal)};
    if (const int depth = nesting_depth(payload); depth > deepest_json)
        return Unexpected{
            Refusal{"nested_too_deep", fmt::format("nested {} deep, at most {}", depth, deepest_json)}};
    try {
        return json::parse(payload);
    } catch (const json::parse_error& error) {
        const std::size_t near = std::min(payload.size(), error.byte > 8 ? error.byte - 8 : 0);
        return Unexpected{Refusal{"not_json", fmt::format("not JSON at byte {}, near '{}'", error.byte,
                                                          excerpt(payload.substr(near, 16)))}};
    } catch (const json::exception&) {  // the only other one while parsing: a number too large for a double
        return Unexpected{Refusal{"not_finite", "a number in the JSON is too large"}};
    }
}

std::string_view kind_of(const json& value) {
    switch (value.type()) {
        case json::value_t::null:
            return "null";
        case json::value_t::object:
            return "an object";
        case json::value_t::array:
            return "an array";
        case json::value_t::string:
            return "a string";
        case json::value_t::boolean:
            return "a boolean";
        case json::value_t::number_integer:
        case json::value_t::number_unsigned:
        case json::value_t::number_float:
            return "a number";
        default:
            return "something else";
    }
}

std::optional<Timestamp> moment_from_seconds(double seconds) {
    constexpr double year_10000 = 253'402'300'800;
    if (!(seconds >= 0 && seconds < year_10000)) return std::nullopt;
    return base::from_unix_seconds(seconds);
}

}  // namespace gyled::sensors
