#pragma once
/// A batch, and what batches taught, as one JSON document each: the form in which the store remembers them
/// (columns batch.document and learned.document). Times are UTC milliseconds, values canonical. Thread: any.

#include <string>
#include <string_view>

#include "daemon/batch/record.hpp"
#include "daemon/estimation/gravity/prior.hpp"

namespace gyled::storage {

[[nodiscard]] std::string to_document(const batch::Record& batch);
[[nodiscard]] std::string to_document(const estimation::LearnedCurve& curve);

/// These throw std::runtime_error, saying what is wrong, when the text is not such a document.
[[nodiscard]] batch::Record batch_from(std::string_view document);
[[nodiscard]] estimation::LearnedCurve learned_from(std::string_view document);

}  // namespace gyled::storage
