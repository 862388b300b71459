#pragma once
/// Words of HTTP, which count the same in capitals (RFC 9110). Pure; safe on any thread.

#include <boost/algorithm/string/predicate.hpp>
#include <locale>
#include <string_view>

namespace gyled::web {

/// Equal but for the case of ASCII letters. Not by Boost.Beast's `iequals`: in version 1.81 it reads one
/// character beyond texts that differ in case alone.
[[nodiscard]] inline bool equal_without_case(std::string_view a, std::string_view b) {
    return boost::algorithm::iequals(a, b, std::locale::classic());
}

}  // namespace gyled::web
