/// Who is let in, and whom we trust: TLS and passwords.

#include "tests/mqtt/certificates.hpp"
#include "tests/mqtt/listening.hpp"

namespace gyled::mqtt {
namespace {

/// An authority, and a broker on 127.0.0.1 with a certificate by it.
class Trust : public ::testing::Test {
protected:
    void SetUp() override {
        files.authority("harbour");
        files.certificate("broker", "harbour", "IP:127.0.0.1");
    }
    [[nodiscard]] std::string broker_settings() const {
        return "listener %PORT% 127.0.0.1\nallow_anonymous true\ncertfile " + (files / "broker.pem") +
               "\nkeyfile " + (files / "broker.key");
    }
    /// The broker wants a certificate by our authority from its clients.
    [[nodiscard]] std::string mutual_settings() const {
        return broker_settings() + "\ncafile " + (files / "harbour.pem") + "\nrequire_certificate true";
    }
    [[nodiscard]] Settings tls_settings_for(const Broker& broker) const {
        Settings settings = settings_for(broker);
        settings.url = "mqtts://127.0.0.1:" + std::to_string(broker.port());
        settings.tls.ca_file = files / "harbour.pem";
        return settings;
    }
    Certificates files;
};

/// What is told when the attempts fail.
std::string told(Listening& cellar) {
    cellar.source->start();
    EXPECT_TRUE(cellar.take_until([&] { return !cellar.events.empty(); }));
    EXPECT_EQ(cellar.source->figures().connects, 0U);
    return cellar.events.empty() ? "" : cellar.events[0].text;
}

TEST_F(Trust, ABrokerWhoseAuthorityWeKnowIsTalkedTo) {
    Broker broker{broker_settings()};
    broker.start();
    Listening cellar{tls_settings_for(broker)};

    cellar.source->start();

    EXPECT_TRUE(cellar.wait_connected()) << broker.log();
    EXPECT_EQ(cellar.source->figures().mqtt_version, 5);
}

TEST_F(Trust, ABrokerOfUnknownAuthorityIsNot) {
    Broker broker{broker_settings()};
    broker.start();
    files.authority("stranger");
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = files / "stranger.pem";
    Listening cellar{settings};

    EXPECT_NE(told(cellar).find("does not trust the other's certificate"), std::string::npos);
}

TEST_F(Trust, ACertificateForAnotherNameIsNot) {
    files.certificate("broker", "harbour", "DNS:elsewhere.example.org");
    Broker broker{broker_settings()};
    broker.start();
    Listening cellar{tls_settings_for(broker)};

    EXPECT_NE(told(cellar).find("does not trust the other's certificate"), std::string::npos);
}

TEST_F(Trust, AnAuthorityThatCannotBeReadIsTold) {
    Broker broker{broker_settings()};
    broker.start();
    Settings settings = tls_settings_for(broker);
    settings.tls.ca_file = files / "no such file";
    Listening cellar{settings};

    EXPECT_FALSE(told(cellar).empty());
}

TEST_F(Trust, OurOwnCertificateLetsUsIn) {
    files.certificate("gyled", "harbour", "DNS:gyled");
    Broker broker{mutual_settings()};
    broker.start();
    for (const Protocol protocol : {Protocol::automatic, Protocol::mqtt_3_1_1}) {
        Settings settings = tls_settings_for(broker);
        settings.tls.certificate_file = files / "gyled.pem";
        settings.tls.key_file = files / "gyled.key";
        settings.protocol = protocol;
        Listening cellar{settings};

        cellar.source->start();

        EXPECT_TRUE(cellar.wait_connected()) << broker.log();
    }
}

TEST_F(Trust, WithoutOurCertificateOrWithAStrangersWeAreTold) {
    files.authority("stranger");
    files.certificate("impostor", "stranger", "DNS:gyled");
    Broker broker{mutual_settings()};
    broker.start();
    Settings settings = tls_settings_for(broker);
    {
        Listening cellar{settings};
        EXPECT_NE(told(cellar).find("certificate"), std::string::npos);
    }
    settings.tls.certificate_file = files / "impostor.pem";
    settings.tls.key_file = files / "impostor.key";
    Listening cellar{settings};
    EXPECT_NE(told(cellar).find("certificate"), std::string::npos);
}

TEST_F(Trust, APortWithoutTlsIsTold) {
    Broker broker;
    broker.start();
    Listening cellar{tls_settings_for(broker)};
    EXPECT_NE(told(cellar).find("that port does without TLS (mqtt://)"), std::string::npos);
}

TEST_F(Trust, APortWithTlsOnlyIsTold) {
    Broker broker{broker_settings()};
    broker.start();
    Listening cellar{settings_for(broker)};
    EXPECT_NE(told(cellar).find("does it want TLS (mqtts://)"), std::string::npos);
}

TEST_F(Trust, UserAndPasswordLetUsIn) {
    const std::string command = "mosquitto_passwd -b -c " + (files / "passwords") + " gyled hunter2";
    ASSERT_EQ(std::system(command.c_str()), 0);
    Broker broker{"listener %PORT% 127.0.0.1\nallow_anonymous false\npassword_file " + (files / "passwords")};
    broker.start();
    for (const Protocol protocol : {Protocol::automatic, Protocol::mqtt_3_1_1}) {
        Settings settings = settings_for(broker);
        settings.protocol = protocol;
        settings.user = "gyled";
        settings.password = "hunter2";
        {
            Listening cellar{settings};
            cellar.source->start();
            EXPECT_TRUE(cellar.wait_connected()) << broker.log();
        }
        settings.password = "hunter3";
        Listening cellar{settings};
        EXPECT_THAT(told(cellar), ::testing::StartsWith("the broker refuses our login: "));
    }
}

}  // namespace
}  // namespace gyled::mqtt
