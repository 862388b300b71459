#pragma once
/// From bytes on a topic to judged readings: match, decode, calibrate, judge; count what could not be used,
/// by reason.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "sensors/reading.hpp"

namespace gyled::sensors {

enum class PayloadKind { number, json, senml };
/// automatic: RFC 3339 text, else seconds, or ms when > 1e11
enum class TimeUnit { automatic, seconds, milliseconds, rfc3339 };

/// How to get from the sensor's own raw value to the true one: element, then unit conversion, then
/// polynomial, table and offset. With `on_raw` polynomial and table come before the unit conversion, for a
/// curve that was measured in the sensor's own unit (or in no unit, as a float's angle).
struct Calibration {
    double offset = 0;               ///< added, in the canonical unit
    std::vector<double> polynomial;  ///< a0 + a1 x + a2 x^2 ...; empty: identity
    /// (raw, true), piecewise linear, raw ascending; empty: identity
    std::vector<std::pair<double, double>> table;
    /// Transducers, applied first to the raw number; see calibrate/.
    enum class Element { none, steinhart_hart, pt100, ratiometric, beta } element = Element::none;
    /// S-H: A,B,C (ohm -> degC); Pt100: R0 (default 100); ratiometric: supply V, full scale in the sensor's
    /// unit; beta: ohm at 25 degC, beta in K, and the reference temperature in degC when it is not 25.
    std::vector<double> element_constants;
    bool on_raw = false;
};

struct Availability {
    std::string topic;
    std::string yes = "online";
    std::string no = "offline";
};

/// One [[sensor]] of the configuration.
struct SensorSpec {
    std::string id;      ///< unique; made from vessel and quantity when the person gives none
    std::string vessel;  ///< vessel id
    Quantity measures{};
    std::string topic;  ///< MQTT topic filter, + and # allowed
    PayloadKind payload = PayloadKind::number;
    std::string pointer;  ///< RFC 6901 for json; the resolved name for senml; empty for number
    /// As written: "degC", "degF", "SG", "degP", "kPa", "bar", "psi", ...; empty: canonical.
    std::string unit;
    std::string time_pointer;  ///< json only; empty: time of arrival (senml carries its own)
    TimeUnit time_unit = TimeUnit::automatic;
    bool absolute = false;  ///< pressure reads absolute
    Duration silent_after = std::chrono::minutes{45};
    /// Plausible range in the canonical unit; absent: the quantity's default.
    std::optional<double> low, high;
    Calibration calibration;
    std::optional<Availability> available;
};

/// Why a payload gave no usable reading; each reason is a counter. "not_a_number", "no_such_pointer", ...
struct Reject {
    std::string sensor;  ///< empty when no sensor claims the topic
    std::string topic;
    std::string reason;  ///< short_snake_case, a counter's name
    std::string detail;  ///< a sentence that names the place: "expected a number, found a string at /sg"
};

/// All that one message yields.
struct Intaken {
    /// Those with the verdict `accepted` or `last_known`, and judged-out ones with their verdict.
    std::vector<Reading> readings;
    /// Also one for each reading judged out, so that every loss is counted once.
    std::vector<Reject> rejects;
};

/// How one sensor is doing, for status and page.
struct SensorHealth {
    std::string id, vessel, topic;
    Quantity measures{};
    std::optional<Timestamp> last_at;  ///< event time of the last accepted reading
    std::optional<double> last_value;
    std::optional<double> last_known;  ///< from a retained message without a time
    std::uint64_t accepted = 0;
    std::map<std::string, std::uint64_t> rejected;  ///< by reason
    std::string last_reject;                        ///< the last detail
    std::optional<bool> available;
    std::uint64_t clock_ahead = 0;  ///< accepted at their arrival, because their own time lay in the future
    bool stuck = false;             ///< the very same value for more than 24 h, though it used to change
};

/// A message is read by each sensor that claims its topic, and each gives at least one outcome: a reading or
/// a reject (SenML may give several). Memory is bounded: 10,000 topics and some 2,000 to 4,000 past readings
/// per sensor are remembered. Thread: one (the main loop). Never throws on input; throws
/// std::invalid_argument from the constructor for a spec that cannot work (bad filter, bad pointer, unknown
/// unit), naming the sensor.
class Intake {
public:
    explicit Intake(std::vector<SensorSpec> sensors);
    ~Intake();
    Intake(Intake&&) noexcept;
    Intake& operator=(Intake&&) noexcept;

    [[nodiscard]] Intaken accept(const Message& message);
    [[nodiscard]] std::vector<std::string> topic_filters() const;  ///< distinct, sensors and availability
    [[nodiscard]] std::vector<SensorHealth> health() const;
    /// Totals by reason, unclaimed topics too.
    [[nodiscard]] std::map<std::string, std::uint64_t> rejected() const;
    [[nodiscard]] std::uint64_t accepted() const;
    /// Tells the judge where a sensor stood (after a restart), so that duplicates and jumps are still seen.
    void remember(const std::string& sensor, Timestamp at, double value);

private:
    struct State;
    std::unique_ptr<State> state_;
};

/// Does this MQTT topic match this filter? Per MQTT 5 section 4.7, $-topics not matched by leading wildcards.
[[nodiscard]] bool topic_matches(std::string_view filter, std::string_view topic);
[[nodiscard]] bool topic_filter_valid(std::string_view filter);
/// Is this unit known for the quantity? (For configuration checks.)
[[nodiscard]] bool unit_fits(Quantity q, std::string_view unit);
[[nodiscard]] std::vector<std::string> units_for(Quantity q);
/// From the named unit to the canonical one. Precondition: unit_fits.
[[nodiscard]] double to_canonical(Quantity q, std::string_view unit, double value);

}  // namespace gyled::sensors
