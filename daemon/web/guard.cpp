#include "daemon/web/guard.hpp"

#include <openssl/crypto.h>
#include <openssl/sha.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/ip/address.hpp>

#include "daemon/web/without_case.hpp"

namespace gyled::web {
namespace {

using boost::asio::ip::make_address;
using boost::asio::ip::make_address_v4;

bool is_address(std::string_view text) {
    boost::system::error_code error;
    static_cast<void>(make_address(text, error));
    return !error;
}

bool is_port(std::string_view text) {
    return text.size() <= 5 && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

/// Equal in a time that depends on neither text: their digests are compared.
bool same_secret(std::string_view a, std::string_view b) {
    std::array<unsigned char, SHA256_DIGEST_LENGTH> da{}, db{};
    SHA256(reinterpret_cast<const unsigned char*>(a.data()), a.size(), da.data());
    SHA256(reinterpret_cast<const unsigned char*>(b.data()), b.size(), db.data());
    return CRYPTO_memcmp(da.data(), db.data(), da.size()) == 0;
}

}  // namespace

bool host_is_ours(std::string_view host, const std::vector<std::string>& names) {
    if (host.starts_with('[')) {
        const std::size_t end = host.find(']');
        if (end == std::string_view::npos) return false;
        const std::string_view rest = host.substr(end + 1);
        return is_address(host.substr(1, end - 1)) &&
               (rest.empty() || (rest[0] == ':' && is_port(rest.substr(1))));
    }
    std::string_view name = host.substr(0, host.find(':'));
    if (name.size() < host.size() && !is_port(host.substr(name.size() + 1))) return false;
    if (is_address(name)) return true;
    if (name.ends_with('.')) name.remove_suffix(1);
    const auto is_name = [&](std::string_view ours) { return equal_without_case(ours, name); };
    return is_name("localhost") || std::ranges::any_of(names, is_name);
}

std::vector<std::string> names_of_this_machine() {
    std::array<char, 256> name{};
    if (::gethostname(name.data(), name.size() - 1) != 0 || name[0] == '\0') return {};
    const std::string full{name.data()};
    const std::string bare = full.substr(0, full.find('.'));
    return {full, bare, bare + ".local"};
}

bool is_host_value(std::string_view host) {
    constexpr std::string_view allowed =
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~%!$&'()*+,;=:[]";
    return host.find_first_not_of(allowed) == std::string_view::npos;
}

std::string neighbourhood(const std::string& address) {
    boost::system::error_code error;
    const auto parsed = make_address(address, error);
    if (error || !parsed.is_v6()) return address;
    if (parsed.to_v6().is_v4_mapped())
        return make_address_v4(boost::asio::ip::v4_mapped, parsed.to_v6()).to_string();
    auto bytes = parsed.to_v6().to_bytes();
    std::fill(bytes.begin() + 8, bytes.end(), static_cast<unsigned char>(0));
    return boost::asio::ip::address_v6(bytes).to_string();
}

TokenCheck::TokenCheck(std::string token, GuessParameters parameters)
    : token_{std::move(token)}, parameters_{parameters} {}

bool TokenCheck::is_right(std::string_view authorization) const {
    constexpr std::string_view scheme = "Bearer ";
    const bool is_bearer = equal_without_case(authorization.substr(0, scheme.size()), scheme);
    return is_bearer && same_secret(authorization.substr(scheme.size()), token_);
}

bool TokenCheck::is_forgotten(const Failures& failures, Time now) const {
    return now - failures.last >= parameters_.memory;
}

void TokenCheck::forget(Time now) {
    std::erase_if(by_address_, [&](const auto& entry) { return is_forgotten(entry.second, now); });
    while (by_address_.size() > parameters_.addresses) {
        const auto quieter = [](const auto& a, const auto& b) { return a.second.last < b.second.last; };
        by_address_.erase(std::ranges::min_element(by_address_, quieter));
    }
}

void TokenCheck::count(Failures& failures, Time now) const {
    if (is_forgotten(failures, now)) failures.count = 0;
    ++failures.count;
    failures.last = now;
}

std::chrono::milliseconds TokenCheck::delay_after(int beyond) const {
    if (beyond <= 0) return {};
    auto delay = parameters_.first_delay;
    for (int doubled = 1; doubled < beyond && delay < parameters_.longest_delay; ++doubled) delay *= 2;
    return std::min(delay, parameters_.longest_delay);
}

TokenCheck::Answer TokenCheck::check(std::string_view authorization, const std::string& address, Time now) {
    if (token_.empty()) return {Verdict::no_writing};
    if (authorization.empty()) return {Verdict::missing};
    if (is_right(authorization)) return {Verdict::accepted};

    ++wrong_;
    Failures& from_there = by_address_[neighbourhood(address)];
    count(from_there, now);
    count(in_all_, now);
    const int beyond =
        std::max(from_there.count - parameters_.free_per_address, in_all_.count - parameters_.free_in_all);
    forget(now);
    return {Verdict::wrong, delay_after(beyond)};
}

}  // namespace gyled::web
