#pragma once
/// The batch files of config/batches, as they travel inside the program: what `gyle batch new --like` begins
/// with. Any thread.

#include <span>
#include <string_view>

namespace gyled::cli {

struct ReadyPlan {
    std::string_view name;  ///< "lager": its file's name
    std::string_view text;  ///< TOML, with its comments
};

/// By name, in alphabetical order.
[[nodiscard]] std::span<const ReadyPlan> ready_plans();

}  // namespace gyled::cli
