#include "daemon/notify/http.hpp"

#include <curl/curl.h>

#include <algorithm>
#include <array>
#include <memory>

namespace gyled::notify {
namespace {

constexpr std::size_t answer_kept = 2000;
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

Delivery::Outcome outcome_of(long status) {
    if (status >= 200 && status < 300) return Delivery::Outcome::accepted;
    if (status >= 500 || status == 408 || status == 425 || status == 429) return Delivery::Outcome::try_again;
    return Delivery::Outcome::refused;
}

Delivery answered(CURL* curl, const std::string& answer, const HttpRequest& request) {
    long status = 0;
    curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &status);
    Delivery delivery{.outcome = outcome_of(status)};
    delivery.words = fit_for_the_log("HTTP " + std::to_string(status) + (answer.empty() ? "" : ": ") + answer,
                                     request.secrets);
    curl_off_t wish_s = 0;
    if (delivery.outcome == Delivery::Outcome::try_again &&
        curl_easy_getinfo(curl, CURLINFO_RETRY_AFTER, &wish_s) == CURLE_OK && wish_s > 0)
        delivery.after =
            std::chrono::seconds{std::min<curl_off_t>(wish_s, longest_wish / std::chrono::seconds{1})};
    return delivery;
}

bool is_http(std::string_view url) {
    return (url.starts_with("http://") || url.starts_with("https://")) && !has_line_break(url);
}

/// Trouble that a new try cannot mend: the address itself is wrong.
bool is_our_mistake(CURLcode code) {
    return code == CURLE_URL_MALFORMAT || code == CURLE_BAD_FUNCTION_ARGUMENT;
}

Delivery exchange(const HttpRequest& request, const std::atomic<bool>& hung_up) {
    static const Library library;
    if (!is_http(request.url) || has_line_break(request.method))
        return {.outcome = Delivery::Outcome::refused, .words = "the address is no http:// or https:// URL"};
    for (const auto& [field, value] : request.headers)
        if (field.empty() || has_line_break(field) || has_line_break(value))
            return {.outcome = Delivery::Outcome::refused, .words = "a header holds a line break"};
    const Handle curl{curl_easy_init(), curl_easy_cleanup};
    const Headers headers = headers_of(request);
    Transfer transfer{.answer = {}, .hung_up = &hung_up};
    std::array<char, CURL_ERROR_SIZE> error{};
    if (!curl || !set_up(curl.get(), request, headers, transfer, error.data()))
        return {.outcome = Delivery::Outcome::try_again, .words = "the request could not be set up"};

    const CURLcode code = curl_easy_perform(curl.get());
    if (code == CURLE_OK) return answered(curl.get(), transfer.answer, request);
    const std::string why = error[0] != '\0' ? error.data() : curl_easy_strerror(code);
    return {.outcome = is_our_mistake(code) ? Delivery::Outcome::refused : Delivery::Outcome::try_again,
            .words = fit_for_the_log(why, request.secrets)};
}

}  // namespace

Delivery send_http(const HttpRequest& request, const std::atomic<bool>& hung_up) noexcept {
    try {
        return exchange(request, hung_up);
    } catch (...) {  // memory, at most: even then later may be better
        return {};
    }
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
