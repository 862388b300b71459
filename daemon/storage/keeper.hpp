#pragma once
/// Keeps a store open whatever becomes of its file. A file that cannot be used is put aside and followed by a
/// fresh one that takes over what can be read; while none can be had, everything throws, and it is tried
/// again. The watch goes on meanwhile: it needs no store to judge a pressure.

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/storage/store.hpp"

namespace gyled::storage {

struct KeeperParameters {
    base::Duration look_every = std::chrono::seconds{5};  ///< at the file's name and length: two system calls
    base::Duration retry_every = std::chrono::seconds{5};  ///< a full disk is not mended by asking more often
    std::chrono::milliseconds recovery_at_most{5'000};     ///< some million rows; nothing is judged meanwhile
    base::Duration told_for = std::chrono::hours{24};      ///< a person looks once a day
};

/// What happened to the store that a person should know of, in words.
struct Renewal {
    base::Timestamp at;
    std::string words;
};

/// Thread: one, the writer's. The constructor and `round` never throw; the rest throws StorageError while
/// there is no store, and whatever the store throws.
class Keeper final : public Writer, public Outbox {
public:
    Keeper(Opening opening, base::Timestamp now, KeeperParameters parameters = {});
    ~Keeper() override;

    /// Looks after the file, and opens it anew, when that is due. Call it every second.
    void round(base::Timestamp now);

    /// What is remembered: from the store, or from a file that can be read but not written.
    [[nodiscard]] const Queries& queries() const;
    /// Why nothing can be written, in the system's words and with a remedy; empty when all is well.
    [[nodiscard]] const std::string& problem() const { return problem_; }
    /// What was put aside within `told_for`, oldest first.
    [[nodiscard]] const std::vector<Renewal>& renewals() const { return renewals_; }
    /// Grows whenever another file has taken the place of the one before: whoever keeps account of what has
    /// been written begins anew.
    [[nodiscard]] std::uint64_t generation() const { return generation_; }

    std::size_t write(const Commit& group) override;
    /// As the store's. Never throws.
    [[nodiscard]] std::vector<std::string> take_refusals();
    /// Remembered, and said again to each new file. Never throws.
    void describe(const std::vector<batch::VesselSpec>& vessels, const display::Display& display,
                  const std::string& site) override;
    void remember(const std::string& key, const std::string& value) override;
    std::size_t prune(base::Timestamp before, std::size_t rows = Store::rows_at_once) override;
    void checkpoint() override;
    void close() override;

    [[nodiscard]] std::vector<OutboxEntry> due(base::Timestamp now, std::size_t limit) const override;
    [[nodiscard]] std::uint64_t entered() const override;
    /// 0 while there is no store. Never throws.
    [[nodiscard]] std::size_t pending() const override;
    void add(const annunciation::Notice& notice) override;
    void delivered(std::int64_t id, base::Timestamp at) override;
    void deferred(std::int64_t id, base::Timestamp next_try, unsigned attempts,
                  const std::string& why) override;
    void expired(std::int64_t id, base::Timestamp at, const std::string& why) override;

private:
    [[nodiscard]] Store& store() const;
    template <class Work>
    auto with_store(Work work) const;
    [[nodiscard]] const ReadStore& reader() const;
    void open(base::Timestamp now);
    void open_file(base::Timestamp now);
    void take_over(std::unique_ptr<Store> store, base::Timestamp now);
    void describe_again();
    void look(base::Timestamp now);
    void renew(const std::string& word, const std::string& why, base::Timestamp now);
    void renew_from_living(const std::string& word, const std::string& why, base::Timestamp now);
    void follow(base::Timestamp now);
    void let_go();
    void fail(const StorageError& error);
    void tell(base::Timestamp now, std::string words);

    Opening opening_;
    KeeperParameters parameters_;
    std::unique_ptr<Store> store_;
    mutable std::unique_ptr<ReadStore>
        reader_;  ///< while nothing can be written, but read; until the next round
    std::function<void(Store&)> description_;
    bool is_described_ = true;
    std::string problem_;
    mutable std::string damage_;  ///< the store's words for damage that it came upon; looked after in `round`
    /// What was put aside and is not yet followed by a fresh store: the disk may be full besides.
    struct Departed {
        std::string aside, why;
        bool is_readable = true;  ///< by this gyled
    };
    std::optional<Departed> departed_;
    std::vector<Renewal> renewals_;
    std::uint64_t generation_ = 0, entered_before_ = 0;
    std::optional<base::Timestamp> last_look_, last_try_;
};

}  // namespace gyled::storage
