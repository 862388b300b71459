#pragma once
/// A small file beside the spool that says with which broker we have a session, and what it may hold: without
/// it a first start could not be told from a broker that has forgotten us, nor a topic that is ours from one
/// that only an earlier configuration asked for.

#include <string>
#include <vector>

namespace gyled::mqtt {

/// Thread: one at a time. Never throws: without the file a loss over our own restart goes unnoticed, and what
/// an earlier configuration asked for goes on coming, to be refused.
class SessionMark {
public:
    using Filters = std::vector<std::string>;

    /// `spool` as in the settings; empty: nothing is remembered. `identity`: the broker's address and our
    /// name there.
    SessionMark(const std::string& spool, std::string identity);

    [[nodiscard]] bool stands() const { return stands_; }
    /// What the session may be subscribed to beside these.
    [[nodiscard]] Filters others_than(const Filters& filters) const;
    /// The session stands, and may be subscribed to these.
    void set(Filters filters);

private:
    std::string path_, identity_;
    Filters filters_;
    bool stands_ = false;
};

}  // namespace gyled::mqtt
