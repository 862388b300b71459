#pragma once
/// Where documents go.

#include <optional>
#include <string>

#include "sensors/virtual_vessel/document.hpp"

namespace gyled::virtual_vessel {

/// One thread. Throws std::runtime_error, with a sentence for people, when nothing more can be delivered.
class Outlet {
public:
    virtual ~Outlet() = default;
    /// Takes a document, waiting while the other side has not kept up.
    virtual void deliver(const Document& document) = 0;
    /// Waits until all is delivered, or some seconds have passed.
    virtual void finish() = 0;
    /// The next command that someone sent to the vessel, if any.
    virtual std::optional<std::string> next_command() { return std::nullopt; }
    /// Tells those who send commands what became of one.
    virtual void answer(const std::string& /*text*/) {}
};

}  // namespace gyled::virtual_vessel
