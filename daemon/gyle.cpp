/// gyle: the command line. Data to standard output, talk to standard error; 0 done, 1 failed, 2 wrong usage.

#include <exception>
#include <iostream>

#include "daemon/cli/run.hpp"

int main(int argc, char** argv) try {
    return gyled::cli::run(argc, argv, std::cout, std::cerr);
} catch (const std::exception& problem) {
    std::cerr << "gyle: " << problem.what() << '\n';
    return 1;
}
