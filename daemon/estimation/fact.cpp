#include "daemon/estimation/fact.hpp"

#include <array>

namespace gyled::estimation {
namespace {
constexpr std::array<std::string_view, 12> names{"fermentation_started",
                                                 "fermentation_stalled",
                                                 "fermentation_finished",
                                                 "fermentation_resumed",
                                                 "carbonated",
                                                 "leak_suspected",
                                                 "relief_opened",
                                                 "purged",
                                                 "shut_in_wanted",
                                                 "gauge_contradicts",
                                                 "doughed_in",
                                                 "fermentation_overdue"};
}

std::string_view name(FactKind kind) {
    return names.at(static_cast<std::size_t>(kind));
}

std::optional<FactKind> fact_kind_named(std::string_view text) {
    for (std::size_t i = 0; i < names.size(); ++i)
        if (names[i] == text) return static_cast<FactKind>(i);
    return std::nullopt;
}

}  // namespace gyled::estimation
