// May the beer of a vessel go into bottles or cans?

#include <cmath>

#include "daemon/batch/packaging_check.hpp"
#include "daemon/display/typed_value.hpp"
#include "daemon/json/views.hpp"
#include "daemon/web/call.hpp"

namespace gyled::web {
namespace {

using base::Quantity;
using base::Unexpected;
using batch::PackagingAnswer;
using batch::PackagingAsked;

constexpr double storage_c_max = 40;  ///< as far as the solubility holds

Reply bad(std::string_view name, const std::string& why) {
    return problem(400, "Bad parameter", "'" + std::string{name} + "': " + why);
}

/// A value as it was typed; the default when it was not.
base::Result<double, Reply> typed(const Call& call, const char* name, Quantity quantity, double usual) {
    const auto found = call.query.find(name);
    if (found == call.query.end()) return usual;
    const auto value = display::typed_value(found->second, quantity, call.backend.display());
    if (!value) return Unexpected{bad(name, value.error())};
    return value->canonical;
}

/// One of a table's names; the first of it when none was said.
template <class Table>
base::Result<std::size_t, Reply> named(const Call& call, const char* parameter, const Table& table) {
    const auto found = call.query.find(parameter);
    if (found == call.query.end()) return std::size_t{0};
    std::string known;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const auto& [name, value] = table[i];
        if (name == found->second) return i;
        known += (known.empty() ? "" : ", ") + std::string{name};
    }
    return Unexpected{bad(parameter, "one of " + known + ".")};
}

base::Result<PackagingAsked, Reply> asked(const Call& call) {
    PackagingAsked out;
    const auto package = named(call, "into", brewing::package_kinds);
    if (!package) return Unexpected{package.error()};
    out.package = brewing::package_kinds[*package];
    const auto sugar = named(call, "sugar", brewing::sugars);
    if (!sugar) return Unexpected{sugar.error()};
    out.sugar = brewing::sugars[*sugar].second;
    const auto target = typed(call, "target", Quantity::co2_volumes, NAN);
    if (!target) return Unexpected{target.error()};
    if (std::isfinite(*target)) out.target_volumes = *target;
    const auto serving = typed(call, "serving", Quantity::beer_temperature, out.serving_c);
    if (!serving) return Unexpected{serving.error()};
    const auto storage = typed(call, "storage", Quantity::beer_temperature, out.storage_c);
    if (!storage) return Unexpected{storage.error()};
    if (*serving < 0 || *storage < 0 || *serving > storage_c_max || *storage > storage_c_max)
        return Unexpected{bad("storage", "the sum holds from 0 to 40 degC.")};
    out.serving_c = *serving;
    out.storage_c = *storage;
    return out;
}

Json figure(Quantity quantity, const base::Estimate& estimate, const display::Display& display) {
    return std::isfinite(estimate.value) ? json::estimate_json(quantity, estimate, display) : Json(nullptr);
}

Json answer_json(const PackagingAnswer& answer, const PackagingAsked& asked,
                 const display::Display& display) {
    return {{"schema", 1},
            {"nothing_found", answer.nothing_found()},
            {"package", asked.package.name},
            {"package_limit", json::value_json(Quantity::co2_volumes, asked.package.volumes_max, display)},
            {"co2_now", figure(Quantity::co2_volumes, answer.now, display)},
            {"from_extract", figure(Quantity::co2_volumes, answer.from_extract, display)},
            {"from_sugar", figure(Quantity::co2_volumes, answer.from_sugar, display)},
            {"in_all", figure(Quantity::co2_volumes, answer.in_all, display)},
            {"sugar_g_per_litre", json::number(answer.sugar_g_per_litre)},
            {"serving_temperature", json::value_json(Quantity::beer_temperature, asked.serving_c, display)},
            {"serving_pressure", figure(Quantity::head_pressure, answer.serving_kpa, display)},
            {"storage_temperature", json::value_json(Quantity::beer_temperature, asked.storage_c, display)},
            {"storage_pressure", figure(Quantity::head_pressure, answer.warm_kpa, display)},
            {"against", answer.against},
            {"cautions", answer.cautions}};
}

/// The running batch's record stands in the store: its measurements are in no view.
const batch::Record* find(const std::vector<batch::Record>& all, const std::string& id) {
    const auto found = std::ranges::find(all, id, &batch::Record::id);
    return found == all.end() ? nullptr : &*found;
}

constexpr std::size_t batches_looked_through = 100;  ///< newest first; a running one is among them

}  // namespace

Handled packaging_answer(const Call& call) {
    const auto view = call.backend.vessel(call.id);
    if (!view) return no_such_vessel(call);
    if (!view->batch) return problem(409, "No batch", "No batch is in " + view->spec.name + ".");
    const auto wanted = asked(call);
    if (!wanted) return wanted.error();
    return [view = *view, asked = *wanted, display = call.backend.display()](const History& history) {
        const auto all = history.batches(batches_looked_through);
        const batch::Record* const record = find(all, view.batch->id);
        if (record == nullptr) return problem(503, "Not stored", "The batch's record is not stored yet.");
        const auto answer =
            batch::check_packaging(asked, {*record, view.estimates, view.ambient, view.at}, display);
        return json_reply(answer_json(answer, asked, display));
    };
}

}  // namespace gyled::web
