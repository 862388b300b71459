#include "daemon/base/stage_words.hpp"

namespace gyled::base {

std::string spoken(StageKind kind) {
    switch (kind) {
        case StageKind::mash_out:
            return "mash-out";
        case StageKind::rest:
            return "diacetyl rest";
        case StageKind::tightness:
            return "tightness test";
        default:
            return std::string{name(kind)};
    }
}

}  // namespace gyled::base
