#pragma once
/// A log to replay: lines of UNIX_SECONDS TOPIC PAYLOAD.

#include <cstdio>

#include "sensors/virtual_vessel/outlet.hpp"

namespace gyled::virtual_vessel {

class LogOutlet final : public Outlet {
public:
    /// "-" is stdout. Throws when the file cannot be opened.
    explicit LogOutlet(const std::string& path);
    ~LogOutlet() override;
    LogOutlet(const LogOutlet&) = delete;
    LogOutlet& operator=(const LogOutlet&) = delete;

    void deliver(const Document& document) override;
    void finish() override;

private:
    std::string path_;
    std::FILE* file_;
};

/// Writes a whole file ("-" is stdout). Throws when it cannot.
void write_file(const std::string& path, const std::string& text);

}  // namespace gyled::virtual_vessel
