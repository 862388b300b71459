#pragma once
/// Shared words of the configuration's tests.

#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "daemon/config/config.hpp"

namespace gyled::config {

/// "7:1 unknown key 'volum_l'; did you mean 'volume_l'?" for each mistake, in the order of the file; warnings
/// are none.
inline std::vector<std::string> told(const Mistakes& mistakes) {
    std::vector<std::string> lines;
    for (const Mistake& mistake : mistakes)
        if (!mistake.is_warning)
            lines.push_back(std::to_string(mistake.line) + ':' + std::to_string(mistake.column) + ' ' +
                            mistake.what);
    return lines;
}
inline std::vector<std::string> mistakes_in(std::string_view text) {
    const auto config = parse_config(text, "gyled.toml");
    return config ? std::vector<std::string>{} : told(config.error());
}
inline std::vector<std::string> batch_mistakes_in(std::string_view text) {
    const auto plan = parse_batch(text, "batch.toml");
    return plan ? std::vector<std::string>{} : told(plan.error());
}
using Lines = std::vector<std::string>;

/// The smallest right configuration; what a test adds begins in line 4.
inline const std::string north = "[[vessel]]\nid = \"north\"\ntotal_volume_l = 26\n";

}  // namespace gyled::config
