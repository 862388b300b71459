#pragma once
/// An open file or socket that closes itself.

#include <unistd.h>

#include <utility>

namespace gyled::mqtt {

class File {
public:
    explicit File(int descriptor = -1) : descriptor_{descriptor} {}
    ~File() {
        if (descriptor_ >= 0) ::close(descriptor_);
    }
    File(File&& other) noexcept : descriptor_{std::exchange(other.descriptor_, -1)} {}
    File& operator=(File&& other) noexcept {
        std::swap(descriptor_, other.descriptor_);
        return *this;
    }
    [[nodiscard]] int descriptor() const { return descriptor_; }  ///< negative: none

private:
    int descriptor_;
};

}  // namespace gyled::mqtt
