#include "sensors/decode/number.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "sensors/decode/text.hpp"

namespace gyled::sensors {
namespace {

using base::Unexpected;

bool same_word(std::string_view text, std::string_view lower_case) {
    return std::equal(text.begin(), text.end(), lower_case.begin(), lower_case.end(),
                      [](char a, char b) { return (a >= 'A' && a <= 'Z' ? a - 'A' + 'a' : a) == b; });
}

/// Why these words, which hold no number, hold none.
Refusal refuse_words(std::string_view text) {
    for (const std::string_view word : {"unavailable", "unknown", "none", "n/a"})
        if (same_word(text, word)) return {"unavailable", fmt::format("the sensor says '{}'", excerpt(text))};
    if (same_word(text, "null")) return {"null_value", "the sensor says null"};
    return {"not_a_number", fmt::format("expected a number, found '{}'", excerpt(text))};
}

/// Does what follows the number belong to a number written some other way, as in "19,4", "1.2.3" or "12 000"?
bool continues_a_number(std::string_view rest) {
    return !rest.empty() && std::string_view{"0123456789.,+-"}.find(rest.front()) != std::string_view::npos;
}

}  // namespace

Decoded decode_number(std::string_view payload) {
    if (auto refusal = refuse_unreadable(payload)) return Unexpected{*std::move(refusal)};
    return read_number(payload);
}

Decoded read_number(std::string_view text) {
    text = trimmed(text);
    if (text.empty()) return Unexpected{Refusal{"empty_payload", "expected a number, found nothing"}};
    std::string_view digits = text;
    if (digits.size() > 1 && digits[0] == '+' && digits[1] != '-') digits.remove_prefix(1);

    Sample sample;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), sample.value);
    if (error == std::errc::invalid_argument) return Unexpected{refuse_words(text)};
    if (error == std::errc::result_out_of_range || !std::isfinite(sample.value))
        return Unexpected{Refusal{"not_finite", fmt::format("not a finite number: '{}'", excerpt(text))}};

    const std::string_view rest = trimmed(digits.substr(static_cast<std::size_t>(end - digits.data())));
    if (continues_a_number(rest))
        return Unexpected{
            Refusal{"not_a_number",
                    fmt::format("expected one number with a decimal point, found '{}'", excerpt(text))}};
    sample.unit = rest;
    return sample;
}

}  // namespace gyled::sensors
