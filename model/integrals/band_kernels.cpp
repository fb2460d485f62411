#include "model/integrals/band_kernels.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace ampturn::model::integrals {

namespace {

using Complex = std::complex<double>;

void append(const std::vector<Complex>& zeta, double factor, ComplexArray& to) {
    for (const Complex& z : zeta) {
        to.re.push_back(z.real() * factor);
        to.im.push_back(z.imag() * factor);
    }
}

/// Whole vectors from any node on: what is read beyond the last one does not count.
void pad(ComplexArray& lambda) {
    const std::size_t padded = (lambda.size() / lane_count + 2) * lane_count;
    const Complex last = lambda[lambda.size() - 1];
    lambda.re.resize(padded, last.real());
    lambda.im.resize(padded, last.imag());
}

template <class Memory>
Memory spare(std::vector<Memory>& spares) {
    if (spares.empty()) return {};
    Memory memory = std::move(spares.back());
    spares.pop_back();
    return memory;
}

void copy(const ComplexArray& from, std::size_t begin, std::size_t count, ComplexArray& to, std::size_t at) {
    std::copy_n(from.re.data() + begin, count, to.re.data() + at);
    std::copy_n(from.im.data() + begin, count, to.im.data() + at);
}

}  // namespace

BandKernels::BandKernels(const LayerKernels& kernels, contours::BandAccuracy accuracy, bool check,
                         Bands bands, FieldWorkspace& workspace)
    : kernels_(kernels),
      shape_(contours::band_shape(accuracy, check)),
      nodes_(contours::ray_nodes(accuracy, check)),
      bands_(bands),
      workspace_(workspace),
      last_falling_(bands.first - 1),
      rise_(spare(workspace.bands)),
      fall_(spare(workspace.bands)),
      terms_(spare(workspace.rays)),
      sums_(static_cast<std::size_t>(bands.last - bands.first + 1)) {
    rise_.lambda.resize(0);
    fall_.lambda.resize(0);
    // The innermost panels are those of the last band, the outermost those of the first.
    const double last_m = reference_m(bands.last);
    append(nodes_.rise_end.zeta, 1 / last_m, rise_.lambda);
    for (int step = nodes_.lowest_step; step < nodes_.rise_panels + bands.last - bands.first; ++step)
        append(nodes_.rise.zeta, std::exp(contours::band_log_width * step) / last_m, rise_.lambda);
    pad(rise_.lambda);
    kernels.evaluate(rise_.lambda, rise_.response);

    while (last_falling_ < bands.last && contours::line_serves(shape_, rightmost(last_falling_ + 1)))
        ++last_falling_;
    if (last_falling_ < bands.first) return;
    for (int step = 0; step < fall_panels(); ++step)
        append(nodes_.fall.zeta,
               std::exp(contours::band_log_width * step / shape_.fall_steps) / reference_m(last_falling_),
               fall_.lambda);
    for (int band = bands.first; band <= last_falling_; ++band)
        append(nodes_.line.zeta, 1 / reference_m(band), fall_.lambda);
    pad(fall_.lambda);
    kernels.evaluate(fall_.lambda, fall_.response);
}

BandKernels::~BandKernels() {
    workspace_.bands.push_back(std::move(rise_));
    workspace_.bands.push_back(std::move(fall_));
    workspace_.rays.push_back(std::move(terms_));
}

double BandKernels::reference_m(int band) const {
    return bands_.reference_m * std::exp(contours::band_log_width * band);
}

std::size_t BandKernels::rise_at(int band, int step) const {
    return static_cast<std::size_t>(1 + step + bands_.last - band - nodes_.lowest_step) *
           nodes_.rise.zeta.size();
}

int BandKernels::fall_panels() const {
    return nodes_.fall_panels + (last_falling_ - bands_.first) * shape_.fall_steps;
}

std::size_t BandKernels::fall_at(int band) const {
    return static_cast<std::size_t>((last_falling_ - band) * shape_.fall_steps) * nodes_.fall.zeta.size();
}

