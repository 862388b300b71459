#include "daemon/web/api.hpp"

#include <algorithm>
#include <array>

#include "daemon/web/assets.hpp"
#include "daemon/web/call.hpp"

namespace gyled::web {
namespace {

/// A handler that knows the whole answer at once.
template <Reply (*handle)(const Call&)>
Handled now(const Call& call) {
    return handle(call);
}

struct Route {
    std::string_view method;
    std::string_view path;
    Handled (*handle)(const Call&);
};

// clang-format off
constexpr std::array routes{
    Route{"GET",  "/api",                            now<index_reply>},
    Route{"GET",  "/api/vessels",                    now<vessels_reply>},
    Route{"GET",  "/api/vessels/{id}",               now<vessel_reply>},
    Route{"GET",  "/api/vessels/{id}/trend",         trend_answer},
    Route{"GET",  "/api/vessels/{id}/values",        values_answer},
    Route{"GET",  "/api/vessels/{id}/what-if",       what_if_answer},
    Route{"GET",  "/api/vessels/{id}/carbonation",   carbonation_answer},
    Route{"GET",  "/api/vessels/{id}/packaging",     packaging_answer},
    Route{"POST", "/api/vessels/{id}/readings",      now<import_readings>},
    Route{"POST", "/api/vessels/{id}/batch",         now<start_batch>},
    Route{"POST", "/api/vessels/{id}/batch/end",     now<end_batch>},
    Route{"POST", "/api/vessels/{id}/batch/undo",    now<undo_step>},
    Route{"POST", "/api/vessels/{id}/stage",         now<enter_stage>},
    Route{"POST", "/api/vessels/{id}/measurements",  now<take_measurement>},
    Route{"DELETE", "/api/vessels/{id}/measurements/latest", now<undo_measurement>},
    Route{"GET",  "/api/vessels/{id}/learned",       now<learned_reply>},
    Route{"DELETE", "/api/vessels/{id}/learned",     now<forget_vessel>},
    Route{"GET",  "/api/cultures",                   now<cultures_reply>},
    Route{"DELETE", "/api/cultures",                 now<forget_culture>},
    Route{"PATCH", "/api/vessels/{id}/batch",        now<correct_batch>},
    Route{"GET",  "/api/batches",                    batches_answer},
    Route{"GET",  "/api/batches/{id}/report",        report_answer},
    Route{"GET",  "/api/alarms",                     alarms_answer},
    Route{"POST", "/api/alarms/acknowledge",         now<acknowledge>},
    Route{"POST", "/api/alarms/shelve",              now<shelve>},
    Route{"GET",  "/api/sensors",                    now<sensors_reply>},
    Route{"GET",  "/api/events",                     now<events_reply>},
    Route{"GET",  "/metrics",                        now<metrics_reply>},
    Route{"GET",  "/health",                         now<health_reply>},
};
// clang-format on

static_assert(std::ranges::all_of(routes,
                                  [](const Route& r) { return r.method == "GET" || is_write(r.method); }),
              "another method must first be known to is_write");

/// The id when the path fits the pattern; empty when the pattern asks for none.
std::optional<std::string> match(std::string_view pattern, const std::vector<std::string>& path) {
    std::string id;
    std::size_t i = 0;
    while (!pattern.empty()) {
        pattern.remove_prefix(1);  // the slash
        const std::string_view wanted = pattern.substr(0, pattern.find('/'));
        pattern.remove_prefix(wanted.size());
        if (i == path.size()) return std::nullopt;
        if (wanted == "{id}")
            id = path[i];
        else if (wanted != path[i])
            return std::nullopt;
        ++i;
    }
    if (i != path.size()) return std::nullopt;
    return id;
}

Reply asset_reply(const Asset& asset) {
    return {.content_type = std::string{asset.content_type},
            .body = std::string{asset.bytes},
            .gzipped = asset.gzipped,
            .etag = asset.etag,
            .headers = {{"Cache-Control", "no-cache"}}};
}

Reply wrong_method(std::string_view method, std::string_view allowed) {
    Reply reply = problem(405, "Method not allowed",
                          "This address does not answer to " + std::string{method.substr(0, 20)} + ".");
    reply.headers.emplace_back("Allow", allowed);
    return reply;
}

/// The page's files have one name each: "/" or a single segment.
const Asset* asset_at(const std::vector<std::string>& path) {
    if (path.empty()) return find_asset("index.html");
    return path.size() == 1 ? find_asset(path[0]) : nullptr;
}

}  // namespace

Handled answer(const Request& request, Backend& backend) {
    std::optional<Target> target = parse_target(request.target);
    if (!target) return problem(400, "Bad request target", "The address is not a plain path with a query.");

    const std::string_view method = request.method == "HEAD" ? "GET" : std::string_view{request.method};
    std::string allowed;
    for (const Route& route : routes) {
        std::optional<std::string> id = match(route.path, target->path);
        if (!id) continue;
        if (route.method == method)
            return route.handle({request, *std::move(id), std::move(target->query), backend});
        allowed +=
            (allowed.empty() ? "" : ", ") + std::string{route.method == "GET" ? "GET, HEAD" : route.method};
    }
    if (!allowed.empty()) return wrong_method(request.method, allowed);

    if (const Asset* asset = asset_at(target->path))
        return method == "GET" ? asset_reply(*asset) : wrong_method(request.method, "GET, HEAD");
    return problem(404, "Not found", "Nothing lives at this address. GET /api lists what does.");
}

}  // namespace gyled::web
