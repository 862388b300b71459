#pragma once
/// The command line `gyle`, as the tests and main start it.

#include <iosfwd>

namespace gyled::cli {

/// Parses, does what was asked, and returns the exit code: 0 done, 1 failed (also when `out` could not be
/// written), 2 wrong usage. Data goes to `out`, talk to `talk`. Thread: any one. Throws only what the
/// standard library throws for want of memory.
[[nodiscard]] int run(int argc, const char* const* argv, std::ostream& out, std::ostream& talk);

}  // namespace gyled::cli
