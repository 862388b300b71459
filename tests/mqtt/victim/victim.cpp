/// Receives, "commits" payloads to a journal file in groups and releases them, until somebody kills it.
/// Arguments: broker's address, spool, journal.

#include <fcntl.h>
#include <unistd.h>

#include <chrono>
#include <string>
#include <thread>

#include "daemon/mqtt/source.hpp"

int main(int argc, char** argv) {
    using namespace gyled;
    if (argc != 4) return 2;
    mqtt::Settings settings;
    settings.url = argv[1];
    settings.client_id = "victim";
    settings.filters = {"cellar/#"};
    settings.spool = argv[2];
    const int journal = ::open(argv[3], O_WRONLY | O_CREAT | O_APPEND, 0640);
    const auto now = [] {
        return std::chrono::time_point_cast<base::Duration>(std::chrono::system_clock::now());
    };

    const auto source = mqtt::connect_to_broker(settings, now, [] {});
    source->start();
    std::string uncommitted;
    for (int round = 1;; ++round) {
        const mqtt::Batch batch = source->drain(10'000);
        for (const sensors::Message& message : batch.messages) uncommitted += message.payload + '\n';
        if (round % 10 == 0 &&
            !uncommitted.empty()) {  // a group commit, seldom enough that a kill finds much undone
            if (::write(journal, uncommitted.data(), uncommitted.size()) < 0) return 1;
            uncommitted.clear();
            source->release(batch.id);
        }
        std::this_thread::sleep_for(std::chrono::milliseconds{5});
    }
}
