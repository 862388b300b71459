#include "daemon/notify/messenger.hpp"

namespace gyled::notify {

std::string_view name(Delivery::Outcome outcome) {
    switch (outcome) {
        case Delivery::Outcome::accepted:
            return "accepted";
        case Delivery::Outcome::try_again:
            return "try again";
        case Delivery::Outcome::refused:
            break;
    }
    return "refused";
}

}  // namespace gyled::notify
