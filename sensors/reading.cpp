#include "sensors/reading.hpp"

namespace gyled::sensors {

std::string_view name(Verdict v) {
    switch (v) {
        case Verdict::accepted:
            return "accepted";
        case Verdict::out_of_range:
            return "out_of_range";
        case Verdict::impossible_jump:
            return "impossible_jump";
        case Verdict::stuck:
            return "stuck";
        case Verdict::last_known:
            return "last_known";
        case Verdict::duplicate:
            return "duplicate";
    }
    return "unknown";
}

}  // namespace gyled::sensors
