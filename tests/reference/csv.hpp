#pragma once
/// Reads the tables beside this file: RFC 4180, a heading line first.

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace gyled::reference {

/// One line, by column name.
using CsvRow = std::map<std::string, std::string>;

/// The rows of tests/reference/`file`. Throws std::runtime_error when it cannot be read or a line has too few
/// or too many fields.
std::vector<CsvRow> read_csv(const std::string& file);

/// A number and nothing else. Throws std::runtime_error otherwise.
double number(std::string_view text);

}  // namespace gyled::reference
