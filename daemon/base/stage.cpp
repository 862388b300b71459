#include "daemon/base/stage.hpp"

#include <array>

namespace gyled::base {
namespace {

constexpr std::array<std::string_view, 17> stage_names{
    "strike",    "mash",      "mash_out", "sparge", "boil",  "chill",    "ferment", "rest",     "crash",
    "carbonate", "condition", "serve",    "clean",  "rinse", "sanitise", "purge",   "tightness"};
constexpr std::array<std::string_view, 4> head_space_names{"vented", "spunded", "sealed", "supplied"};
constexpr std::array<std::string_view, 3> culture_names{"ale", "lager", "mixed"};

template <class Enum, std::size_t N>
std::optional<Enum> find(const std::array<std::string_view, N>& names, std::string_view text) {
    for (std::size_t i = 0; i < N; ++i)
        if (names[i] == text) return static_cast<Enum>(i);
    return std::nullopt;
}

}  // namespace

std::string_view name(StageKind kind) {
    return stage_names.at(static_cast<std::size_t>(kind));
}
std::string_view name(HeadSpace mode) {
    return head_space_names.at(static_cast<std::size_t>(mode));
}
std::string_view name(Culture culture) {
    return culture_names.at(static_cast<std::size_t>(culture));
}
std::optional<StageKind> stage_kind_named(std::string_view text) {
    return find<StageKind>(stage_names, text);
}
std::optional<HeadSpace> head_space_named(std::string_view text) {
    return find<HeadSpace>(head_space_names, text);
}
std::optional<Culture> culture_named(std::string_view text) {
    return find<Culture>(culture_names, text);
}

}  // namespace gyled::base
