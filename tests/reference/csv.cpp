#include "tests/reference/csv.hpp"

#include <charconv>
#include <fstream>
#include <stdexcept>

namespace gyled::reference {
namespace {

std::vector<std::string> fields_of(const std::string& line) {
    std::vector<std::string> fields{""};
    bool quoted = false;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const char c = line[i];
        if (c == '\r' && i + 1 == line.size()) break;
        if (quoted && c == '"' && i + 1 < line.size() && line[i + 1] == '"') {
            fields.back() += line[++i];
        } else if (c == '"') {
            quoted = !quoted;
        } else if (c == ',' && !quoted) {
            fields.emplace_back();
        } else {
            fields.back() += c;
        }
    }
    if (quoted) throw std::runtime_error("unfinished quote: " + line);
    return fields;
}

}  // namespace

std::vector<CsvRow> read_csv(const std::string& file) {
    std::ifstream in(GYLED_SOURCE_DIR "/tests/reference/" + file);
    std::string line;
    if (!std::getline(in, line)) throw std::runtime_error("cannot read " + file);
    const std::vector<std::string> columns = fields_of(line);
    std::vector<CsvRow> rows;
    while (std::getline(in, line)) {
        const std::vector<std::string> fields = fields_of(line);
        if (fields.size() != columns.size()) throw std::runtime_error(file + ": " + line);
        CsvRow& row = rows.emplace_back();
        for (std::size_t i = 0; i < columns.size(); ++i) row[columns[i]] = fields[i];
    }
    return rows;
}

double number(std::string_view text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size())
        throw std::runtime_error("not a number: " + std::string(text));
    return value;
}

}  // namespace gyled::reference
