#pragma once
/// A small file beside the spool that says with which broker we have a session. Without it a first start
/// could not be told from a broker that has forgotten us.

#include <string>

namespace gyled::mqtt {

/// Thread: one at a time. Never throws: without the file a loss over our own restart goes unnoticed, no more.
class SessionMark {
public:
    /// `spool` as in the settings; empty: nothing is remembered. `identity`: the broker's address and our
    /// name there.
    SessionMark(const std::string& spool, std::string identity);

    [[nodiscard]] bool stands() const { return stands_; }
    void set();

private:
    std::string path_, identity_;
    bool stands_ = false;
};

}  // namespace gyled::mqtt
