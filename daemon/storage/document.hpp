#pragma once
/// Plain values as JSON documents and back. What a type consists of is listed once, in a function `fields`
/// beside it, which both directions call: a new field is one line there. A number comes back to the last bit,
/// what is not finite too. A reader takes a missing field as not given and passes over one it does not know;
/// what makes no sense is refused. Thread: any; no state. Only storage/ includes this.

#include <algorithm>
#include <concepts>
#include <cstdint>
#include <limits>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"

namespace gyled::storage {

using nlohmann::json;

/// A T, const or not: the one parameter of `fields` that fits both directions.
template <class T, class Wanted>
concept Of = std::same_as<std::remove_const_t<T>, Wanted>;

/// The words of an enumeration: `name(value)` and `named(text)`. Specialised where the documents are made.
template <class E>
struct Words;

// Values to JSON.

class Put;
[[nodiscard]] json as_json(double value);
[[nodiscard]] inline json as_json(bool value) {
    return value;
}
[[nodiscard]] inline json as_json(const std::string& value) {
    return value;
}
template <std::integral T>
[[nodiscard]] json as_json(T value) {
    return value;
}
[[nodiscard]] inline json as_json(base::Duration value) {
    return value.count();
}
[[nodiscard]] inline json as_json(base::Timestamp value) {
    return value.time_since_epoch().count();
}
[[nodiscard]] json as_json(const base::Band& value);
template <class E>
requires std::is_enum_v<E>
[[nodiscard]] json as_json(E value) {
    return Words<E>::name(value);
}
template <class T>
[[nodiscard]] json as_json(const std::vector<T>& values);
template <class T>
[[nodiscard]] json as_json(const std::map<base::Quantity, T>& values);
template <class T>
[[nodiscard]] json as_json(const std::map<std::string, T>& values);
template <class T>
requires std::is_class_v<T>
[[nodiscard]] json as_json(const T& value);

/// Writes fields into an object; an optional that is empty is left out.
class Put {
public:
    static constexpr bool reads = false;
    explicit Put(json& out) : out_{out} {}
    template <class T>
    void operator()(const char* key, const T& value) {
        out_[key] = as_json(value);
    }
    template <class T>
    void operator()(const char* key, const std::optional<T>& value) {
        if (value) out_[key] = as_json(*value);
    }

private:
    json& out_;
};

template <class T>
json as_json(const std::vector<T>& values) {
    json out = json::array();
    for (const T& value : values) out.push_back(as_json(value));
    return out;
}
template <class T>
json as_json(const std::map<base::Quantity, T>& values) {
    json out = json::object();
    for (const auto& [quantity, value] : values) out[std::string{base::name(quantity)}] = as_json(value);
    return out;
}
template <class T>
json as_json(const std::map<std::string, T>& values) {
    json out = json::object();
    for (const auto& [key, value] : values) out[key] = as_json(value);
    return out;
}
template <class T>
requires std::is_class_v<T> json as_json(const T& value) {
    json out = json::object();
    Put put{out};
    fields(put, value);
    return out;
}

// JSON to values. All throw std::runtime_error, saying what is wrong, when it is not such a value.

void read(const json& in, double& value);
void read(const json& in, bool& value);
void read(const json& in, std::string& value);
void read(const json& in, base::Duration& value);
void read(const json& in, base::Timestamp& value);
void read(const json& in, base::Band& value);
/// A whole number from `least` to `most`.
[[nodiscard]] std::int64_t whole_number(const json& in, std::int64_t least, std::int64_t most);
/// The text of a word.
[[nodiscard]] std::string word(const json& in);
[[noreturn]] void unknown_word(const std::string& found);
void require_array(const json& in);
void require_object(const json& in);

template <std::integral T>
void read(const json& in, T& value) {
    constexpr auto most = static_cast<std::int64_t>(
        std::min<std::uint64_t>(std::numeric_limits<std::int64_t>::max(), std::numeric_limits<T>::max()));
    constexpr auto least =
        std::is_signed_v<T> ? static_cast<std::int64_t>(std::numeric_limits<T>::min()) : std::int64_t{0};
    value = static_cast<T>(whole_number(in, least, most));
}
/// A word that a later gyled may have written and we do not know is a reason to stop, not to guess.
template <class E>
requires std::is_enum_v<E>
void read(const json& in, E& value) {
    const std::string found = word(in);
    const auto known = Words<E>::named(found);
    if (!known) unknown_word(found);
    value = *known;
}
template <class T>
void read(const json& in, std::optional<T>& value);
template <class T>
void read(const json& in, std::vector<T>& values);
template <class T>
void read(const json& in, std::map<base::Quantity, T>& values);
template <class T>
void read(const json& in, std::map<std::string, T>& values);
template <class T>
requires std::is_class_v<T>
void read(const json& in, T& value);

/// Reads fields of an object; a missing one, or a null, leaves the value as it is.
class Take {
public:
    static constexpr bool reads = true;
    explicit Take(const json& in) : in_{in} {}
    template <class T>
    void operator()(const char* key, T& value) {
        const auto found = in_.find(key);
        if (found == in_.end() || found->is_null()) return;
        try {
            read(*found, value);
        } catch (const std::runtime_error& problem) {
            throw std::runtime_error{std::string{key} + ": " + problem.what()};
        }
    }

private:
    const json& in_;
};

template <class T>
void read(const json& in, std::optional<T>& value) {
    read(in, value.emplace());
}
template <class T>
void read(const json& in, std::vector<T>& values) {
    require_array(in);
    values.clear();
    for (const json& one : in) read(one, values.emplace_back());
}
template <class T>
void read(const json& in, std::map<base::Quantity, T>& values) {
    require_object(in);
    values.clear();
    for (const auto& [key, one] : in.items()) {
        const auto quantity = base::quantity_named(key);
        if (!quantity) unknown_word(key);
        read(one, values[*quantity]);
    }
}
template <class T>
void read(const json& in, std::map<std::string, T>& values) {
    require_object(in);
    values.clear();
    for (const auto& [key, one] : in.items()) read(one, values[key]);
}
template <class T>
requires std::is_class_v<T>
void read(const json& in, T& value) {
    require_object(in);
    Take take{in};
    fields(take, value);
}

/// A time of our own clock: throws std::runtime_error, naming the key, when none of ours ever showed it.
void require_our_time(const char* key, base::Timestamp at);

/// The document as text. Text that is not UTF-8 becomes replacement characters rather than stopping us.
[[nodiscard]] std::string text_of(const json& document);
/// The text as a JSON object. Throws std::runtime_error, with the place, when it is none.
[[nodiscard]] json object_from(std::string_view text);

}  // namespace gyled::storage
