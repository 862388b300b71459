#pragma once
/// The real server on real sockets, with the invented cellar behind it and its loop on a thread of its own.

#include <gtest/gtest.h>
#include <unistd.h>

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/post.hpp>
#include <filesystem>
#include <future>
#include <string>
#include <thread>

#include "daemon/web/server.hpp"
#include "tests/web/fake/harbour_cellar.hpp"

namespace gyled::web {

inline constexpr const char* token = "a-long-and-secret-word";

/// A folder that is gone afterwards. Short, for socket paths are.
class ScratchFolder {
public:
    ScratchFolder() {
        std::string name = (std::filesystem::temp_directory_path() / "gyled-web-XXXXXX").string();
        path_ = ::mkdtemp(name.data());
    }
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    [[nodiscard]] std::string file(const std::string& name) const { return (path_ / name).string(); }

private:
    std::filesystem::path path_;
};

class LiveServer {
public:
    explicit LiveServer(Limits limits = {}, std::string write_token = token)
        : server{loop,
                 cellar,
                 cellar,
                 {.listen = "127.0.0.1:0",
                  .socket = folder.file("s"),
                  .write_token = std::move(write_token),
                  .names = {"cellar.example"},
                  .limits = limits}} {
        server.start();
        port = server.port();
        thread_ = std::thread{[this] { loop.run(); }};
    }
    /// Runs something on the server's thread and waits for it: the only way to touch cellar and server.
    template <class Work>
    auto in_loop(Work work) {
        std::packaged_task<decltype(work())()> task{std::move(work)};
        auto result = task.get_future();
        boost::asio::post(loop, [&] { task(); });
        return result.get();
    }
    ~LiveServer() {
        in_loop([this] { server.stop(); });
        work_.reset();
        thread_.join();
    }
    /// Waits until the server sees this many connections; false when it never does.
    bool has_connections(std::size_t wanted) {
        const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds{10};
        while (std::chrono::steady_clock::now() < deadline) {
            if (in_loop([this] { return server.connections(); }) == wanted) return true;
            std::this_thread::yield();
        }
        return false;
    }

    ScratchFolder folder;
    HarbourCellar cellar;
    boost::asio::io_context loop;
    Server server;
    std::uint16_t port = 0;

private:
    boost::asio::executor_work_guard<boost::asio::io_context::executor_type> work_{loop.get_executor()};
    std::thread thread_;
};

}  // namespace gyled::web
