#pragma once
/// A request answered by the API, on an invented cellar.

#include <nlohmann/json.hpp>

#include "daemon/web/api.hpp"
#include "tests/fuzz/claim.hpp"
#include "tests/web/fake/harbour_cellar.hpp"

namespace gyled::fuzz {

inline void answered(const web::Request& request, web::HarbourCellar& cellar) {
    web::Handled handled = web::answer(request, cellar);
    if (const auto* question = std::get_if<web::Question>(&handled)) handled = (*question)(cellar);
    const web::Reply& reply = std::get<web::Reply>(handled);
    claim(reply.status >= 200 && reply.status < 500);
    if (reply.content_type.find("json") != std::string::npos) claim(nlohmann::json::accept(reply.body));
}

}  // namespace gyled::fuzz
