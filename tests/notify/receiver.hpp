#pragma once
/// A small HTTP receiver on the loopback, with knobs for trouble.

#include <deque>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace gyled::notify {

struct Heard {
    std::string method, target;
    std::map<std::string, std::string> headers;  ///< names in lower case
    std::string body;
};

/// What a push relay says to a message that it takes. From memory of the protocol's public documentation.
inline constexpr const char* receipt =
    R"({"id":"k3vQm0aXz1","time":1772388000,"event":"message","topic":"harbour"})";

struct Answer {
    enum class Manner { answer, hang, drop_after_body, drop_at_once, nonsense } manner = Manner::answer;
    int status = 200;
    std::string body = receipt;
    std::vector<std::string> headers{};
    std::string content_type = "application/json";
};

class Receiver {
public:
    Receiver();
    ~Receiver();
    Receiver(const Receiver&) = delete;
    Receiver& operator=(const Receiver&) = delete;

    [[nodiscard]] std::string url(const std::string& path = "/") const;
    /// The next answers, in order; after them everything is taken, with a receipt.
    void will(std::vector<Answer> answers);
    /// Whole requests, in order of arrival.
    [[nodiscard]] std::vector<Heard> heard() const;

private:
    void serve();
    void talk(int connection);

    int listener_ = -1;
    int port_ = 0;
    mutable std::mutex mutex_;
    std::deque<Answer> answers_;
    std::vector<Heard> heard_;
    std::vector<int> held_;  ///< connections that hang, closed at the end
    std::thread thread_;
};

}  // namespace gyled::notify
