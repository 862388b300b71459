#include "daemon/cli/alarms_text.hpp"

#include <fmt/format.h>

#include "daemon/cli/document_text.hpp"

namespace gyled::cli {

std::string alarms_text(const Json& answer) {
    std::string out;
    for (const Json& alarm : answer.at("alarms"))
        out += fmt::format("{}  {:<12} {:<9} {}\n{:18}{}\n", text_of(alarm, "raised_at_text"),
                           text_of(alarm, "state"), text_of(alarm, "priority"), text_of(alarm, "text"), "",
                           text_of(alarm, "alarm"));
    return out.empty() ? "No alarms are on record.\n" : out;
}

}  // namespace gyled::cli
