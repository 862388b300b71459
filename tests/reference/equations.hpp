#pragma once
/// Which of our functions an equation of the check values is.

#include <functional>
#include <map>
#include <set>
#include <string>

namespace gyled::reference {

/// The inputs of a row, "a=1;b=2". Asking for one that is not there throws; one that nobody asked for is told
/// by `unused`, so a row cannot be checked with half of what it says.
class Inputs {
public:
    explicit Inputs(const std::string& text);
    double operator()(const std::string& name) const;
    double or_else(const std::string& name, double otherwise) const;
    [[nodiscard]] std::set<std::string> unused() const;

private:
    std::map<std::string, double> values_;
    mutable std::set<std::string> used_;
};

using Equation = std::function<double(const Inputs&)>;

/// By the name in column `fn`.
const std::map<std::string, Equation>& equations();

/// A figure that the program uses, by the row's id, with the row's inputs.
const std::map<std::string, Equation>& constants();

/// Names in `fn`, and ids of constants, that are not in the program, each with the reason.
const std::map<std::string, std::string>& not_in_the_program();

}  // namespace gyled::reference
