#include "daemon/app/answers.hpp"

namespace gyled::app {

std::vector<cellar::StandingAlarm> Answers::watch_alarms() const {
    std::vector<cellar::StandingAlarm> standing;
    for (const alarms::Occurrence& occurrence : from_.core.watch_alarms())
        standing.push_back(
            {occurrence.last, occurrence.shelved_until, occurrence.present.text, occurrence.present.value});
    return standing;
}

base::Result<web::Understood, web::Problem> Answers::command(const cellar::Command& command) {
    pipeline::Answer answer = from_.carry_out(command);
    if (answer.problems.empty()) return std::move(answer.understood);
    std::string detail;
    for (const std::string& problem : answer.problems) detail += (detail.empty() ? "" : " ") + problem;
    const char* const title = answer.findings.empty()                ? "This cannot be done now"
                              : batch::is_dangerous(answer.findings) ? "The vessel does not bear this"
                                                                     : "This needs to be confirmed";
    return base::Unexpected{web::Problem{409, title, detail, std::move(answer.findings)}};
}

base::Result<std::size_t, web::Problem> Answers::take_history(const std::vector<sensors::Reading>& readings,
                                                              bool is_last) {
    auto stored = from_.take_history(readings, is_last);
    if (stored) return *stored;
    return base::Unexpected{web::Problem{503, "Not stored", stored.error()}};
}

base::Result<batch::Plan, web::Problem> Answers::batch_plan(const std::string& toml) {
    auto plan = config::parse_batch(toml, "batch");
    if (plan) return std::move(plan).value();
    std::string detail;
    for (const auto& mistake : plan.error()) detail += (detail.empty() ? "" : "\n") + mistake.text();
    return base::Unexpected{web::Problem{400, "The batch file has mistakes", detail}};
}

}  // namespace gyled::app
