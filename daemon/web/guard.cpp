#include "daemon/web/guard.hpp"

#include <openssl/crypto.h>
#include <openssl/sha.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/ip/address.hpp>
#include <boost/beast/core/string.hpp>

namespace gyled::web {
namespace {

using boost::asio::ip::make_address;

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

/// One household has 2^64 addresses of IPv6: they count as one.
std::string neighbourhood(const std::string& address) {
    boost::system::error_code error;
    const auto parsed = make_address(address, error);
    if (error || !parsed.is_v6()) return address;
    auto bytes = parsed.to_v6().to_bytes();
    std::fill(bytes.begin() + 8, bytes.end(), static_cast<unsigned char>(0));
    return boost::asio::ip::address_v6(bytes).to_string();
}

constexpr std::size_t addresses_remembered = 256;

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
    const auto is_name = [&](std::string_view ours) { return boost::beast::iequals(ours, name); };
    return is_name("localhost") || std::ranges::any_of(names, is_name);
}

std::vector<std::string> names_of_this_machine() {
    std::array<char, 256> name{};
    if (::gethostname(name.data(), name.size() - 1) != 0 || name[0] == '\0') return {};
    const std::string full{name.data()};
    const std::string bare = full.substr(0, full.find('.'));
    return {full, bare, bare + ".local"};
}

TokenCheck::TokenCheck(std::string token) : token_{std::move(token)} {}

void TokenCheck::forget_before(Time now) {
    std::erase_if(failures_, [&](const auto& entry) { return now - entry.second.first >= memory; });
    while (failures_.size() > addresses_remembered) {
        const auto older = [](const auto& a, const auto& b) { return a.second.first < b.second.first; };
        failures_.erase(std::ranges::min_element(failures_, older));
    }
}

TokenCheck::Verdict TokenCheck::check(std::string_view authorization, const std::string& address, Time now) {
    if (token_.empty()) return Verdict::no_writing;
    if (authorization.empty()) return Verdict::missing;

    const std::string from = neighbourhood(address);
    forget_before(now);
    const auto known = failures_.find(from);
    if (known != failures_.end() && known->second.count >= tries) return Verdict::wait;

    constexpr std::string_view scheme = "Bearer ";
    const bool is_bearer = boost::beast::iequals(authorization.substr(0, scheme.size()), scheme);
    if (is_bearer && same_secret(authorization.substr(scheme.size()), token_)) {
        failures_.erase(from);
        return Verdict::accepted;
    }
    const auto entry = failures_.try_emplace(from, Failures{0, now}).first;
    ++entry->second.count;
    return Verdict::wrong;
}

}  // namespace gyled::web
