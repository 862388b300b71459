#pragma once
/// One batch whose truth is known: what was so, what instruments said, what the brewer told. SG 20/20, degC.
///
/// **The end** is the moment from which on the gravity stays within 0.0005 SG of its terminal value: what
/// `finish_time` foretells. "Finished" may be said from the moment within 0.0007 on. The terminal value of a
/// batch is where its curve tends to; of one that creeps later, where it tended to before; a batch that is
/// stuck, or that sleeps in the cold before its end, has no end and is not asked for one.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "daemon/base/quantity.hpp"
#include "daemon/base/stage.hpp"
#include "daemon/base/time.hpp"

namespace gyled::ferment_worlds {

using base::Timestamp;

inline constexpr double end_sg = 0.0005;     ///< within so much of its terminal value it is at its end
inline constexpr double finish_sg = 0.0007;  ///< and may be called finished
inline constexpr base::Duration grid = std::chrono::minutes{15};

struct Quarter {
    double sg = 1;
    double beer_c = 20;
    base::StageKind stage = base::StageKind::ferment;
};

struct Reading {
    Timestamp at;
    base::Quantity quantity{};
    double value = 0;
    bool by_hand = false;
};

struct StageTold {
    Timestamp at;
    base::StageKind kind{};
    double celsius = 20;
};

struct World {
    std::string family;  ///< as in the table
    std::string plan;    ///< how it is kept warm: "constant", "crash the day after the end"
    std::uint64_t number = 0;
    base::Culture culture = base::Culture::ale;
    Timestamp begin;
    double original_sg = 1.05;
    double terminal_sg = 1.01;
    double told_original_sg = 1.05;
    std::optional<double> told_final_sg;  ///< the brewer's expectation
    std::vector<Quarter> quarters;        ///< the first a quarter of an hour after `begin`
    std::vector<Reading> readings;        ///< in order of time
    std::vector<StageTold> stages;        ///< as entered; the first at `begin`
    std::vector<StageTold> planned;       ///< told at the beginning, with their times
    bool has_an_end = true;
    std::optional<double> stopped_h;  ///< since when the yeast is at work no more, though it is warm
    std::optional<double> chilled_h;  ///< since when it is cold
    std::optional<double> creeps_h;   ///< since when late sugar is eaten

    [[nodiscard]] static double hour_of(std::size_t quarter) {
        return 0.25 * static_cast<double>(quarter + 1);
    }
    [[nodiscard]] Timestamp time_of(double hour) const { return begin + base::hours(hour); }
    [[nodiscard]] const Quarter& at(double hour) const;
    [[nodiscard]] double share_done(double hour) const;  ///< of the drop to the terminal value
    /// First hour at which this share is done; nothing when never.
    [[nodiscard]] std::optional<double> hour_of_share(double share) const;
    /// First hour from which on it stays within that much of its terminal value; nothing when there is no
    /// end.
    [[nodiscard]] std::optional<double> hour_within(double sg) const;
    [[nodiscard]] double hours() const { return hour_of(quarters.size() - 1); }
    [[nodiscard]] std::string name() const { return family + ' ' + std::to_string(number); }
};

}  // namespace gyled::ferment_worlds
