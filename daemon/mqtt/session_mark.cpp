#include "daemon/mqtt/session_mark.hpp"

#include <fstream>
#include <iterator>
#include <utility>

namespace gyled::mqtt {

SessionMark::SessionMark(const std::string& spool, std::string identity)
    : path_{spool.empty() ? std::string{} : spool + ".session"}, identity_{std::move(identity)} {
    if (path_.empty()) return;
    std::ifstream file{path_, std::ios::binary};
    const std::string known{std::istreambuf_iterator<char>{file}, {}};
    stands_ = known == identity_;
}

void SessionMark::set() {
    if (!stands_ && !path_.empty()) std::ofstream{path_, std::ios::binary | std::ios::trunc} << identity_;
    stands_ = true;
}

}  // namespace gyled::mqtt
