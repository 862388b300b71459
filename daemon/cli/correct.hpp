#pragma once
/// gyle batch correct: what was written down wrong about the running batch.

#include "daemon/cli/verb.hpp"

namespace gyled::cli {

void add_correct(CLI::App& batch, Action& chosen);

}  // namespace gyled::cli
