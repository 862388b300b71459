#include <fmt/format.h>

#include "daemon/config/config.hpp"

namespace gyled::config {

std::string Mistake::text() const {
    if (line == 0) return fmt::format("{}: error: {}", file, what);
    return fmt::format("{}:{}:{}: error: {}", file, line, column, what);
}

}  // namespace gyled::config
