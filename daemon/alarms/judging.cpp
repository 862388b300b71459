#include "daemon/alarms/judging.hpp"

#include <algorithm>
#include <cmath>

namespace gyled::alarms {
namespace {

bool continues_a_character(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

std::size_t characters(std::string_view text) {
    return text.size() -
           static_cast<std::size_t>(std::count_if(text.begin(), text.end(), continues_a_character));
}

/// Cuts to at most `most` characters; what is cut shows as an ellipsis.
std::string shortened(std::string text, std::size_t most) {
    if (characters(text) <= most) return text;
    std::size_t end = 0;
    for (std::size_t seen = 0; end < text.size(); ++end)
        if (!continues_a_character(text[end]) && ++seen == most) break;
    text.resize(end);
    return text + "…";
}

}  // namespace

std::optional<Latest> current(const Situation& now, base::Quantity quantity) {
    const auto found = now.latest.find(quantity);
    if (found == now.latest.end() || !std::isfinite(found->second.value)) return std::nullopt;
    Duration patience = Duration::zero();
    for (const SensorSilence& sensor : now.sensors)
        if (sensor.measures == quantity) patience = std::max(patience, sensor.silent_after);
    if (patience <= Duration::zero()) patience = std::chrono::minutes{45};
    if (now.at - found->second.at > patience) return std::nullopt;
    return found->second;
}

std::optional<double> believed(const Situation& now, base::Quantity quantity) {
    const auto found = now.estimates.find(quantity);
    if (found == now.estimates.end() || std::isnan(found->second.value)) return std::nullopt;
    return found->second.value;
}

bool all_silent(const Situation& now, base::Quantity quantity) {
    bool any = false;
    for (const SensorSilence& sensor : now.sensors) {
        if (sensor.measures != quantity) continue;
        any = true;
        if (sensor.last_at && now.at - *sensor.last_at <= sensor.silent_after) return false;
    }
    return any;
}

Verdict above(double value, double limit, double deadband) {
    if (value > limit) return Verdict::beyond;
    return value <= limit - deadband ? Verdict::within : Verdict::eased;
}

Verdict below(double value, double limit, double deadband) {
    return above(-value, -limit, deadband);
}

Finding against_band(const Latest& latest, const base::Band& band, double deadband) {
    if (!(band.low <= band.high)) return {.verdict = Verdict::dropped, .at = latest.at};
    const bool nearer_to_high = latest.value - band.low > band.high - latest.value;
    const double room = std::min(deadband, (band.high - band.low) / 4);
    return {.verdict =
                nearer_to_high ? above(latest.value, band.high, room) : below(latest.value, band.low, room),
            .at = latest.at,
            .value = latest.value,
            .limit = nearer_to_high ? band.high : band.low,
            .low_side = !nearer_to_high};
}

std::string who(const Scene& scene) {
    return scene.now.vessel_name.empty() ? scene.now.vessel : scene.now.vessel_name;
}

std::string spoken(std::string_view name) {
    std::string out{name};
    std::replace(out.begin(), out.end(), '_', ' ');
    return out;
}

std::string headline(std::string name, std::string_view rest) {
    constexpr std::size_t most = 60;
    const std::size_t taken = characters(rest);
    const std::size_t room = taken + 8 < most ? most - taken : 8;
    return shortened(shortened(std::move(name), room) + std::string(rest), most);
}

std::string lasted_and_worst(const Story& story, base::Quantity quantity) {
    std::string out = "Lasted " + display::duration_text(std::max(story.lasted, Duration::zero()));
    if (story.worst) out += ", at worst " + story.display.text(quantity, *story.worst);
    return out + ".";
}

}  // namespace gyled::alarms
