#include "daemon/web/assets.hpp"

#include <fmt/format.h>
#include <openssl/sha.h>

#include <array>
#include <map>

#include "daemon/web/gzip.hpp"

namespace gyled::web {
namespace {

std::string_view content_type(std::string_view name) {
    if (name.ends_with(".html")) return "text/html; charset=utf-8";
    if (name.ends_with(".css")) return "text/css; charset=utf-8";
    if (name.ends_with(".js")) return "text/javascript; charset=utf-8";
    if (name.ends_with(".svg")) return "image/svg+xml";
    if (name.ends_with(".json")) return "application/json";
    if (name.ends_with(".webmanifest")) return "application/manifest+json";
    return "application/octet-stream";
}

std::string etag(std::string_view bytes) {
    std::array<unsigned char, SHA256_DIGEST_LENGTH> digest{};
    SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), digest.data());
    constexpr std::ptrdiff_t enough = 12;
    return fmt::format("W/\"{:02x}\"", fmt::join(digest.begin(), digest.begin() + enough, ""));
}

std::map<std::string_view, Asset> ready() {
    std::map<std::string_view, Asset> assets;
    for (const EmbeddedFile& file : embedded_files()) {
        std::string small = gzipped(file.bytes);
        if (small.size() >= file.bytes.size()) small.clear();
        assets.emplace(file.name,
                       Asset{content_type(file.name), file.bytes, std::move(small), etag(file.bytes)});
    }
    return assets;
}

}  // namespace

const Asset* find_asset(std::string_view name) {
    static const std::map<std::string_view, Asset> assets = ready();
    const auto found = assets.find(name);
    return found == assets.end() ? nullptr : &found->second;
}

}  // namespace gyled::web
