#include "daemon/web/metrics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "daemon/web/watch.hpp"

namespace gyled::web {
namespace {

using Labels = std::vector<std::pair<std::string_view, std::string_view>>;

/// Within quotes the format escapes three characters; other bytes pass, so control characters become spaces.
std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\' || c == '"') out += '\\';
        if (c == '\n')
            out += "\\n";
        else
            out += static_cast<unsigned char>(c) < 0x20 ? ' ' : c;
    }
    return out;
}

/// Writes families one after another: the head once, then its samples.
class Page {
public:
    void family(std::string_view name, std::string_view type, std::string_view help) {
        name_ = name;
        text_ += fmt::format("# HELP {} {}\n# TYPE {} {}\n", name, help, name, type);
    }
    void sample(double value, const Labels& labels = {}) {
        text_ += name_;
        for (std::size_t i = 0; i < labels.size(); ++i)
            text_ +=
                fmt::format("{}{}=\"{}\"", i == 0 ? '{' : ',', labels[i].first, escaped(labels[i].second));
        text_ += labels.empty() ? " " : "} ";
        text_ += std::isnan(value)   ? "NaN"
                 : std::isinf(value) ? (value > 0 ? "+Inf" : "-Inf")
                                     : fmt::format("{}", value);
        text_ += '\n';
    }
    void only(std::string_view name, std::string_view type, std::string_view help, double value) {
        family(name, type, help);
        sample(value);
    }
    [[nodiscard]] std::string text() && { return std::move(text_); }

private:
    std::string name_, text_;
};

double seconds(Timestamp t) {
    return base::unix_seconds(t);
}

void impairments(Page& page, const WatchState& watch) {
    page.only("gyled_healthy", "gauge", "1 while no alarm can be missed: /health answers 200.",
              !may_miss_an_alarm(watch.status));
    page.family("gyled_impairment", "gauge", "How many of this kind stand: what of the watch does not work.");
    for (const std::string_view name : impairment_names())
        page.sample(static_cast<double>(std::ranges::count(watch.impairments, name, &base::Impairment::name)),
                    {{"name", name}});
}

/// All from zero, so that an alert on their increase has a first value to compare with.
void losses(Page& page, const WatchFigures::Losses& lost) {
    const auto counter = [&](std::string_view name, std::string_view help, std::uint64_t count) {
        page.only(name, "counter", help, static_cast<double>(count));
    };
    counter("gyled_messages_oversized_total", "Payloads longer than any sensor's, refused before the spool.",
            lost.messages_oversized);
    counter("gyled_messages_unclaimed_total",
            "Messages on topics that no sensor names, refused before the spool.", lost.messages_unclaimed);
    counter("gyled_readings_dropped_total", "Readings judged that store, memory and spool had no room for.",
            lost.readings_unkept);
    counter("gyled_broker_sessions_lost_total",
            "Connects at which the broker had forgotten us and what it kept.", lost.broker_sessions);
    counter("gyled_publications_dropped_total", "What we publish, dropped while the broker was away or slow.",
            lost.publications);
    counter("gyled_spool_failures_total", "Messages that a crash would have cost: not written to the spool.",
            lost.spool_failures);
    counter("gyled_spool_torn_bytes_total",
            "Bytes that an earlier run left in the spool and that are no message.", lost.spool_torn_bytes);
}

