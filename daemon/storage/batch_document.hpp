#pragma once
/// A batch as one JSON document, the form in which the store remembers it (column batch.document). Fields may
/// be added; a reader takes a missing one as not given. Times are UTC milliseconds, values canonical.

#include <string>
#include <string_view>

#include "daemon/cellar/effects.hpp"

namespace gyled::storage {

/// Text that is not UTF-8 keeps its length in replacement characters rather than stopping us.
[[nodiscard]] std::string to_document(const batch::Record& batch);
/// Throws std::runtime_error, saying what is wrong, when the text is not such a document.
[[nodiscard]] batch::Record from_document(std::string_view document);

}  // namespace gyled::storage
