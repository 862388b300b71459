#pragma once
/// What the fuzzers share. Each target is one parser of bytes from outside; whatever they are, it answers
/// with a value or a reason. Memory errors and undefined behaviour are found by the sanitizers, what is
/// merely wrong by these claims.

#include <cstdint>
#include <cstdlib>
#include <string_view>

namespace gyled::fuzz {

/// An input that breaks the claim ends the run, and libFuzzer keeps it.
inline void claim(bool holds) {
    if (!holds) std::abort();
}

inline std::string_view text(const std::uint8_t* data, std::size_t size) {
    return {reinterpret_cast<const char*>(data), size};
}

/// Takes what stands before the first zero byte (all, if there is none) off the front, for targets of two
/// inputs.
inline std::string_view take_first(std::string_view& bytes) {
    const auto zero = bytes.find('\0');
    const std::string_view first = bytes.substr(0, zero);
    bytes.remove_prefix(zero == std::string_view::npos ? bytes.size() : zero + 1);
    return first;
}

}  // namespace gyled::fuzz
