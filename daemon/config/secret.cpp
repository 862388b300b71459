/// Secrets: named in the configuration, kept in files of their own.

#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <system_error>

#include "daemon/config/section.hpp"

namespace gyled::config {
namespace {

using base::Unexpected;
using Text = base::Result<std::string, std::string>;

constexpr std::size_t secret_size_max = 64 * 1024;

std::string reason() {
    return std::system_category().message(errno);
}

/// Why this file cannot keep a secret; empty when it can.
std::string objection_to(const std::string& file) {
    struct stat facts {};
    if (::stat(file.c_str(), &facts) != 0) return fmt::format("{}: {}", file, reason());
    if (!S_ISREG(facts.st_mode)) return fmt::format("{} is not a file", file);
    if ((facts.st_mode & 077U) != 0)
        return fmt::format(
            "{} may be read or written by others (mode {:o}); a secret needs mode 600: chmod 600 {}", file,
            facts.st_mode & 0777U, file);
    return {};
}

Text content_of(const std::string& file) {
    std::ifstream stream{file, std::ios::binary};
    if (!stream) return Unexpected{fmt::format("{}: {}", file, reason())};
    std::string text{std::istreambuf_iterator<char>{stream}, {}};
    if (text.size() > secret_size_max) return Unexpected{fmt::format("{} is too large for a secret", file)};
    while (text.ends_with('\n') || text.ends_with('\r')) text.pop_back();
    if (text.empty()) return Unexpected{fmt::format("{} is empty", file)};
    return text;
}

/// The folder that the unit of the service hands over (LoadCredential=), as seen from outside the service.
std::string objection_to_credential(const std::string& name, const Report& report) {
    if (std::getenv("CREDENTIALS_DIRECTORY") != nullptr) {
        const Text text = read_secret({name, ""});
        return text ? std::string{} : fmt::format("credential '{}': {}", name, text.error());
    }
    errno = 0;
    const Text text = content_of(report.beside_file("secrets/" + name));
    if (text) return {};
    const char* const remedy = errno == EACCES
                                   ? "only root may look at it: check with sudo"
                                   : "the service takes its credentials from that folder; if yours come from "
                                     "elsewhere, set CREDENTIALS_DIRECTORY to it for this check";
    return fmt::format("credential '{}': {}; {}", name, text.error(), remedy);
}

/// Why this secret cannot be had, as far as the report looks; empty when it can.
std::string objection_to(const Secret& secret, const Report& report) {
    if (secret.file.empty()) return objection_to_credential(secret.credential, report);
    if (std::string objection = objection_to(secret.file); !objection.empty()) return objection;
    if (!report.looks_at_everything()) return {};
    const Text text = content_of(secret.file);
    return text ? std::string{} : text.error();
}

}  // namespace

void Section::secret(std::string_view key, Secret& target) {
    const toml::node* const node = find(key);
    if (node == nullptr) return;
    if (node->is_string()) {
        mistake(key,
                fmt::format(
                    "{0}: a secret does not stand in this file; write {0} = {{ credential = \"name\" }} or "
                    "{0} = {{ file = \"path\" }}",
                    key));
        return;
    }
    auto how = table(key);
    if (!how) return;
    how->text("credential", target.credential);
    how->path("file", target.file);
    how->finish();
    if (target.credential.find('/') != std::string::npos) {
        how->mistake("credential", "credential: a name, not a path");
        return;
    }
    if (how->has("credential") == how->has("file")) {
        mistake(key, fmt::format("{}: either credential or file", key));
        return;
    }
    if (!target.given()) {
        mistake(key, fmt::format("{}: the name is empty", key));
        return;
    }
    const std::string_view named = target.file.empty() ? "credential" : "file";
    if (target.file.empty() ? report_->looks_at_everything() : report_->looks_at_files())
        if (const std::string why = objection_to(target, *report_); !why.empty()) how->mistake(named, why);
}

Text read_secret(const Secret& secret) {
    if (!secret.file.empty()) {
        if (std::string objection = objection_to(secret.file); !objection.empty())
            return Unexpected{std::move(objection)};
        return content_of(secret.file);
    }
    if (secret.credential.empty() || secret.credential.find('/') != std::string::npos)
        return Unexpected{std::string{"no secret is named"}};
    const char* const folder = std::getenv("CREDENTIALS_DIRECTORY");
    if (folder == nullptr)
        return Unexpected{fmt::format(
            "credential '{}': the service manager hands over none ($CREDENTIALS_DIRECTORY is not set); "
            "outside of it use file = \"path\"",
            secret.credential)};
    // A folder of credentials named "secret" puts its name in front of each file's.
    const std::string with_folder = fmt::format("{}/secret_{}", folder, secret.credential);
    if (Text text = content_of(with_folder)) return text;
    return content_of(fmt::format("{}/{}", folder, secret.credential));
}

}  // namespace gyled::config
