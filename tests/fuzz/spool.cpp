/// Any bytes as the segment of a spool that an earlier run left: its messages, as many as are whole, and
/// every other byte counted as torn. What is appended afterwards comes back.

#include "daemon/mqtt/spool.hpp"

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <memory>

#include "tests/fuzz/claim.hpp"

using namespace gyled;
namespace fs = std::filesystem;

namespace {

/// One folder for the process, in memory where the machine has such a place.
class Folder {
public:
    Folder() {
        std::string name =
            (fs::exists("/dev/shm") ? "/dev/shm" : fs::temp_directory_path().string()) + "/gyled-fuzz-XXXXXX";
        fuzz::claim(::mkdtemp(name.data()) != nullptr);
        path_ = name;
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] std::string spool() const { return path_ / "spool"; }
    void empty() const {
        for (const auto& entry : fs::directory_iterator{path_}) fs::remove(entry.path());
    }

private:
    fs::path path_;
};

/// A record's bytes beyond topic and payload: length, checksum, arrival, retained, length of the topic.
constexpr std::size_t record_overhead = 4 + 4 + 8 + 1 + 4;

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const Folder folder;
    folder.empty();
    std::ofstream{folder.spool() + ".1", std::ios::binary} << fuzz::text(data, size);

    std::size_t found = 0;
    {
        mqtt::Spool spool{folder.spool()};
        std::uint64_t bytes = spool.torn_bytes();
        for (const sensors::Message& message : spool.take_left_over()) {
            bytes += record_overhead + message.topic.size() + message.payload.size();
            ++found;
        }
        fuzz::claim(bytes == size);
        fuzz::claim(!spool.append(found + 1, {"cellar/north/gravity", "1.040", {}, false}));
    }
    mqtt::Spool again{folder.spool()};
    const auto left = again.take_left_over();
    fuzz::claim(left.size() == found + 1 && left.back().payload == "1.040");
    return 0;
}