std::size_t BandKernels::line_at(int band) const {
    return static_cast<std::size_t>(fall_panels()) * nodes_.fall.zeta.size() +
           static_cast<std::size_t>(band - bands_.first) * nodes_.line.zeta.size();
}

void BandKernels::evaluate_own(int band, const contours::BandTable& table, SampledKernels& own) const {
    const double length_m = reference_m(band);
    own.lambda.resize(table.own_zeta.size());
    for (std::size_t i = 0; i < own.lambda.size(); ++i) {
        own.lambda.re[i] = table.own_zeta.re[i] / length_m;
        own.lambda.im[i] = table.own_zeta.im[i] / length_m;
    }
    if (table.own_count > 0) kernels_.evaluate(own.lambda, own.response);
}

void BandKernels::make_ray_terms(const Heights& heights, TermSet wanted) {
    if (heights == terms_for_ && (wanted & ~terms_there_) == 0) return;
    terms_for_ = heights;
    terms_there_ = wanted;
    make_terms(kernels_, {rise_, 0, rise_.lambda.size()}, heights, Forms::both, terms_.rise);
    if (last_falling_ >= bands_.first)
        make_terms(kernels_, {fall_, 0, fall_.lambda.size()}, heights, Forms::both, terms_.fall);
    for (std::size_t t = 0; t < term_count; ++t) {
        if ((wanted >> t & 1) == 0) continue;
        const ComplexArray& powers = t < first_j1_term ? nodes_.powers_0 : nodes_.powers_1;
        PowerSums whole, reflected;
        std::size_t done = 0;
        for (int band = bands_.last; band >= bands_.first; --band) {
            const std::size_t end = low_end(band);
            add_powers(terms_.rise.whole[t], terms_.rise.reflected[t], powers, done, end, whole, reflected);
            done = end;
            Sums& sums = sums_[static_cast<std::size_t>(band - bands_.first)];
            sums.whole[t] = whole;
            sums.reflected[t] = reflected;
        }
    }
}

void BandKernels::make_band_terms(int band, const contours::BandTable& table, const SampledKernels& own,
                                  const Heights& heights, TermSet whole, TermSet reflected, TermArrays& out) {
    make_ray_terms(heights, whole | reflected);
    const std::size_t line_place = power_count + table.rise_count, fall_place = line_place + table.line_count,
                      own_place = fall_place + table.fall_count;
    if (table.own_count > 0)
        make_terms(kernels_, {own, 0, table.own_count}, heights, reflected != 0 ? Forms::both : Forms::whole,
                   out, own_place);
    const double ratio =
        std::exp(contours::band_log_width * (band - bands_.last));  // zeta of this band over that of the last
    const auto complete = [&](std::size_t t, const PowerSums& powers, const ComplexArray& rise,
                              const ComplexArray& fall, ComplexArray& to) {
        to.reserve_places(table.size);
        double factor = t < first_j1_term ? ratio : ratio * ratio;
        for (std::size_t p = 0; p < power_count; ++p, factor *= ratio * ratio) {
            to.re[p] = factor * powers.re[p];
            to.im[p] = factor * powers.im[p];
        }
        copy(rise, low_end(band), table.rise_count, to, power_count);
        if (table.own_count == 0) {
            copy(fall, line_at(band), table.line_count, to, line_place);
            copy(fall, fall_at(band), table.fall_count, to, fall_place);
        }
        for (std::size_t i = own_place + table.own_count; i < table.size; ++i) to.re[i] = to.im[i] = 0;
    };
    const Sums& sums = sums_[static_cast<std::size_t>(band - bands_.first)];
    for (std::size_t t = 0; t < term_count; ++t) {
        if (whole >> t & 1)
            complete(t, sums.whole[t], terms_.rise.whole[t], terms_.fall.whole[t], out.whole[t]);
        if (reflected >> t & 1)
            complete(t, sums.reflected[t], terms_.rise.reflected[t], terms_.fall.reflected[t],
                     out.reflected[t]);
    }
}

}  // namespace ampturn::model::integrals
