#pragma once
/// `gyle batch new`: a commented batch file, from a ready-made plan and what the person says.

#include "daemon/cli/verb.hpp"

namespace gyled::cli {

/// Adds the verb to `batch`.
void add_new_batch(CLI::App& batch, Action& chosen);

}  // namespace gyled::cli
