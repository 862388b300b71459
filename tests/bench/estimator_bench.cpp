/// Prints what one running batch costs against its age: memory in use, memory of the process, and the longest
/// single call of `observe` and of a grid step. A reading a minute of temperature, gravity and pressure.
/// Usage: estimator_bench [sealed|supplied|ferment] [days]

#include <fmt/format.h>
#include <malloc.h>
#include <time.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "daemon/estimation/batch_estimator.hpp"

namespace {

using namespace gyled::estimation;
using gyled::base::HeadSpace;
using gyled::base::Quantity;
using gyled::base::StageKind;
using namespace std::chrono_literals;

double heap_mb() {
    const auto info = mallinfo2();
    return static_cast<double>(info.uordblks + info.hblkhd) / 1e6;
}

double resident_mb() {
    std::ifstream status{"/proc/self/status"};
    for (std::string word; status >> word;)
        if (word == "VmRSS:") {
            double kb = 0;
            status >> kb;
            return kb / 1e3;
        }
    return NAN;
}

/// CPU time, so that a busy machine does not show.
double cpu_ms() {
    timespec t{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return 1e3 * static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_nsec);
}

struct Longest {
    double ms = 0;
    template <class Call>
    void of(Call call) {
        const double begin = cpu_ms();
        call();
        ms = std::max(ms, cpu_ms() - begin);
    }
};

struct Scene {
    std::string name;
    StageEntry stage;
};

BatchContext context() {
    BatchContext context;
    context.total_volume_l = 26;
    context.beer_volume_l = 21;
    context.gravity.original_gravity = 1.048;
    context.target_co2_volumes = 2.4;
    return context;
}

void live(const Scene& scene, int days_max) {
    constexpr std::array ages{1, 20, 60, 120, 180, 365};
    const Timestamp start = gyled::base::from_unix_seconds(1'772'388'000);
    std::mt19937 random{1};
    std::normal_distribution<double> noise{0, 1};
    const bool ferments = scene.stage.kind == StageKind::ferment;
    const double heap_before = heap_mb();
    BatchEstimator estimator{context(), start};
    StageEntry stage = scene.stage;
    stage.at = start;
    estimator.enter(stage);
    Longest observe, step;
    double total_ms = 0;
    std::size_t age = 0;
    for (long minute = 0; age < ages.size() && ages[age] <= days_max; ++minute) {
        const Timestamp now = start + 1min * minute;
        const double hours = static_cast<double>(minute) / 60;
        const double sg = ferments ? 1.010 + 0.038 / (1 + std::exp((hours - 48) / 12)) : 1.010;
        observe.of([&] {
            estimator.observe(Quantity::beer_temperature, now, (ferments ? 19 : 4) + 0.05 * noise(random));
            estimator.observe(Quantity::gravity, now, sg + 0.0005 * noise(random));
            estimator.observe(Quantity::head_pressure, now,
                              (ferments ? 0 : 80) + 0.2 * noise(random) + 0.5 * std::sin(hours / 24));
        });
        if (minute % 15 == 0) {
            const double begin = cpu_ms();
            step.of([&] { estimator.advance(now, 1); });
            total_ms += cpu_ms() - begin;
        }
        if (minute == ages[age] * 24L * 60) {
            fmt::print("{:<10}{:>6} d{:>10.2f}{:>10.2f}{:>12.2f}{:>10.2f}{:>14.2f}\n", scene.name, ages[age],
                       heap_mb() - heap_before, resident_mb(), observe.ms, step.ms,
                       total_ms / (static_cast<double>(ages[age]) * 24 * 4));
            ++age;
        }
    }
    // A reading that is 30 hours late, and all that follows from it.
    estimator.observe(Quantity::gravity, start + 24h * days_max - 30h, 1.0101);
    const double begin = cpu_ms();
    Longest late;
    std::size_t steps = 0;
    while (estimator.is_behind(start + 24h * days_max)) {
        late.of([&] { steps += estimator.advance(start + 24h * days_max, 1).size(); });
    }
    fmt::print("{:<10} a reading 30 h late: {} steps, {:.0f} ms in all, {:.1f} ms at most\n", scene.name,
               steps, cpu_ms() - begin, late.ms);
}

}  // namespace

int main(int argc, char** argv) {
    const std::string only = argc > 1 ? argv[1] : "";
    const int days = argc > 2 ? std::atoi(argv[2]) : 365;
    const std::vector<Scene> scenes{
        {"sealed", {{}, StageKind::condition, HeadSpace::sealed, {}, {}}},
        {"supplied", {{}, StageKind::condition, HeadSpace::supplied, 80.0, {}}},
        {"ferment", {{}, StageKind::ferment, HeadSpace::vented, {}, {}}},
    };
    std::setvbuf(stdout, nullptr, _IOLBF, 0);  // shown as it comes
    fmt::print("{:<10}{:>8}{:>10}{:>10}{:>12}{:>10}{:>14}\n", "batch", "age", "heap MB", "RSS MB",
               "observe ms", "step ms", "mean step ms");
    for (const Scene& scene : scenes)
        if (only.empty() || only == scene.name) live(scene, days);
}
