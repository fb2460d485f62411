#include "model/fields/loop_convergence.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace ampturn::model::fields {

void add(const Estimate& term, Estimate& sum) {
    sum.fields = sum.fields + term.fields;
    sum.e_error += term.e_error;
    sum.h_error += term.h_error;
    sum.integration = std::max(sum.integration, term.integration);
}

FieldResult finish(const Estimate& x, SourceModel model, std::size_t dipoles) {
    const bool sound = std::isfinite(e_size(x.fields)) && std::isfinite(h_size(x.fields)) &&
                       x.e_error <= 1e-3 * e_size(x.fields) && x.h_error <= 1e-3 * h_size(x.fields);
    if (!sound) throw std::runtime_error("field: no method reached 1e-3 for this ground and offset");
    return {.fields = x.fields,
            .e_error_v_per_m = x.e_error,
            .h_error_a_per_m = x.h_error,
            .integration = x.integration,
            .source_model = model,
            .dipoles = static_cast<int>(dipoles)};
}

std::optional<FieldResult> LoopConvergence::next(const Estimate& finer, std::size_t dipoles, bool last,
                                                 double tolerance_rel) {
    const double e_change = e_size(finer.fields - previous_.fields);
    const double h_change = h_size(finer.fields - previous_.fields);
    // The change is the error of the coarser rule; the finer one is better by far more than ten.
    const bool coarse_holds =
        e_change <= tolerance_rel * e_size(finer.fields) && h_change <= tolerance_rel * h_size(finer.fields);
    const bool take_coarse = coarse_holds && model_ == SourceModel::dipole;
    if (!take_coarse) {
        previous_ = finer;
        model_ = SourceModel::dipole_area;
        dipoles_ = dipoles;
        if (!coarse_holds && !last) return std::nullopt;
    }
    previous_.e_error += e_change;
    previous_.h_error += h_change;
    return finish(previous_, model_, dipoles_);
}

}  // namespace ampturn::model::fields
