#pragma once
/// A client made of plain sockets, so that it can say things no decent client would.

#include <map>
#include <string>
#include <string_view>

namespace gyled::web {

struct Answer {
    int status = 0;                              ///< 0: the connection ended without an answer
    std::map<std::string, std::string> headers;  ///< names in lower case
    std::string body;                            ///< as sent, compressed or not
};

/// A connection to the server; all waiting ends after some seconds, which fails the test by its empty answer.
class Wire {
public:
    static Wire tcp(std::uint16_t port);
    static Wire unix_socket(const std::string& path);
    Wire(Wire&& other) noexcept;
    ~Wire();

    /// False when the other side has gone.
    bool say(std::string_view bytes) const;
    /// One answer. `to_head`: it has no body whatever its header claims.
    Answer hear(bool to_head = false);
    /// Bytes up to and including `mark`; all there was when it never came.
    std::string hear_until(std::string_view mark);
    /// Says nothing more, still listens.
    void finish() const;
    /// Reads to the end; true when the other side closed in time.
    bool is_closed_by_peer();

private:
    explicit Wire(int descriptor) : descriptor_{descriptor} {}
    bool more();

    int descriptor_;
    std::string heard_;
};

/// A request as text. `headers` are whole lines with their ends.
std::string request(std::string_view method, std::string_view target, std::string_view headers = "",
                    std::string_view body = "");
std::string json_headers();
std::string bearer(std::string_view word);
/// What gzip made of it, undone; empty when it is not gzip.
std::string unzipped(const std::string& bytes);

}  // namespace gyled::web
