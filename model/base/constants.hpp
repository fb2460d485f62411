#pragma once

/// Physical constants, SI. mu0 is the classical 4 pi 1e-7 (differs from CODATA 2018 by 5e-10 relative), so
/// that results compare with textbook closed forms to the last digit; eps0 is CODATA 2018.
namespace ampturn::model {

inline constexpr double pi = 3.141592653589793238462643383279502884;
inline constexpr double mu0_h_per_m = 4e-7 * pi;
inline constexpr double eps0_f_per_m = 8.8541878128e-12;
inline constexpr double boltzmann_j_per_k = 1.380649e-23;

}  // namespace ampturn::model
