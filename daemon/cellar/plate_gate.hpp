#pragma once
/// Whether a command passes, given what was found of its plan against the plate. A part of the core.

#include "daemon/cellar/command.hpp"
#include "daemon/cellar/effects.hpp"

namespace gyled::cellar {

/// True: carry it out; what was consented to is repeated among the answers. False: it is refused, with the
/// same words among the problems. The findings themselves go with the effects in either case.
[[nodiscard]] bool passes(batch::Findings findings, Consent consent, Effects& effects);

}  // namespace gyled::cellar
