#include "daemon/cli/calc/sum.hpp"

#include <algorithm>

#include "daemon/brewing/atmosphere.hpp"

namespace gyled::cli::calc {

base::Pressure Site::ambient() const {
    return brewing::atmosphere_at(elevation_m.value_or(0));
}

std::optional<double> Given::find(std::string_view name) const {
    const auto found = numbers_.find(name);
    return found == numbers_.end() ? std::nullopt : std::optional{found->second};
}

std::string_view Given::word(std::string_view name) const {
    const auto found = words_.find(name);
    return found == words_.end() ? std::string_view{} : found->second;
}

Figure exactly(std::string_view name, Kind kind, double value) {
    return {name, kind, {value, value, value}};
}

Figure within(std::string_view name, Kind kind, double value, double doubt) {
    return {name, kind, {value, value - doubt, value + doubt}};
}

Figure between(std::string_view name, Kind kind, double value, double one_end, double other_end) {
    return {name, kind, {value, std::min(one_end, other_end), std::max(one_end, other_end)}};
}

const std::vector<Sum>& all_sums() {
    static const std::vector<Sum> all = [] {
        std::vector<Sum> sums;
        for (const auto group : {brew_day_sums, gravity_sums, carbonation_sums, closed_vessel_sums,
                                 serving_sums, surroundings_sums})
            for (Sum& sum : group()) sums.push_back(std::move(sum));
        return sums;
    }();
    return all;
}

}  // namespace gyled::cli::calc
