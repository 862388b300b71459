#include "daemon/web/subscribers.hpp"

#include <algorithm>

namespace gyled::web {

void Subscriber::put(const std::string& letter) {
    if (dropped_) return;
    if (letters_.size() >= letters_most) return drop();
    if (std::ranges::find(letters_, letter) == letters_.end()) letters_.push_back(letter);
    bell_.cancel();
}

std::string Subscriber::take() {
    std::string all;
    for (const std::string& letter : letters_) all += letter;
    letters_.clear();
    return all;
}

void Subscriber::drop() {
    dropped_ = true;
    letters_.clear();
    bell_.cancel();
}

void Subscribers::tell(const std::string& letter) {
    for (Subscriber* subscriber : all_) subscriber->put(letter);
}

void Subscribers::drop_all() {
    for (Subscriber* subscriber : all_) subscriber->drop();
}

}  // namespace gyled::web
