#include "daemon/cellar/effects.hpp"

#include <iterator>

namespace gyled::cellar {
namespace {

template <class T>
void move_to(std::vector<T>& to, std::vector<T>& from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
    from.clear();
}

}  // namespace

void Effects::append(Effects&& more) {
    move_to(readings, more.readings);
    move_to(estimates, more.estimates);
    move_to(transitions, more.transitions);
    move_to(facts, more.facts);
    move_to(batches, more.batches);
    move_to(notices, more.notices);
    move_to(recalls, more.recalls);
    move_to(answers, more.answers);
    move_to(problems, more.problems);
    move_to(findings, more.findings);
}

bool Effects::empty() const {
    return readings.empty() && estimates.empty() && transitions.empty() && facts.empty() && batches.empty() &&
           notices.empty() && recalls.empty() && answers.empty() && problems.empty() && findings.empty();
}

}  // namespace gyled::cellar
