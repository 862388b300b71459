#pragma once
/// Any bytes as one of the store's documents: a value, which comes back the same from its own document, or a
/// std::runtime_error in words; no other exception.

#include <stdexcept>
#include <string>

#include "tests/fuzz/claim.hpp"

namespace gyled::fuzz {

template <class Read, class Write>
void read_and_write(std::string_view document, Read from, Write to) {
    try {
        const std::string once = to(from(document));
        claim(to(from(once)) == once);
    } catch (const std::runtime_error& refusal) {
        claim(*refusal.what() != '\0');
    }
}

}  // namespace gyled::fuzz
