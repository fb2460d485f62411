#!/usr/bin/python3
"""The full-wave job of fields_bench.cpp point by point with SciPy: every offset and frequency has a contour of its own, without
anything shared. Two ways: a fixed Gauss-Legendre rule of many nodes, and scipy.integrate.quad_vec, adaptive, 1e-12 asked for.
Also what full-wave results are compared with. Formulas: docs/physics.md.

    /usr/bin/python3 bench/model/contour_points.py

Prints for the fixed rule seconds a point, the worst miss between it and the adaptive one, relative to the field's vector,
and seconds a point of the adaptive one; then how many points each was measured on.
"""
import time

from lagged_job import FREQUENCIES, HEIGHT, MU0, RHO, THICKNESS
import numpy as np  # after lagged_job, which says how many threads
from scipy import integrate, special

EPS0 = 1 / (MU0 * 299792458.0 ** 2)
PERMITTIVITY = np.array([20, 20, 6, 6, 5.5])
AZIMUTH = np.arctan2(0.6, 0.8)
CORNER = 1.6 + 1.8j  # of the path, times 1/offset: straight from 0, then up for H1, along and down for H2
UP, DOWN = np.exp(0.9j), np.exp(-0.35j)
DECAY = 38.0  # e^-38 is 3e-17
CARRIERS = {"j": (special.jv, 1.0), "h1": (special.hankel1, 0.5), "h2": (special.hankel2, 0.5)}


def media(omega):
    """Squared wavenumber of air and the layers' squared wavenumbers and admittivities; e^{+i omega t}."""
    admittivity = 1 / RHO + 1j * omega * EPS0 * PERMITTIVITY
    return omega ** 2 * MU0 * EPS0, -1j * omega * MU0 * admittivity, admittivity


def kernels(lam, omega):
    """The seven kernels of horizontal dipoles, [kernel][wavenumber]: four for J0, three for J1."""
    k0_squared, k_squared, admittivity = media(omega)
    l2 = lam * lam
    u0 = np.sqrt(l2 - k0_squared)
    ratio = 1j * omega * EPS0 / admittivity
    u = np.sqrt(l2 - k_squared[-1])
    te, tm = u, ratio[-1] * u
    for i in range(len(THICKNESS) - 1, -1, -1):
        u = np.sqrt(l2 - k_squared[i])
        e = np.exp(-2 * THICKNESS[i] * u)
        plus, minus = 1 + e, 1 - e
        te = u * (te * plus + u * minus) / (u * plus + te * minus)
        own = ratio[i] * u
        tm = own * (tm * plus + own * minus) / (own * plus + tm * minus)
    height = np.exp(-HEIGHT * u0)
    te_over_u0, tm_over_u0 = 2 * height / (u0 + te), 2 * height / (u0 + tm)
    te_odd, p, s = -te * te_over_u0, u0 * te_over_u0, -tm * tm_over_u0
    q, kr = te_odd * u0, k0_squared * tm_over_u0
    return np.array([p * lam, s * lam, q * lam, kr * lam, p + s, q - kr, p * l2])


def components(sums, r, omega, moment_azimuth):
    """Five components of a dipole from the seven integrals at the offsets r."""
    p0, s0, q0, kr0, ps1, qr1, pz1 = sums
    a, zh = 1 / (4 * np.pi), 1j * omega * MU0
    along, across = a * np.cos(moment_azimuth - AZIMUTH), a * np.sin(moment_azimuth - AZIMUTH)
    h_r, h_p = along * (q0 - qr1 / r), across * (kr0 + qr1 / r)
    e_r, e_p = -zh * across * (ps1 / r - s0), zh * along * (p0 - ps1 / r)
    c, s = np.cos(AZIMUTH), np.sin(AZIMUTH)
    return np.array([c * e_r - s * e_p, s * e_r + c * e_p, c * h_r - s * h_p, s * h_r + c * h_p, along * pz1])


