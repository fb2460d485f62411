#pragma once

#include <stdexcept>
#include <string>
#include <vector>

namespace ampturn::base {

/// Where something stands in a text file; lines and columns count from 1, 0 means not known.
struct Position {
    int line = 0;
    int column = 0;
};

/// One thing wrong with what a person gave us, in the parts a person needs to mend it.
struct InputProblem {
    std::string file;     // path as the person gave it, or the name of a flag such as "--start"; may be empty
    Position position;    // in that file, if known
    std::string key;      // full key, "sweep.step[3].frequency_hz"; empty if it is about the whole file
    std::string found;    // what stands there
    std::string allowed;  // what may stand there
};

/// One line: "demo/quick.toml:12:5: earth.resistivity_ohm_m[2]: found -3, allowed 0.001 to 1e+06 ohm m".
std::string text_of(const InputProblem& problem);

/// A person's input is wrong. Thrown anywhere in the host programs, caught once in `main`, which prints
/// each problem as one line and exits with code 2.
class InputError : public std::runtime_error {
  public:
    explicit InputError(InputProblem problem);
    /// At least one problem; what() is all of them, a line each.
    explicit InputError(std::vector<InputProblem> problems);
    const std::vector<InputProblem>& problems() const { return problems_; }

  private:
    std::vector<InputProblem> problems_;
};

}  // namespace ampturn::base
