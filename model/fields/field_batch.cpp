#include "model/fields/field_batch.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <type_traits>

#include "model/base/constants.hpp"
#include "model/base/dispatch.hpp"
#include "model/base/vector_math.hpp"

namespace ampturn::model::fields {

namespace {

constexpr std::size_t block_size = 64;

/// One block of receivers.
struct Block {
    std::size_t count;
    const InterpolatedFields::Choice* choices;  // of each receiver
    const double *log_offset, *inverse_cube, *cosine, *sine;
    const double *phase_re, *phase_im;  // of e^{-i k0 r}; nullptr for quasi-static
    double omega_mu0;
    double tolerance_squared;
};
/// Result is FieldResult, which is written, or Estimate, to which what is within the tolerance is added.
template <class Result>
struct Target {
    double a_north, a_east, a_down;
    Result* results;        // of the block's first receiver
    std::uint64_t* missed;  // of each receiver: 0 where E and H are within the tolerance
};

using V4 = lane::V<4>;
AMPTURN_LANE V4 swapped(V4 v) { return __builtin_shufflevector(v, v, 1, 0, 3, 2); }
AMPTURN_LANE V4 first_twice(V4 v) { return __builtin_shufflevector(v, v, 0, 1, 0, 1); }
AMPTURN_LANE V4 second_twice(V4 v) { return __builtin_shufflevector(v, v, 2, 3, 2, 3); }
AMPTURN_LANE V4 first_only(V4 v) { return __builtin_shufflevector(v, V4{}, 0, 1, 4, 5); }
AMPTURN_LANE V4 second_only(V4 v) { return __builtin_shufflevector(v, V4{}, 2, 3, 4, 5); }
/// Two complex numbers times one.
AMPTURN_LANE V4 times(V4 v, double re, double im) { return v * re + swapped(v) * V4{-im, im, -im, im}; }

using V2 = double __attribute__((vector_size(16)));
using Mask2 = std::int64_t __attribute__((vector_size(16)));
AMPTURN_LANE V2 lower(V4 v) { return __builtin_shufflevector(v, v, 0, 1); }
AMPTURN_LANE V2 upper(V4 v) { return __builtin_shufflevector(v, v, 2, 3); }
AMPTURN_LANE V2 larger(V2 a, V2 b) { return a > b ? a : b; }

/// Whether the errors of [Ex Ey], [Hx Hy], [Hz errors] exceed the tolerance; NaN and infinity do.
AMPTURN_LANE std::uint64_t misses(V4 e, V4 h, V4 z, double tolerance_squared) {
    const V4 e2 = e * e, h2 = h * h, z2 = z * z;
    // [|Ex|^2 |Hx|^2 |Ey|^2 |Hy|^2]
    const V4 norms =
        __builtin_shufflevector(e2, h2, 0, 4, 2, 6) + __builtin_shufflevector(e2, h2, 1, 5, 3, 7);
    const V2 norm = larger(larger(lower(norms), upper(norms)), V2{0, z2[0] + z2[1]});
    constexpr double most = 1e300;
    const Mask2 held = (upper(z2) <= tolerance_squared * norm) & (norm < most);
    return static_cast<std::uint64_t>(~(held[0] & held[1]));
}

// Ex ... Hz and the two errors are written as twelve doubles in a row.
static_assert(std::is_standard_layout_v<FieldResult> && offsetof(FieldResult, fields) == 0 &&
              sizeof(Fields) == 10 * sizeof(double) &&
              offsetof(FieldResult, e_error_v_per_m) == 10 * sizeof(double) &&
              offsetof(FieldResult, h_error_a_per_m) == 11 * sizeof(double));

static_assert(std::is_standard_layout_v<Estimate> && offsetof(Estimate, fields) == 0 &&
              offsetof(Estimate, e_error) == 10 * sizeof(double) &&
              offsetof(Estimate, h_error) == 11 * sizeof(double));

// What follows them in a FieldResult, written as one word.
struct How {
    Integration integration;
    SourceModel source_model = SourceModel::dipole;
    int dipoles = 1;
};
constexpr std::size_t how_at = offsetof(FieldResult, integration);
static_assert(offsetof(How, source_model) == offsetof(FieldResult, source_model) - how_at &&
              offsetof(How, dipoles) == offsetof(FieldResult, dipoles) - how_at);

/// Errors of E (times omega mu0) and H from those of the integrals, per unit of the moment's parts along,
/// across and down, in the places where the result has them.
struct ErrorShares {
    V4 along, across, down;
};
AMPTURN_LANE ErrorShares shares_of(const integrals::OffsetPolynomial& piece, double omega_mu0) {
    const auto& e = piece.error;  // in the order of curve_members
    return {V4{0, 0, omega_mu0 * e[0], e[2] + e[4]}, V4{0, 0, omega_mu0 * e[1], e[3]},
            V4{0, 0, omega_mu0 * e[6], e[7] + e[5]}};
}

/// Writes or adds [Ex Ey], [Hx Hy], [Hz errors].
template <class Result>
AMPTURN_LANE void put(Result& result, V4 e, V4 h, V4 z, Integration integration, std::uint64_t missed) {
    double* out = reinterpret_cast<double*>(&result);
    if constexpr (std::is_same_v<Result, FieldResult>) {
        const How how{.integration = integration};
        std::memcpy(reinterpret_cast<char*>(&result) + how_at, &how, sizeof how);
        lane::store(out, e);
        lane::store(out + 4, h);
        lane::store(out + 8, z);
    } else if (missed == 0) {
        lane::store(out, lane::load<4>(out) + e);
        lane::store(out + 4, lane::load<4>(out + 4) + h);
        lane::store(out + 8, lane::load<4>(out + 8) + z);
        result.integration = std::max(result.integration, integration);
    }
}

/// Pairs of complex numbers: [Ex Ey], [Hx Hy]; the formulas are those of assemble() in point_fields.cpp.
template <bool vertical, class Result>
AMPTURN_LANE void evaluate(const Block& all, const Target<Result>* targets, std::size_t target_count) {
    const Block block = all;  // a copy of its own, which no store can change
    const integrals::OffsetPolynomial* last = nullptr;
    ErrorShares shares{};
    for (std::size_t i = 0; i < block.count; ++i) {
        const integrals::OffsetPolynomial* piece = block.choices[i].piece;
        if (piece == nullptr) {
            for (std::size_t s = 0; s < target_count; ++s) targets[s].missed[i] = 1;
            continue;
        }
        if (piece != last) shares = shares_of(*piece, block.omega_mu0);
        last = piece;
        const double t = (block.log_offset[i] - piece->centre) * piece->per_unit;
        const double* row = piece->coefficients + (piece->count - 1) * integrals::interpolated_count;
        V4 e = lane::load<4>(row), h = lane::load<4>(row + 4), z = lane::load<4>(row + 8), v{};
        if constexpr (vertical) v = lane::load<4>(row + 12);
        const auto next = [&] {
            row -= integrals::interpolated_count;
            e = e * t + lane::load<4>(row);
            h = h * t + lane::load<4>(row + 4);
            z = z * t + lane::load<4>(row + 8);
            if constexpr (vertical) v = v * t + lane::load<4>(row + 12);
        };
        next();
        for (std::size_t k = piece->count - 2; k > 0; k -= 2) {
            next();
            next();
        }
        const double size = block.inverse_cube[i];
        if (block.phase_re != nullptr) {
            const double re = block.phase_re[i], im = block.phase_im[i];
            e = times(e, re, im);
            h = times(h, re, im);
            z = times(z, re, im);
            if constexpr (vertical) v = times(v, re, im);
        }
        const double w = block.omega_mu0, cosine = block.cosine[i], sine = block.sine[i];
        const double c = size * cosine, d = size * sine;
        const V4 i_omega_mu0{-w, w, -w, w}, radial{c, c, d, d}, across{-d, -d, c, c};
        e = swapped(e) * i_omega_mu0;
        z = z * size;
        const V4 e_along = across * first_twice(e), e_across = radial * second_twice(e);
        const V4 h_along = radial * first_twice(h), h_across = across * second_twice(h);
        const V4 z_along = first_only(z);
        V4 e_down{}, h_down{}, z_down{};
        if constexpr (vertical) {
            e_down = across * (swapped(first_twice(v)) * i_omega_mu0);
            h_down = radial * second_twice(v);
            z_down = second_only(z);
        }
        for (std::size_t s = 0; s < target_count; ++s) {
            const Target<Result> target = targets[s];
            const double along = target.a_north * cosine + target.a_east * sine;
            const double cross = target.a_east * cosine - target.a_north * sine;
            V4 e_field = along * e_along - cross * e_across;
            V4 h_field = along * h_along + cross * h_across;
            V4 z_field = along * z_along;
            V4 error = std::abs(along) * shares.along + std::abs(cross) * shares.across;
            if constexpr (vertical) {
                e_field -= target.a_down * e_down;
                h_field -= target.a_down * h_down;
                z_field += target.a_down * z_down;
                error += std::abs(target.a_down) * shares.down;
            }
            z_field += size * error;
            const std::uint64_t missed = misses(e_field, h_field, z_field, block.tolerance_squared);
            target.missed[i] = missed;
            put(target.results[i], e_field, h_field, z_field, block.choices[i].integration, missed);
        }
    }
}

AMPTURN_DISPATCH(write_level, (const Block& block, const Target<FieldResult>* targets, std::size_t count),
                 evaluate<false>(block, targets, count))
AMPTURN_DISPATCH(write_vertical, (const Block& block, const Target<FieldResult>* targets, std::size_t count),
                 evaluate<true>(block, targets, count))
AMPTURN_DISPATCH(add_level, (const Block& block, const Target<Estimate>* targets, std::size_t count),
                 evaluate<false>(block, targets, count))
AMPTURN_DISPATCH(add_vertical, (const Block& block, const Target<Estimate>* targets, std::size_t count),
                 evaluate<true>(block, targets, count))

void evaluate_block(bool vertical, const Block& block, std::span<const Target<FieldResult>> targets) {
    vertical ? write_vertical(block, targets.data(), targets.size())
             : write_level(block, targets.data(), targets.size());
}
void evaluate_block(bool vertical, const Block& block, std::span<const Target<Estimate>> targets) {
    vertical ? add_vertical(block, targets.data(), targets.size())
             : add_level(block, targets.data(), targets.size());
}

/// e^{-i k0 r}; arrays as long as whole vectors.
template <std::size_t width>
AMPTURN_LANE void turn(const double* offset_m, double k0_per_m, std::size_t count, double* re, double* im) {
    for (std::size_t i = 0; i < count; i += width) {
        const auto e = lane::exp_minus(
            lane::C<width>{lane::all<width>(0.0), k0_per_m * lane::load<width>(offset_m + i)});
        lane::store(re + i, e.re);
        lane::store(im + i, e.im);
    }
}
AMPTURN_DISPATCH(phases, (const double* offset_m, double k0_per_m, std::size_t count, double* re, double* im),
                 turn<width>(offset_m, k0_per_m, count, re, im))

}  // namespace

std::vector<SourceGroup> group_dipoles(std::span<const Source> sources, std::span<const Receiver> receivers) {
    std::vector<SourceGroup> groups;
    std::vector<std::array<double, 3>> places;
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const auto* dipole = std::get_if<Dipole>(&sources[i]);
        if (dipole == nullptr) continue;
        const std::array<double, 3> place{dipole->x_m, dipole->y_m, dipole->height_m};
        const auto found = std::find(places.begin(), places.end(), place);
        const auto at = static_cast<std::size_t>(found - places.begin());
        if (found == places.end()) {
            places.push_back(place);
            groups.push_back({.members = {}, .height_m = dipole->height_m, .vertical = false});
        }
        const auto [mx, my, mz] = dipole->moment_a_m2;
        groups[at].members.push_back({i, {mx / (4 * pi), my / (4 * pi), mz / (4 * pi)}});
        groups[at].vertical = groups[at].vertical || mz != 0;
    }
    for (std::size_t g = 0; g < groups.size(); ++g) {
        SourceGroup& group = groups[g];
        // Whole vectors are read, from any receiver on.
        const std::size_t padded = receivers.size() + lane_count - 1;
        for (auto* array :
             {&group.offset_m, &group.log_offset, &group.inverse_cube, &group.cosine, &group.sine})
            array->resize(padded);
        for (std::size_t i = 0; i < receivers.size(); ++i) {
            const double dx = receivers[i].x_m - places[g][0], dy = receivers[i].y_m - places[g][1];
            const double r = std::sqrt(dx * dx + dy * dy);
            group.offset_m[i] = r;
            group.log_offset[i] = std::log(r);
            group.inverse_cube[i] = 1 / (r * r * r);
            group.cosine[i] = dx / r;
            group.sine[i] = dy / r;
        }
    }
    return groups;
}