def pieces(r, omega):
    """(carrier, from, to) of the path in lambda r; where the downward ray begins, every singularity is left behind."""
    k0_squared, k_squared, _ = media(omega)
    rightmost = r * np.sqrt(max(k0_squared, k_squared.real.max()))
    corner = CORNER + max(0.0, rightmost - CORNER.real)
    return [("j", 0, CORNER), ("h1", CORNER, CORNER + DECAY / UP.imag * UP),
            ("h2", CORNER, corner), ("h2", corner, corner - (DECAY + CORNER.imag) / DOWN.imag * DOWN)]


def panels(start, end, longest, graded):
    """Ends of panels from start to end: towards 0 each 2.5 times as short, or none longer than `longest`."""
    if graded:
        return np.concatenate([[start], end * 2.5 ** -np.arange(16.0)[::-1]])
    return start + (end - start) * np.linspace(0, 1, max(1, int(np.ceil(abs(end - start) / longest))) + 1)


def by_fixed_rule(r, omega, order=20):
    """The seven integrals of one offset."""
    x, w = np.polynomial.legendre.leggauss(order)
    lam, weight_0, weight_1 = [], [], []
    for carrier, start, end in pieces(r, omega):
        if start == end:
            continue
        ends = panels(start, end, 4.0, carrier == "j")
        half = np.diff(ends)[:, None] / 2
        z = ((ends[:-1] + ends[1:])[:, None] / 2 + half * x).ravel()
        w_z = (half * w).ravel()
        function, share = CARRIERS[carrier]
        lam.append(z / r)
        weight_0.append(share * w_z * function(0, z))
        weight_1.append(share * w_z * function(1, z))
    values = kernels(np.concatenate(lam), omega)
    return np.concatenate([values[:4] @ np.concatenate(weight_0), values[4:] @ np.concatenate(weight_1)]) / r


def by_quad_vec(r, omega):
    """The same by adaptive Gauss-Kronrod, all seven at once, each of the size of its own integral."""
    size = np.abs(by_fixed_rule(r, omega))
    total = np.zeros(7, complex)
    for carrier, start, end in pieces(r, omega):
        if start == end:
            continue
        function, share = CARRIERS[carrier]

        def integrand(t):
            z = start + t * (end - start)
            carried = np.array([function(0, z)] * 4 + [function(1, z)] * 3)
            return kernels(np.array([z / r]), omega)[:, 0] * carried * (share * (end - start) / r) / size

        low = 1e-14 if carrier == "j" else 0.0  # kernels at 0 itself are 0/0 in places
        total += integrate.quad_vec(integrand, low, 1, epsabs=1e-12, epsrel=1e-12, norm="max", limit=2000)[0]
    return total * size


def points(offsets, f, moment_azimuth, rule=by_fixed_rule):
    """[component][offset]."""
    omega = 2 * np.pi * f
    sums = np.array([rule(r, omega) for r in offsets]).T
    return components(sums, offsets, omega, moment_azimuth)


def worst_miss(result, exact):
    """[component][offset] against the same, relative to the vectors of E and of H."""
    worst = 0.0
    for part in (slice(0, 2), slice(2, 5)):
        size = np.abs(exact[part]).max(axis=0)
        worst = max(worst, (np.abs(result[part] - exact[part]).max(axis=0) / size).max())
    return worst


def main():
    offsets = 10 * 500 ** (np.arange(500) / 499)
    fixed, few = offsets[::25], offsets[[0, 250, 499]]
    frequencies = FREQUENCIES[::5]
    start = time.process_time()
    for f in frequencies:
        points(fixed, f, 0.0)
    fixed_s = (time.process_time() - start) / (len(frequencies) * len(fixed))
    start = time.process_time()
    adaptive = [points(few, f, 0.0, by_quad_vec) for f in frequencies]
    adaptive_s = (time.process_time() - start) / (len(frequencies) * len(few))
    miss = max(worst_miss(points(few, f, 0.0), x) for f, x in zip(frequencies, adaptive))
    print(f"{fixed_s:.6g} {miss:.2g} {adaptive_s:.6g} {len(frequencies) * len(fixed)} {len(frequencies) * len(few)}")


if __name__ == "__main__":
    main()
