#pragma once
/// What a person (or the edge) tells the core. Each carries its own time, the moment from which it holds.
/// Plain values, copied; nobody keeps them. A command that cannot be carried out changes nothing, and
/// `Effects::problems` says why in words for the person.

#include <string>
#include <variant>
#include <vector>

#include "daemon/base/impairment.hpp"
#include "daemon/batch/correction.hpp"
#include "daemon/batch/move.hpp"
#include "daemon/batch/record.hpp"

namespace gyled::cellar {

using base::Duration;
using base::Timestamp;

/// Does the person go on in spite of what of the plan is doubtful in its vessel (batch/plate_check.hpp)? What
/// is dangerous is refused in any case, but of the past.
enum class Consent : std::uint8_t {
    none,   ///< not asked yet: a doubt refuses the command, and the answer tells it
    given,  ///< told of the doubts, the person goes on
    past,   ///< a recorded log: what has happened is told and not refused
};

/// Starts the plan's first stage at `at`, or at the stages' own start times when they have them. Refused
/// while the vessel holds a batch, for a plan without stages, when its litres do not fit, and when the vessel
/// does not bear what is planned.
struct StartBatch {
    batch::Plan plan;
    Timestamp at;
    std::string id{};  ///< empty: the core makes one from vessel, name and time
    Consent consent = Consent::none;
};
/// Moves to the next planned stage, past it or back, or to `index` of the plan (0 is the first) when given.
/// Refused without a batch, beyond the plan, before the present stage began, and when the vessel does not
/// bear the stage. (One that begins by its planned start is not refused:
/// the view tells what of it the vessel does not bear.)
struct EnterStage {
    std::string vessel;
    Timestamp at;
    std::optional<std::size_t> index;
    std::string why = "by hand";
    Consent consent = Consent::none;
    batch::Move move = batch::Move::next;  ///< when no `index` is given
};
/// Takes the last step back, as if it had never been: the stage entered last, or the end of the batch as long
/// as no other has begun in its vessel. The stage before stands again with its clock as it was left. Refused
/// when the batch has only begun, or none is known.
struct UndoStep {
    std::string vessel;
    Timestamp at;
};
/// The vessel is empty, or what is in it is nobody's concern any more: the record is closed, what the batch
/// taught of its culture and its vessel is kept, and rules of a batch cease. Pressure is watched on.
struct EndBatch {
    std::string vessel;
    Timestamp at;
    std::string why = "by hand";
};
/// What a person read from an instrument, in canonical units (SG 20/20, volumes of CO2, kPa gauge), or how
/// many times they purged the head space. Refused, with the
/// likely meaning, when it cannot be what it says it is or when nothing would use it.
struct Measure {
    std::string vessel;
    batch::HandMeasurement measurement;
};
/// Takes back the newest measurement, or the one taken at `measured_at`; belief goes on as if it had never
/// been. Refused when there is none.
struct UndoMeasurement {
    std::string vessel;
    Timestamp at;
    std::optional<Timestamp> measured_at;
};
/// Corrects the running batch; what is not given stays. Everything derived follows. Refused when the
/// correction brings with it what the vessel does not bear.
struct CorrectBatch : batch::Correction {
    std::string vessel;
    Timestamp at;
    Consent consent = Consent::none;
};
/// What batches taught of a vessel holds no more: it has another stone, lid or filling height. The running
/// batch believes nothing of it either.
struct ForgetVessel {
    std::string vessel;
    Timestamp at;
};
/// What batches of a culture taught holds no more: it is another yeast. What runs keeps what it began with;
/// those to come begin anew. Refused for a culture that has taught nothing.
struct ForgetCulture {
    std::string culture;
    Timestamp at;
};
/// Somebody has seen it: it is not annunciated again while it stands as it is. Refused for an alarm that does
/// not stand.
struct Acknowledge {
    std::string alarm;  ///< its id, as transitions and views carry it
    Timestamp at;
};
/// Silence for a while, chosen by a person; it ends by itself. Refused for longer than
/// alarms::ShelvingParameters allow: an alarm that guards people comes back within a day.
struct Shelve {
    std::string alarm;  ///< its id
    Timestamp at, until;
    std::string reason;  ///< in the person's words, for the log; may be empty
};
/// From the edge, at each change: without a broker no sensor can be heard, and their silence is no news.
struct BrokerState {
    bool connected = false;
    Timestamp at;
};

/// What of the watch itself does not work now: all of it, in an order that stays. The broker apart.
struct Impaired {
    base::Impairments impairments;
    Timestamp at;
};

using Command =
    std::variant<StartBatch, EnterStage, UndoStep, EndBatch, Measure, UndoMeasurement, CorrectBatch,
                 ForgetVessel, ForgetCulture, Acknowledge, Shelve, BrokerState, Impaired>;

}  // namespace gyled::cellar
