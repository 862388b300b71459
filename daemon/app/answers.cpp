#include "daemon/app/answers.hpp"

namespace gyled::app {

web::Trend Answers::trend(const std::string& vessel, base::Quantity quantity, web::Timestamp from,
                          web::Timestamp to, std::size_t points) const {
    auto stored = from_.store.trend(vessel, quantity, from, to, points);
    return {std::move(stored.at), std::move(stored.value), std::move(stored.low), std::move(stored.high)};
}

std::vector<batch::Record> Answers::batches(std::size_t limit) const {
    return from_.store.batches(limit);
}

std::vector<alarms::Transition> Answers::alarms(std::size_t limit,
                                                std::optional<web::Timestamp> before) const {
    return from_.store.alarms(limit, before);
}

base::Result<bool, web::Problem> Answers::command(const cellar::Command& command) {
    const auto problems = from_.carry_out(command);
    if (problems.empty()) return true;
    std::string detail;
    for (const std::string& problem : problems) detail += (detail.empty() ? "" : " ") + problem;
    return base::Unexpected{web::Problem{409, "This cannot be done now", detail}};
}

base::Result<batch::Plan, web::Problem> Answers::batch_plan(const std::string& toml) {
    auto plan = config::parse_batch(toml, "batch");
    if (plan) return std::move(plan).value();
    std::string detail;
    for (const auto& mistake : plan.error()) detail += (detail.empty() ? "" : "\n") + mistake.text();
    return base::Unexpected{web::Problem{400, "The batch file has mistakes", detail}};
}

}  // namespace gyled::app
