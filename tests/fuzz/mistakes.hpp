#pragma once
/// What every mistake in a file must be: something to print, with its place.

#include "daemon/config/config.hpp"
#include "sensors/decode/text.hpp"
#include "tests/fuzz/claim.hpp"

namespace gyled::fuzz {

inline void judge(const config::Mistakes& mistakes) {
    claim(!mistakes.empty());
    for (const config::Mistake& mistake : mistakes) {
        claim(!mistake.what.empty() && (mistake.line == 0) == (mistake.column == 0));
        claim(sensors::is_utf8(mistake.text()) && sensors::is_utf8(mistake.excerpt));
    }
}

}  // namespace gyled::fuzz
