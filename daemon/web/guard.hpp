#pragma once
/// Who may ask, and who may write, over TCP. Over the Unix socket the file's permissions have decided
/// already.

#include <chrono>
#include <cstdint>
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

/// Is it of the characters that RFC 3986 lets stand in a host with its port? Another value is malformed, not
/// merely somebody else's (RFC 9112, 3.2). Empty is well-formed.
[[nodiscard]] bool is_host_value(std::string_view host);

/// Whose connection or guess this is: the address, of IPv6 its first 64 bits, for one household has that
/// many.
[[nodiscard]] std::string neighbourhood(const std::string& address);

/// How slow guessing is made. The right token is never held up, whatever others do, or a guesser behind the
/// same address (a proxy has but one) could lock its owner out. So this slows whoever waits for an answer;
/// what keeps the others out is the token's length: at a thousand guesses a second, the half of 16 random hex
/// digits takes 300 million years.
struct GuessParameters {
    int free_per_address = 5;  ///< wrong ones a minute that are answered at once: typing errors
    int free_in_all = 30;      ///< the same from all addresses together: guessers may have many
    std::chrono::milliseconds first_delay{500};  ///< for the first one beyond; doubled for each further one
    std::chrono::milliseconds longest_delay{8'000};  ///< well below the patience of a browser
    std::chrono::seconds memory{60};                 ///< after so long without a wrong one all is forgotten
    std::size_t addresses = 256;  ///< remembered; beyond, the longest quiet one is forgotten
};

/// The bearer token of writes. Time is an argument.
class TokenCheck {
public:
    using Time = std::chrono::steady_clock::time_point;
    enum class Verdict {
        accepted,
        missing,     ///< no Authorization header: not a guess, not counted
        wrong,       ///< not this one, or not a bearer token
        no_writing,  ///< no token was configured
    };
    struct Answer {
        Verdict verdict{};
        std::chrono::milliseconds held_back{};  ///< how long this answer is to be in coming
    };

    explicit TokenCheck(std::string token, GuessParameters parameters = {});
    /// `authorization` is the header's value, empty when there is none; `address` the peer's.
    [[nodiscard]] Answer check(std::string_view authorization, const std::string& address, Time now);
    /// Wrong ones so far.
    [[nodiscard]] std::uint64_t wrong() const { return wrong_; }

private:
    struct Failures {
        int count = 0;
        Time last;
    };
    [[nodiscard]] bool is_right(std::string_view authorization) const;
    [[nodiscard]] bool is_forgotten(const Failures& failures, Time now) const;
    void forget(Time now);
    void count(Failures& failures, Time now) const;
    [[nodiscard]] std::chrono::milliseconds delay_after(int beyond) const;

    std::string token_;
    GuessParameters parameters_;
    std::map<std::string, Failures> by_address_;
    Failures in_all_;
    std::uint64_t wrong_ = 0;
};

}  // namespace gyled::web
