/// Who is let in, and whom we trust: TLS and passwords.

#include <cstdlib>
#include <fstream>

#include "tests/mqtt/listening.hpp"

namespace gyled::mqtt {
namespace {

/// An authority of the test's own and a certificate for the broker on 127.0.0.1, made by openssl.
class Trust : public ::testing::Test {
protected:
    void SetUp() override {
        std::ofstream{folder / "san"} << "subjectAltName = IP:127.0.0.1\n";
        make(
            "req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2 -subj '/CN=Harbour "
            "authority' "
            "-keyout ca.key -out ca.pem");
        make(
            "req -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN=127.0.0.1 -keyout "
            "broker.key -out broker.csr");
        make(
            "x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 2 -extfile san -out "
            "broker.pem");
    }
    void make(const std::string& arguments) {
        const std::string command =
            "cd " + folder.path().string() + " && openssl " + arguments + " >> openssl.log 2>&1";
        ASSERT_EQ(std::system(command.c_str()), 0) << command;
    }
    [[nodiscard]] std::string broker_settings() const {
        return "listener %PORT% 127.0.0.1\nallow_anonymous true\ncertfile " + (folder / "broker.pem") +
               "\nkeyfile " + (folder / "broker.key");
    }
    [[nodiscard]] static Settings tls_settings_for(const Broker& broker) {
        Settings settings = settings_for(broker);
        settings.url = "mqtts://127.0.0.1:" + std::to_string(broker.port());
        return settings;
    }
    TemporaryFolder folder;
};

TEST_F(Trust, ABrokerWhoseAuthorityWeKnowIsTalkedTo) {
    Broker broker{broker_settings()};
    broker.start();
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = folder / "ca.pem";
    Listening cellar{settings};

    cellar.source->start();

    EXPECT_TRUE(cellar.wait_connected()) << broker.log();
}

TEST_F(Trust, ABrokerOfUnknownAuthorityIsNot) {
    Broker broker{broker_settings()};
    broker.start();
    make(
        "req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2 -subj /CN=Stranger "
        "-keyout other.key -out other.pem");
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = folder / "other.pem";
    Listening cellar{settings};

    cellar.source->start();

    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].kind, ConnectionEvent::Kind::disconnected);
    EXPECT_NE(cellar.events[0].text.find("certificate"), std::string::npos) << cellar.events[0].text;
    EXPECT_EQ(cellar.source->figures().connects, 0U);
}

TEST_F(Trust, ACertificateForAnotherNameIsNot) {
    make("x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 2 -out broker.pem");
    std::ofstream{folder / "san"} << "subjectAltName = DNS:elsewhere.example.org\n";
    make(
        "req -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj /CN=elsewhere.example.org -keyout "
        "broker.key -out "
        "broker.csr");
    make(
        "x509 -req -in broker.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 2 -extfile san -out "
        "broker.pem");
    Broker broker{broker_settings()};
    broker.start();
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = folder / "ca.pem";
    Listening cellar{settings};

    cellar.source->start();

    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].kind, ConnectionEvent::Kind::disconnected);
    EXPECT_EQ(cellar.source->figures().connects, 0U);
}

TEST_F(Trust, AnAuthorityThatCannotBeReadIsTold) {
    Broker broker{broker_settings()};
    broker.start();
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = folder / "no such file";
    Listening cellar{settings};

    cellar.source->start();

    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].kind, ConnectionEvent::Kind::disconnected);
    EXPECT_EQ(cellar.source->figures().connects, 0U);
}

TEST_F(Trust, UserAndPasswordLetUsIn) {
    const std::string command = "mosquitto_passwd -b -c " + (folder / "passwords") + " gyled hunter2";
    ASSERT_EQ(std::system(command.c_str()), 0);
    Broker broker{"listener %PORT% 127.0.0.1\nallow_anonymous false\npassword_file " +
                  (folder / "passwords")};
    broker.start();
    Settings settings = settings_for(broker);
    settings.user = "gyled";
    settings.password = "hunter2";
    {
        Listening cellar{settings};
        cellar.source->start();
        EXPECT_TRUE(cellar.wait_connected()) << broker.log();
    }
    settings.password = "hunter3";
    Listening cellar{settings};
    cellar.source->start();
    ASSERT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.events[0].text, "Not authorized");
}

}  // namespace
}  // namespace gyled::mqtt
