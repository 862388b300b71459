#pragma once
/// The record of one batch as one self-contained HTML page: no network, no script; it prints on two A4 pages
/// and reads on a phone. Pure; any thread; nothing throws but std::bad_alloc.

#include <string>

#include "daemon/report/material.hpp"

namespace gyled::report {

[[nodiscard]] std::string page(const Material& material);

}  // namespace gyled::report
