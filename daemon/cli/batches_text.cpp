#include "daemon/cli/batches_text.hpp"

#include <fmt/format.h>

#include "daemon/cli/document_text.hpp"

namespace gyled::cli {

std::string batches_text(const Json& answer) {
    std::string out;
    for (const Json& batch : answer.at("batches"))
        out += fmt::format("{}  {:<24} {:<10} {}\n", text_of(batch, "started_text"), text_of(batch, "name"),
                           text_of(batch, "vessel"), batch.at("ended").is_null() ? "running" : "ended");
    return out.empty() ? "No batches are on record.\n" : out;
}

}  // namespace gyled::cli
