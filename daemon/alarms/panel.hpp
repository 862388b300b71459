#pragma once
/// All alarms of one vessel (or of the watch itself): judges what the core sees, tells what changed.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/alarms/alarm.hpp"
#include "daemon/alarms/occurrence.hpp"
#include "daemon/alarms/situation.hpp"
#include "daemon/alarms/tuning.hpp"
#include "daemon/base/result.hpp"
#include "daemon/display/display.hpp"

namespace gyled::alarms {

/// Who may hear of it. Late and imported news are recorded and ring nobody; when what they raised still
/// stands at the first judgement that everyone may hear, it rings then.
enum class Audience : std::uint8_t { everyone, nobody };

/// Thread: one. Deterministic: time comes with the situation; a time that runs backwards delays, it never
/// rings.
class AlarmPanel {
public:
    /// `vessel` empty: the watch itself, which judges only what concerns no vessel (broker_lost). Tunings for
    /// other vessels are passed over, and so are those that `check` objects to: a safety rule stays on.
    AlarmPanel(std::string vessel, std::vector<RuleTuning> tunings, display::Display display);
    ~AlarmPanel();
    AlarmPanel(AlarmPanel&&) noexcept;
    AlarmPanel& operator=(AlarmPanel&&) noexcept;

    /// To be called after every reading and at least once a minute, with the same vessel each time. Returns
    /// what others should hear: usually nothing. Also ends shelving whose time has come.
    [[nodiscard]] std::vector<Transition> judge(const Situation& situation,
                                                Audience audience = Audience::everyone);

    /// A person's words about an occurrence, by its id. The reason when it cannot be done, in words.
    base::Result<Transition, std::string> acknowledge(const std::string& alarm, Timestamp at);
    /// Silence until `until`: later than `at`, and at most 24 h later for a safety rule, 30 days for any
    /// other.
    base::Result<Transition, std::string> shelve(const std::string& alarm, Timestamp at, Timestamp until,
                                                 const std::string& reason = {});

    /// Alarms that stand, most urgent first, then oldest first. Information is not among them.
    [[nodiscard]] std::vector<Occurrence> standing() const;
    /// Everything to be remembered over a restart (information that was told, too), in a stable order.
    [[nodiscard]] std::vector<Occurrence> save() const;
    /// Takes up what `save` gave, or what `standing_from` made of recorded transitions; whatever stood before
    /// is forgotten. Rings nobody for what was told already. Occurrences of other vessels are passed over;
    /// those of rules that are no longer in use are cleared, silently, by the next judgement.
    void restore(const std::vector<Occurrence>& saved);

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace gyled::alarms
