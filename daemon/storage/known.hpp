#pragma once
/// What the writer knows from one group to the next: the numbers that stand for vessels and sensors in the
/// file, so that they are looked up once, and what it has refused, so that it is said once.

#include <cstdint>
#include <set>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/storage/database.hpp"

namespace gyled::storage {

/// Thread: the writer's. Call within a transaction, and `forget` when that is rolled back.
class Known {
public:
    /// A vessel that nobody described yet gets its id for a name.
    [[nodiscard]] std::int64_t vessel(Database& database, const std::string& key);
    [[nodiscard]] std::int64_t series(Database& database, const std::string& sensor,
                                      const std::string& vessel, base::Quantity quantity);
    void forget();

    void refuse(std::string words);
    [[nodiscard]] std::vector<std::string> take_refusals() { return std::exchange(refusals_, {}); }

private:
    struct Series {
        std::string vessel;
        base::Quantity quantity{};
        std::int64_t id = 0;
    };
    std::unordered_map<std::string, std::int64_t> vessels_;
    std::unordered_map<std::string, Series> series_;  ///< by sensor: the one it was last
    std::set<std::string> refused_;                   ///< all that ever was
    std::vector<std::string> refusals_;               ///< what nobody has taken yet
};

}  // namespace gyled::storage
