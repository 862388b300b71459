#include "sensors/reading.hpp"

namespace gyled::sensors {

std::string_view name(Quality q) {
    switch (q) {
        case Quality::accepted:
            return "accepted";
        case Quality::out_of_range:
            return "out_of_range";
        case Quality::impossible_jump:
            return "impossible_jump";
        case Quality::last_known:
            return "last_known";
        case Quality::duplicate:
            return "duplicate";
    }
    return "unknown";
}

}  // namespace gyled::sensors
