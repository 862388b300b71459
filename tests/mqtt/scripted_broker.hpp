#pragma once
/// A broker that does exactly what the test says, byte by byte (MQTT 5, OASIS Standard 7 March 2019, section
/// 2).

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace gyled::mqtt {

class ScriptedBroker {
public:
    enum Type : std::uint8_t { connect = 1, publish = 3, puback = 4, subscribe = 8, disconnect = 14 };
    struct Packet {
        int type = 0;
        int flags = 0;
        std::string body;  ///< all behind the fixed header
    };

    ScriptedBroker();  ///< listens on a free loopback port
    ~ScriptedBroker();
    ScriptedBroker(const ScriptedBroker&) = delete;
    ScriptedBroker& operator=(const ScriptedBroker&) = delete;

    [[nodiscard]] std::string url() const;
    /// Waits for a client; an earlier one is dropped. Throws std::runtime_error when none comes in time.
    void accept();
    void hang_up();
    /// The next packet; nothing when none comes in time or the client has gone.
    [[nodiscard]] std::optional<Packet> next(std::chrono::milliseconds patience = std::chrono::seconds{30});
    /// The next packet of that type; others are passed over.
    [[nodiscard]] std::optional<Packet> next_of(Type type);
    /// `first`: type and flags, the first byte of the fixed header. Body below 128 bytes.
    void send(int first, std::string_view body);
    void send_raw(std::string_view bytes);

    /// Reads CONNECT and answers CONNACK "Success"; the CONNECT packet.
    Packet welcome();
    void send_message(std::uint16_t id, std::string_view topic, std::string_view payload);  ///< QoS 1

private:
    [[nodiscard]] bool read_exactly(char* target, std::size_t size, std::chrono::milliseconds patience);
    int listener_ = -1, client_ = -1;
    std::uint16_t port_ = 0;
};

}  // namespace gyled::mqtt