void watch(Page& page, const Backend& backend) {
    const WatchFigures f = backend.figures();
    const Health h = backend.health();
    page.family("gyled_build_info", "gauge", "Always 1; the label tells the version.");
    page.sample(1, {{"version", GYLED_VERSION}});
    page.only("gyled_start_time_seconds", "gauge", "When the daemon started, Unix time.", seconds(f.started));
    impairments(page, watch_state(backend));
    page.only("gyled_broker_connected", "gauge", "1 while the broker is connected.", h.broker_connected);
    page.only("gyled_store_ok", "gauge", "1 while the store takes what it is given.", h.store_ok);
    if (h.last_reading)
        page.only("gyled_last_reading_timestamp_seconds", "gauge", "Event time of the newest reading.",
                  seconds(*h.last_reading));
    if (h.last_commit)
        page.only("gyled_last_commit_timestamp_seconds", "gauge", "When the store last committed.",
                  seconds(*h.last_commit));
    page.only("gyled_last_commit_duration_seconds", "gauge", "How long the last commit took.",
              f.last_commit_seconds);
    page.only("gyled_messages_received_total", "counter", "Messages taken from the broker.",
              static_cast<double>(f.messages_received));
    page.only("gyled_readings_stored_total", "counter", "Readings written to the store.",
              static_cast<double>(f.readings_stored));
    page.only("gyled_readings_unstored", "gauge", "Readings judged that wait in the spool for the store.",
              static_cast<double>(f.readings_unstored));
    losses(page, f.lost);
    page.only("gyled_queue_depth", "gauge", "Messages waiting for the main loop.",
              static_cast<double>(f.queue_depth));
    page.only("gyled_outbox_pending", "gauge", "Notices not yet delivered.",
              static_cast<double>(f.outbox_pending));
    page.only("gyled_notices_delivered_total", "counter", "Notices that reached a messenger.",
              static_cast<double>(f.notices_delivered));
    page.only("gyled_notices_failed_total", "counter", "Deliveries that failed for good.",
              static_cast<double>(f.notices_failed));
    page.family("gyled_readings_rejected_total", "counter", "Payloads and readings not used, by reason.");
    for (const auto& [reason, count] : backend.rejected())
        page.sample(static_cast<double>(count), {{"reason", reason}});
}

void sensors(Page& page, const std::vector<sensors::SensorHealth>& all) {
    const auto labels = [](const sensors::SensorHealth& s) {
        return Labels{{"sensor", s.id}, {"vessel", s.vessel}, {"quantity", base::name(s.quantity)}};
    };
    page.family("gyled_sensor_accepted_total", "counter", "Readings believed, by sensor.");
    for (const auto& s : all) page.sample(static_cast<double>(s.accepted), labels(s));
    page.family("gyled_sensor_rejected_total", "counter",
                "Readings and payloads not used, by sensor and reason.");
    for (const auto& s : all)
        for (const auto& [reason, count] : s.rejected) {
            Labels with_reason = labels(s);
            with_reason.emplace_back("reason", reason);
            page.sample(static_cast<double>(count), with_reason);
        }
    page.family("gyled_sensor_last_reading_timestamp_seconds", "gauge",
                "Event time of a sensor's last reading.");
    for (const auto& s : all)
        if (s.last_at) page.sample(seconds(*s.last_at), labels(s));
}

void vessels(Page& page, const std::vector<cellar::VesselView>& all) {
    const auto labels = [](const cellar::VesselView& v, base::Quantity q) {
        return Labels{{"vessel", v.spec.id}, {"quantity", base::name(q)}, {"unit", base::unit(q)}};
    };
    page.family("gyled_measured", "gauge", "Last accepted reading, canonical units, pressures gauge.");
    for (const auto& v : all)
        for (const auto& [q, latest] : v.latest) page.sample(latest.value, labels(v, q));
    page.family("gyled_measured_timestamp_seconds", "gauge", "Event time of the last accepted reading.");
    for (const auto& v : all)
        for (const auto& [q, latest] : v.latest)
            page.sample(seconds(latest.at), {{"vessel", v.spec.id}, {"quantity", base::name(q)}});

    const auto estimates = [&](std::string_view name, std::string_view help, double base::Estimate::*part) {
        page.family(name, "gauge", help);
        for (const auto& v : all)
            for (const auto& [q, estimate] : v.estimates) page.sample(estimate.*part, labels(v, q));
    };
    estimates("gyled_estimate", "What is believed, canonical units; moments in Unix seconds.",
              &base::Estimate::value);
    estimates("gyled_estimate_low", "Lower end of the 90 % interval.", &base::Estimate::low);
    estimates("gyled_estimate_high", "Upper end of the 90 % interval.", &base::Estimate::high);

    page.family("gyled_alarm_standing", "gauge", "1 for each alarm that stands.");
    for (const auto& v : all)
        for (const auto& alarm : v.alarms)
            page.sample(1, {{"vessel", v.spec.id},
                            {"rule", alarm.last.rule},
                            {"subject", alarm.last.subject},
                            {"priority", alarms::name(alarm.last.priority)}});
}

}  // namespace

std::string metrics_text(const Backend& backend) {
    Page page;
    watch(page, backend);
    sensors(page, backend.sensors());
    vessels(page, backend.vessels());
    return std::move(page).text();
}

}  // namespace gyled::web
