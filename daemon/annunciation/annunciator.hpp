#pragma once
/// Who hears of a transition, and whether anybody does: the stage between "it is true" (alarms) and "it is on
/// its way" (notify). One for each panel: a vessel's, or the watch's.
///
/// Thread: one. Deterministic: time is an argument, its log is its only memory. No errors: what cannot be
/// annunciated is recorded.

#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/occurrence.hpp"
#include "daemon/annunciation/notice.hpp"
#include "daemon/annunciation/quiet_hours.hpp"
#include "daemon/base/clock.hpp"

namespace gyled::annunciation {

/// One messenger, as far as the choice of recipients goes.
struct Recipient {
    std::string name;
    alarms::Priority at_least{};        ///< hears this priority and above; drills always
    std::optional<QuietHours> quiet{};  ///< then it hears what is critical, and the rest in one when they end
    /// Not zero: it hears only of critical alarms that nobody has acknowledged for so long, and of drills.
    base::Duration unacknowledged_for{};
    friend bool operator==(const Recipient&, const Recipient&) = default;
};

/// Does this notice go to this recipient?
[[nodiscard]] bool is_for(const Notice& notice, const Recipient& recipient);

/// When annunciation holds its tongue.
struct Policy {
    base::Duration old_after = std::chrono::hours{1};    ///< evidence older than this annunciates nobody: the
                                                         ///< sensor slept or history was imported
    base::Duration news_after = std::chrono::hours{12};  ///< information is given up to this age of its fact:
                                                         ///< over breakfast it still is news
    base::Duration repeat_every = std::chrono::minutes{30};  ///< of a critical one that nobody acknowledges
    std::size_t often = 4;                                   ///< raises of one subject ...
    base::Duration often_within = std::chrono::hours{1};  ///< ... within this are chattering: the rest is not
                                                          ///< told, unless it is critical ...
    base::Duration calm_after = std::chrono::minutes{30};  ///< ... or has stood for so long since
    std::size_t kept_most = 50;  ///< for one recipient's digest; the oldest give way
};

/// What was annunciated of one occurrence: whoever heard the beginning hears the return.
struct Annunciated {
    std::string alarm;                 ///< id of the occurrence
    alarms::Priority priority{};       ///< the most urgent step that was annunciated
    base::Timestamp at;                ///< of the last time that it was
    std::vector<std::string> heard{};  ///< by these recipients: they hear of its return
    base::Timestamp first{};           ///< when it was at first
    friend bool operator==(const Annunciated&, const Annunciated&) = default;
};

/// When one subject was raised of late, oldest first.
struct Often {
    std::string subject;  ///< an occurrence's id without the moment
    std::vector<base::Timestamp> raised;
    friend bool operator==(const Often&, const Often&) = default;
};

/// Plain and versioned with VesselState: nothing is annunciated twice across a restart.
struct Log {
    std::vector<Annunciated> entries;  ///< of what stands, and of information that still holds; oldest first;
                                       ///< at most one for each rule and subject
    std::vector<Kept> kept{};          ///< for the end of quiet hours, oldest first
    std::vector<Often> often{};        ///< of the last hour
    friend bool operator==(const Log&, const Log&) = default;
};

/// The log of a database of version 1, which kept only whether a standing alarm's last step rang.
[[nodiscard]] Log log_from(const std::vector<alarms::Transition>& standing);

class Annunciator {
public:
    explicit Annunciator(std::vector<Recipient> recipients, Policy policy = {}, Letterhead letterhead = {});

    /// To be called after every evaluation, with its transitions and what stands now. Marks those transitions
    /// that it annunciates and returns their notices. An occurrence that was held back and whose reason has
    /// gone (its cause has returned to normal, fresh evidence has come) is annunciated now: its transition,
    /// raised and dated `now`, is appended, to be recorded like the others.
    [[nodiscard]] std::vector<Notice> annunciate(std::vector<alarms::Transition>& transitions,
                                                 const std::vector<alarms::Occurrence>& standing,
                                                 base::Timestamp now);
    /// Fills in who is to carry a notice that no transition makes: the end of a stage, a drill. For others it
    /// may be kept until their quiet hours end.
    [[nodiscard]] Notice address(Notice notice);
    /// The clock was set: the same moments have other names.
    void set_clock(const base::ClockSet& set);

    [[nodiscard]] const Log& log() const { return log_; }
    /// Takes up what `log` gave.
    void restore(Log log) { log_ = std::move(log); }

private:
    struct Moment;  ///< what stands, and when
    [[nodiscard]] bool is_suppressed(const alarms::Transition& step, const Moment& moment) const;
    [[nodiscard]] bool is_chattering(const alarms::Transition& step, const Moment& moment) const;
    [[nodiscard]] bool is_old(const alarms::Transition& step, const Moment& moment) const;
    void take_raise(alarms::Transition& step, const Moment& moment, std::vector<Notice>& notices);
    void take_return(alarms::Transition& step, const Moment& moment, std::vector<Notice>& notices);
    void take_late(std::vector<alarms::Transition>& transitions, const Moment& moment,
                   std::vector<Notice>& notices);
    void take_unacknowledged(const Moment& moment, std::vector<Notice>& notices);
    void take_kept(base::Timestamp now, std::vector<Notice>& notices);
    [[nodiscard]] bool is_kept_from(const Recipient& recipient, const Notice& notice) const;
    void keep(const Recipient& recipient, const Notice& notice);
    bool drop_kept(const Recipient& recipient, const std::string& alarm);
    void hand_to(const Recipient& recipient, Notice& notice);
    [[nodiscard]] std::size_t times_of_late(const alarms::Transition& step) const;
    [[nodiscard]] Annunciated* find(const std::string& alarm);
    [[nodiscard]] bool has_rung(const std::string& alarm) const;
    Annunciated& note(const alarms::Transition& step);
    void note_raise(const alarms::Transition& step);
    void forget(const std::string& alarm);

    std::vector<Recipient> recipients_;
    Policy policy_;
    Letterhead letterhead_;
    Log log_;
};

}  // namespace gyled::annunciation
