#include "daemon/notify/http.hpp"

#include <curl/curl.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <memory>

namespace gyled::notify {
namespace {

constexpr std::size_t answer_kept = 64 * 1024;  // a relay repeats what it was given, then says its id
constexpr Duration longest_wish = std::chrono::hours{24};

struct Library {
    Library() { curl_global_init(CURL_GLOBAL_DEFAULT); }
};

struct Transfer {
    std::string answer;
    const std::atomic<bool>* hung_up;
};

using Handle = std::unique_ptr<CURL, decltype(&curl_easy_cleanup)>;
using Headers = std::unique_ptr<curl_slist, decltype(&curl_slist_free_all)>;

std::size_t keep_answer(char* data, std::size_t, std::size_t size, void* transfer) {
    std::string& answer = static_cast<Transfer*>(transfer)->answer;
    answer.append(data, std::min(size, answer_kept - std::min(answer_kept, answer.size())));
    return size;
}

int should_stop(void* transfer, curl_off_t, curl_off_t, curl_off_t, curl_off_t) {
    return static_cast<Transfer*>(transfer)->hung_up->load() ? 1 : 0;
}

bool has_line_break(std::string_view text) {
    return text.find_first_of(std::string_view{"\r\n\0", 3}) != std::string_view::npos;
}

Headers headers_of(const HttpRequest& request) {
    Headers list{nullptr, curl_slist_free_all};
    const auto add = [&](const std::string& line) {
        if (curl_slist* longer = curl_slist_append(list.get(), line.c_str())) {
            (void)list.release();
            list.reset(longer);
        }
    };
    for (const auto& [field, value] : request.headers)
        add(value.empty() ? field + ";" : field + ": " + value);
    add("Expect:");  // no round trip to ask whether a few hundred bytes are welcome
    return list;
}

bool set_up(CURL* curl, const HttpRequest& request, const Headers& headers, Transfer& transfer, char* error) {
    const auto timeout = static_cast<long>(std::clamp<Duration::rep>(request.timeout.count(), 1, 600'000));
    bool ok = true;
    const auto set = [&](auto option, auto value) {
        ok = ok && curl_easy_setopt(curl, option, value) == CURLE_OK;
    };
    set(CURLOPT_URL, request.url.c_str());
    set(CURLOPT_PROTOCOLS_STR, "http,https");
    set(CURLOPT_CUSTOMREQUEST, request.method.c_str());
    set(CURLOPT_POSTFIELDSIZE_LARGE, static_cast<curl_off_t>(request.body.size()));
    set(CURLOPT_POSTFIELDS, request.body.c_str());
    set(CURLOPT_HTTPHEADER, headers.get());
    set(CURLOPT_USERAGENT, "gyled/" GYLED_VERSION);
    set(CURLOPT_FOLLOWLOCATION, 0L);
    set(CURLOPT_TIMEOUT_MS, timeout);
    set(CURLOPT_CONNECTTIMEOUT_MS, timeout);
    set(CURLOPT_NOSIGNAL, 1L);
    set(CURLOPT_WRITEFUNCTION, keep_answer);
    set(CURLOPT_WRITEDATA, &transfer);
    set(CURLOPT_NOPROGRESS, 0L);
    set(CURLOPT_XFERINFOFUNCTION, should_stop);
    set(CURLOPT_XFERINFODATA, &transfer);
    set(CURLOPT_ERRORBUFFER, error);
    return ok;
}

std::string text_of(CURL* curl, CURLINFO what) {
    char* text = nullptr;
    return curl_easy_getinfo(curl, what, &text) == CURLE_OK && text != nullptr ? text : "";
}

std::optional<Duration> wish_of(CURL* curl) {
    curl_off_t seconds = 0;
    if (curl_easy_getinfo(curl, CURLINFO_RETRY_AFTER, &seconds) != CURLE_OK || seconds <= 0)
        return std::nullopt;
    return std::chrono::seconds{std::min<curl_off_t>(seconds, longest_wish / std::chrono::seconds{1})};
}

std::string first_words(const HttpAnswer& answer) {
    return answer.body.empty() || answer.is_web_page() ? "" : ": " + answer.body;
}

/// What is wrong with the answer, as the end of "answered 404 ..."; nothing when it is an acceptance.
std::optional<std::string> objection_to(CURL* curl, const HttpAnswer& answer, const HttpRequest& request) {
    if (const std::string elsewhere = text_of(curl, CURLINFO_REDIRECT_URL); !elsewhere.empty())
        return " (moved to " + elsewhere + ", not followed: correct the address in the configuration)";
    if (answer.status < 200 || answer.status >= 300) return first_words(answer);
    const std::string objection = request.objection ? request.objection(answer) : std::string{};
    return objection.empty() ? std::nullopt : std::optional{" " + objection};
}

Delivery answered(CURL* curl, const std::string& body, const HttpRequest& request) {
    HttpAnswer answer{.status = 0, .content_type = text_of(curl, CURLINFO_CONTENT_TYPE), .body = body};
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &answer.status);
    const auto objection = objection_to(curl, answer, request);
    return {.accepted = !objection,
            .after = objection ? wish_of(curl) : std::nullopt,
            .words = fit_for_the_log(
                "answered " + std::to_string(answer.status) + objection.value_or(first_words(answer)),
                request.secrets)};
}

bool is_http(std::string_view url) {
    return (url.starts_with("http://") || url.starts_with("https://")) && !has_line_break(url);
}

Delivery exchange(const HttpRequest& request, const std::atomic<bool>& hung_up) {
    static const Library library;
    if (!is_http(request.url) || has_line_break(request.method))
        return {.words = "the address is no http:// or https:// URL"};
    for (const auto& [field, value] : request.headers)
        if (field.empty() || has_line_break(field) || has_line_break(value))
            return {.words = "a header holds a line break"};
    const Handle curl{curl_easy_init(), curl_easy_cleanup};
    const Headers headers = headers_of(request);
    Transfer transfer{.answer = {}, .hung_up = &hung_up};
    std::array<char, CURL_ERROR_SIZE> error{};
    if (!curl || !set_up(curl.get(), request, headers, transfer, error.data()))
        return {.words = "the request could not be set up"};

    const CURLcode code = curl_easy_perform(curl.get());
    if (code == CURLE_OK) return answered(curl.get(), transfer.answer, request);
    const std::string why = error[0] != '\0' ? error.data() : curl_easy_strerror(code);
    return {.words = fit_for_the_log(why, request.secrets)};
}

}  // namespace

Delivery send_http(const HttpRequest& request, const std::atomic<bool>& hung_up) noexcept {
    try {
        return exchange(request, hung_up);
    } catch (...) {  // memory, at most: even then later may be better
        return {};
    }
}

bool HttpAnswer::is_web_page() const {
    std::string type = content_type.substr(0, std::string_view{"text/html"}.size());
    std::transform(type.begin(), type.end(), type.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return type == "text/html";
}

std::string fit_for_the_log(std::string_view words, const std::vector<std::string>& secrets) {
    std::string line{words};
    for (const std::string& secret : secrets)
        if (secret.size() >= 4)  // shorter is none, and would eat harmless words
            for (std::size_t at = line.find(secret); at != std::string::npos; at = line.find(secret, at + 3))
                line.replace(at, secret.size(), "***");
    for (char& c : line)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = ' ';
    if (line.size() > 200) {
        std::size_t end = 197;
        while (end > 0 && (static_cast<unsigned char>(line[end]) & 0xC0U) == 0x80U) --end;
        line.resize(end);
        line += "...";
    }
    return line;
}

}  // namespace gyled::notify
