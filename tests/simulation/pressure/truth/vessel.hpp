#pragma once
/// One vessel and what is in it, moment by moment. Its laws are the virtual vessel's: Henry's constant of
/// IAPWS G7-04 with a drawn salting out, Redlich and Kwong's gas, gas transfer through a film with a drawn
/// coefficient, fermentation of one of six published families, air as a species of its own. Nothing of
/// daemon/brewing or daemon/estimation.

#include "tests/simulation/pressure/truth/script.hpp"
#include "tests/simulation/pressure/truth/tape.hpp"

namespace gyled::pressure_worlds {

class Vessel {
public:
    explicit Vessel(const Script& script);

    void step(double hours, const Hands& hands);
    [[nodiscard]] Truth truth() const;
    /// What would come of it: shut as it is now.
    [[nodiscard]] Outlook outlook() const;
    [[nodiscard]] double points_left() const;
    [[nodiscard]] double share_done() const { return beer_.drop_done(); }
    [[nodiscard]] const virtual_vessel::GasSpace& gas() const { return gas_; }
    [[nodiscard]] double produced_mol() const { return produced_mol_; }

private:
    [[nodiscard]] virtual_vessel::Ways ways(const Hands& hands) const;
    [[nodiscard]] virtual_vessel::Liquid liquid() const;

    Script script_;
    Climate climate_;
    double beer_l_;
    virtual_vessel::Fermentation beer_;
    double terminal_sg_;
    virtual_vessel::GasSpace gas_;
    double ambient_kpa_;
    double produced_mol_ = 0;
};

}  // namespace gyled::pressure_worlds