namespace {

/// Results of a group's members: each member's row begins at `row(member)`; do_missed(member, receiver, result) does those
/// that miss the tolerance.
template <class Result, class Row, class Missed>
void batch_members(const SourceGroup& group, std::span<const Receiver> receivers, std::size_t first,
                   InterpolatedFields& shared, const Row& row, const Missed& do_missed) {
    const std::span<const SourceGroup::Member> members = group.members;
    const integrals::LayerKernels& kernels = shared.kernels();
    const std::size_t n = receivers.size();
    std::array<InterpolatedFields::Choice, block_size> choices;
    std::array<double, block_size> phase_re, phase_im;
    std::vector<Target<Result>> targets(members.size());
    std::vector<std::array<std::uint64_t, block_size>> missed(members.size());
    InterpolatedFields::Choice choice{};
    double last_height_m = -1;
    for (std::size_t begin = first; begin < n; begin += block_size) {
        const std::size_t count = std::min(block_size, n - begin);
        for (std::size_t i = 0; i < count; ++i) {
            // Offsets often come in order: the last one's piece may serve.
            const double log_offset = group.log_offset[begin + i], height_m = -receivers[begin + i].z_m;
            const bool same = choice.piece != nullptr && height_m == last_height_m &&
                              std::abs((log_offset - choice.piece->centre) * choice.piece->per_unit) <= 1;
            if (!same)
                choice = shared.curve_at(log_offset, {group.height_m, height_m, group.half_height_m},
                                         group.vertical);
            choices[i] = choice;
            last_height_m = height_m;
        }
        if (kernels.full_wave())
            phases(&group.offset_m[begin], kernels.k0_per_m(), count, phase_re.data(), phase_im.data());
        for (std::size_t s = 0; s < targets.size(); ++s) {
            const SourceGroup::Member& m = members[s];
            targets[s] = {m.a[0], m.a[1], m.a[2], row(m) + begin, missed[s].data()};
        }
        const Block block{.count = count,
                          .choices = choices.data(),
                          .log_offset = &group.log_offset[begin],
                          .inverse_cube = &group.inverse_cube[begin],
                          .cosine = &group.cosine[begin],
                          .sine = &group.sine[begin],
                          .phase_re = kernels.full_wave() ? phase_re.data() : nullptr,
                          .phase_im = phase_im.data(),
                          .omega_mu0 = kernels.omega_rad_per_s() * mu0_h_per_m,
                          .tolerance_squared = shared.tolerance_rel() * shared.tolerance_rel()};
        evaluate_block(group.vertical, block, targets);
        for (std::size_t s = 0; s < targets.size(); ++s) {
            std::uint64_t any = 0;
            for (std::size_t i = 0; i < count; ++i) any |= missed[s][i];
            for (std::size_t i = 0; i < count && any != 0; ++i)
                if (missed[s][i] != 0) do_missed(members[s], begin + i, targets[s].results[i]);
        }
    }
}

}  // namespace

void batch_fields(const SourceGroup& group, std::span<const Receiver> receivers, InterpolatedFields& shared,
                  const std::function<FieldResult(std::size_t, std::size_t)>& fallback,
                  std::span<FieldResult> results) {
    batch_members<FieldResult>(
        group, receivers, 0, shared,
        [&](const SourceGroup::Member& m) { return &results[m.source * receivers.size()]; },
        [&](const SourceGroup::Member& m, std::size_t receiver, FieldResult& result) {
            result = fallback(m.source, receiver);
        });
}

void add_fields(const SourceGroup& group, std::span<const Receiver> receivers, std::size_t first,
                InterpolatedFields& shared, const std::function<Estimate(std::size_t, std::size_t)>& fallback,
                std::span<Estimate> sums) {
    batch_members<Estimate>(
        group, receivers, first, shared, [&](const SourceGroup::Member&) { return sums.data(); },
        [&](const SourceGroup::Member& m, std::size_t receiver, Estimate& sum) {
            add(fallback(m.source, receiver), sum);
        });
}

}  // namespace ampturn::model::fields
