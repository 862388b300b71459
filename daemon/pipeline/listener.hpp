#pragma once
/// What others hear of the pipeline's work: the log, the page, the broker, the phone; or the lines of a
/// replay.

#include <string>

#include "daemon/annunciation/notice.hpp"
#include "daemon/cellar/effects.hpp"
#include "daemon/mqtt/source.hpp"
#include "daemon/pipeline/store.hpp"
#include "sensors/intake.hpp"

namespace gyled::pipeline {

/// Thread: the pipeline's; called within its functions, so it must be quick, must not throw and must not call
/// back. Must outlive the pipeline.
class Listener {
public:
    virtual ~Listener() = default;

    virtual void on_connection(const mqtt::ConnectionEvent&) {}
    /// Every reading, whatever its verdict, before the core has seen it.
    virtual void on_reading(const sensors::Reading&) {}
    virtual void on_reject(const sensors::Reject&) {}
    /// What a reading, a command or the passing of time led to; not yet committed.
    virtual void on_effects(const cellar::Effects&) {}
    /// The group stands in the store, its notices in the outbox.
    virtual void on_commit(const Commit&) {}
    /// The store failed, in its own words; the group is kept and given again.
    virtual void on_commit_failure(const std::string& /*problem*/) {}
    /// Of a group that could not be committed: it will never be in the outbox, so deliver it directly.
    virtual void on_unstored_notice(const annunciation::Notice&) {}
};

}  // namespace gyled::pipeline
