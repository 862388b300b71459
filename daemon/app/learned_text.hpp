#pragma once
/// What finished batches taught, as text for the store.

#include <optional>
#include <string>

#include "daemon/estimation/gravity/prior.hpp"

namespace gyled::app {

[[nodiscard]] std::string to_text(const estimation::LearnedCurve& curve);
/// Nothing when the text is not one.
[[nodiscard]] std::optional<estimation::LearnedCurve> learned_from_text(const std::string& text);

}  // namespace gyled::app
