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

struct Answer {
    enum class Manner { answer, hang, drop_after_body, drop_at_once, nonsense } manner = Manner::answer;
    int status = 200;
    std::string body{};
    std::vector<std::string> headers{};
};

class Receiver {
public:
    Receiver();
    ~Receiver();
    Receiver(const Receiver&) = delete;
    Receiver& operator=(const Receiver&) = delete;

    [[nodiscard]] std::string url(const std::string& path = "/") const;
    /// The next answers, in order; after them everything is 200.
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
