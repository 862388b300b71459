#pragma once
/// An authority of the test's own, and certificates by it, made by openssl.

#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>

#include "tests/support/broker.hpp"

namespace gyled::mqtt {

class Certificates {
public:
    /// Makes <name>.pem and <name>.key, an authority that vouches for itself.
    void authority(const std::string& name) const {
        openssl("req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2 -subj '/CN=" +
                name + "' -keyout " + name + ".key -out " + name + ".pem");
    }
    /// Makes <name>.pem and <name>.key, vouched for by `by`. `names`: what it is a certificate of, as in
    /// "IP:127.0.0.1".
    void certificate(const std::string& name, const std::string& by, const std::string& names) const {
        std::ofstream{folder / "names"} << "subjectAltName = " << names << "\n";
        openssl("req -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN=" + name +
                " -keyout " + name + ".key -out " + name + ".csr");
        openssl("x509 -req -in " + name + ".csr -CA " + by + ".pem -CAkey " + by +
                ".key -CAcreateserial -days 2 -extfile names -out " + name + ".pem");
    }
    [[nodiscard]] std::string operator/(const std::string& name) const { return folder / name; }

    testing::TemporaryFolder folder;

private:
    void openssl(const std::string& arguments) const {
        const std::string command =
            "cd " + folder.path().string() + " && openssl " + arguments + " >> openssl.log 2>&1";
        if (std::system(command.c_str()) != 0) throw std::runtime_error("failed: " + command);
    }
};

}  // namespace gyled::mqtt
