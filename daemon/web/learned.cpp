/// What gyled has learnt of vessels and cultures, and forgetting it.

#include "daemon/json/learned.hpp"

#include "daemon/web/body.hpp"

namespace gyled::web {

Reply learned_reply(const Call& call) {
    const auto view = call.backend.vessel(call.id);
    if (!view) return no_such_vessel(call);
    return json_reply(json::learned_of_vessel(*view, call.backend.display()));
}

Reply forget_vessel(const Call& call) {
    if (!call.backend.vessel(call.id)) return no_such_vessel(call);
    return carried_out(call, cellar::ForgetVessel{call.id, call.backend.now()});
}

Reply cultures_reply(const Call& call) {
    return json_reply({{"cultures", json::learned_cultures(call.backend.learned())}});
}

Reply forget_culture(const Call& call) {
    const auto body = body_object(call, {"culture"});
    if (!body) return body.error();
    if (!body->contains("culture") || !(*body)["culture"].is_string())
        return bad_body("'culture' must be the name of one.");
    const std::string name = (*body)["culture"].get<std::string>();
    return carried_out(call, cellar::ForgetCulture{name, call.backend.now()});
}

}  // namespace gyled::web
