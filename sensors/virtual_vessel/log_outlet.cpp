#include "sensors/virtual_vessel/log_outlet.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <stdexcept>
#include <utility>

namespace gyled::virtual_vessel {
namespace {

[[noreturn]] void fail(const std::string& path) {
    const int why = errno;
    throw std::runtime_error{
        fmt::format("cannot write {}: {}", path == "-" ? "to stdout" : path, std::strerror(why))};
}

std::FILE* open(const std::string& path) {
    std::FILE* file = path == "-" ? stdout : std::fopen(path.c_str(), "we");
    if (file == nullptr) fail(path);
    return file;
}

}  // namespace

LogOutlet::LogOutlet(const std::string& path) : path_{path}, file_{open(path)} {}

LogOutlet::~LogOutlet() {
    if (file_ != nullptr && file_ != stdout) std::fclose(file_);
}

void LogOutlet::deliver(const Document& document) {
    // mosquitto_sub prints whole seconds as such; fractions only where there are some.
    const auto ms = document.arrival.time_since_epoch().count();
    const std::string seconds = ms % 1000 == 0 ? fmt::format("{}", ms / 1000)
                                               : fmt::format("{:.3f}", static_cast<double>(ms) / 1000.0);
    const std::string line = fmt::format("{} {} {}\n", seconds, document.topic, document.payload);
    if (std::fwrite(line.data(), 1, line.size(), file_) != line.size()) fail(path_);
}

void LogOutlet::finish() {
    if (std::fflush(file_) != 0) fail(path_);
    if (file_ == stdout) return;
    if (std::fclose(std::exchange(file_, nullptr)) != 0) fail(path_);
}

void write_file(const std::string& path, const std::string& text) {
    std::FILE* file = open(path);
    const bool written =
        std::fwrite(text.data(), 1, text.size(), file) == text.size() && std::fflush(file) == 0;
    if (!written) {
        const int why = errno;
        if (file != stdout) std::fclose(file);
        errno = why;
        fail(path);
    }
    if (file != stdout && std::fclose(file) != 0) fail(path);
}

}  // namespace gyled::virtual_vessel
