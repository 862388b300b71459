#include "daemon/cli/document_text.hpp"

namespace gyled::cli {

std::string text_of(const Json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_string() ? found->get<std::string>() : std::string{};
}

std::string spoken(std::string name) {
    for (char& c : name)
        if (c == '_') c = ' ';
    return name;
}

}  // namespace gyled::cli
