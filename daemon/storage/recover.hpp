#pragma once
/// Takes over what can still be read of a store that was put aside.

#include <chrono>
#include <cstddef>
#include <string>
#include <vector>

#include "daemon/storage/database.hpp"

namespace gyled::storage {

struct Recovery {
    std::size_t rows = 0;                 ///< all that were taken over
    std::size_t readings = 0;             ///< of these, raw readings
    std::vector<std::string> incomplete;  ///< tables that could not be read to their end
    bool out_of_time = false;             ///< the rest would have taken longer than allowed
};

/// In words, for the person: what was taken over, and what was not.
[[nodiscard]] std::string in_words(const Recovery& recovery);

/// Reads the tables of the file at `from`, by plain SQL and with its log, into the fresh store `into`: from
/// one end until a damaged page stops it, then from the other. What the watch needs comes first (memory,
/// batches, alarms, outbox), then the newest readings. Rows that name a vessel or a sensor by number are
/// taken only when those were read whole: else they might be taken for another's. Ends within about
/// `at_most`. Throws StorageError only for `into`.
[[nodiscard]] Recovery recover(const std::string& from, Database& into, std::chrono::milliseconds at_most);

}  // namespace gyled::storage
