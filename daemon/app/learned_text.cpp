#include "daemon/app/learned_text.hpp"

#include <nlohmann/json.hpp>

namespace gyled::app {

std::string to_text(const estimation::LearnedCurve& curve) {
    return nlohmann::json{{"edition", curve.edition},
                          {"batches", curve.batches},
                          {"mean", curve.mean},
                          {"covariance", curve.covariance}}
        .dump();
}

std::optional<estimation::LearnedCurve> learned_from_text(const std::string& text) try {
    const auto json = nlohmann::json::parse(text);
    return estimation::LearnedCurve{json.at("edition").get<int>(), json.at("batches").get<int>(),
                                    json.at("mean").get<std::vector<double>>(),
                                    json.at("covariance").get<std::vector<double>>()};
} catch (const nlohmann::json::exception&) {
    return std::nullopt;
}

}  // namespace gyled::app
