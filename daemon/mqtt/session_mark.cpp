#include "daemon/mqtt/session_mark.hpp"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <utility>

namespace gyled::mqtt {
namespace {

/// Ends the identity and each filter: no topic may hold it (MQTT 5.0, section 4.7.3).
constexpr char end_of_text = '\0';

std::string written(const std::string& identity, const SessionMark::Filters& filters) {
    std::string text = identity;
    for (const std::string& filter : filters) text += end_of_text + filter;
    return text;
}

}  // namespace

SessionMark::SessionMark(const std::string& spool, std::string identity)
    : path_{spool.empty() ? std::string{} : spool + ".session"}, identity_{std::move(identity)} {
    if (path_.empty()) return;
    std::ifstream file{path_, std::ios::binary};
    std::string known;
    stands_ = std::getline(file, known, end_of_text) && known == identity_;
    while (stands_ && std::getline(file, known, end_of_text)) filters_.push_back(std::move(known));
}

SessionMark::Filters SessionMark::others_than(const Filters& filters) const {
    Filters others;
    std::ranges::copy_if(filters_, std::back_inserter(others), [&](const std::string& filter) {
        return std::ranges::find(filters, filter) == filters.end();
    });
    return others;
}

void SessionMark::set(Filters filters) {
    if (std::exchange(stands_, true) && filters == filters_) return;
    filters_ = std::move(filters);
    if (!path_.empty())
        std::ofstream{path_, std::ios::binary | std::ios::trunc} << written(identity_, filters_);
}

}  // namespace gyled::mqtt
