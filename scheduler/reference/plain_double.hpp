#pragma once

#include <boost/math/policies/policy.hpp>

namespace ampturn::reference {

/// Boost's special functions in double precision, as everything else: left to themselves they compute in long double, whose size
/// depends on the machine.
inline constexpr boost::math::policies::policy<boost::math::policies::promote_double<false>> plain_double;

}  // namespace ampturn::reference
