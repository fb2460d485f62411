#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

/// Runs a file of reference cases of the electrical side: {"topic", "cases": [{"id", "kind", "inputs",
/// "outputs"}]}. Every output is computed again from the inputs alone and compared; the case's outputs are
/// read only for the comparison and for the moments at which a trace was sampled.
namespace ampturn::reference {

struct TransmitterCaseResult {
    std::string id, kind;
    bool pass = false;
    double worst_error = 0;     ///< largest error, in the measure of its limit (relative unless stated)
    double worst_of_limit = 0;  ///< largest error as a fraction of its limit
    std::string worst_key;
    std::string message;  ///< why it failed, empty when it passed
};

/// One result per case, in the file's order. A kind that is not known, a missing input or a missing output is
/// a failed case with a message that says where it stands ("cases[3].inputs.shape"). InputError when the
/// document is not such a file; `file_name` is for that only.
std::vector<TransmitterCaseResult> run_transmitter_cases(const nlohmann::json& document,
                                                         const std::string& file_name = {});

/// One line per kind: cases, worst error, limit used, the worst case and key; then a line per failed case.
std::string transmitter_case_report(const std::vector<TransmitterCaseResult>& results);

}  // namespace ampturn::reference
