#include "sensors/virtual_vessel/document.hpp"

#include <fmt/format.h>

namespace gyled::virtual_vessel {

std::string_view field_of(Quantity measured) {
    switch (measured) {
        case Quantity::gravity:
            return "sg";
        case Quantity::head_pressure:
        case Quantity::barometric_pressure:
        case Quantity::supply_pressure:
            return "kpa";
        default:
            return "celsius";
    }
}

Document document_of(const Sample& sample, const std::string& topic_prefix) {
    const int decimals = sample.quantity == Quantity::gravity ? 5 : 4;
    return {sample.arrival, fmt::format("{}/{}", topic_prefix, name(sample.quantity)),
            fmt::format(R"({{"{}":{:.{}f},"ts":"{}"}})", field_of(sample.quantity), sample.value, decimals,
                        base::to_rfc3339(sample.taken))};
}

}  // namespace gyled::virtual_vessel
