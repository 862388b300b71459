#pragma once
/// Who may ask, and who may write, over TCP. Over the Unix socket the file's permissions have decided
/// already.

#include <chrono>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace gyled::web {

/// Against DNS rebinding: a page of somebody else, whose name was made to point here, says its own name in
/// Host. localhost, IP literals and the given names are ours; a port after them does not matter.
[[nodiscard]] bool host_is_ours(std::string_view host, const std::vector<std::string>& names);

/// What this machine is called on its own network: its host name, also with ".local" (mDNS). Nobody outside
/// can make these point here.
[[nodiscard]] std::vector<std::string> names_of_this_machine();

/// The bearer token of writes. Wrong ones are counted per address (of IPv6 the first 64 bits), so that
/// guessing is slow: after `tries` of them, that address waits until they are a minute old. Time is an
/// argument.
class TokenCheck {
public:
    using Time = std::chrono::steady_clock::time_point;
    enum class Verdict {
        accepted,
        missing,     ///< no Authorization header: not a guess, not counted
        wrong,       ///< not this one, or not a bearer token
        wait,        ///< too many wrong ones from there
        no_writing,  ///< no token was configured
    };
    static constexpr int tries = 5;
    static constexpr std::chrono::seconds memory{60};

    explicit TokenCheck(std::string token);
    /// `authorization` is the header's value, empty when there is none; `address` the peer's.
    [[nodiscard]] Verdict check(std::string_view authorization, const std::string& address, Time now);

private:
    struct Failures {
        int count = 0;
        Time first;
    };
    void forget_before(Time now);

    std::string token_;
    std::map<std::string, Failures> failures_;
};

}  // namespace gyled::web
