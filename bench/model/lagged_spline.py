#!/usr/bin/python3
"""The quasi-static job of fields_bench.cpp as a numerate user would write it with NumPy: for each loop and frequency kernels,
lagged convolution with the project's own filter at its own spacing, and a quintic spline over the logarithm of offset for each
integral. The spline's matrix is the same every time and inverted once. Prints seconds, a checksum (sum of |Hx| of both loops,
as fields_bench does) and the worst error: of the spline against the same filter laid through the very offsets, relative to the
field's vector.

    /usr/bin/python3 bench/model/lagged_spline.py [OFFSETS]
"""
import sys
import time

from lagged_job import FREQUENCIES, HEIGHT, MU0, RHO, SPACING, THICKNESS, weights
import numpy as np  # after lagged_job, which says how many threads

J0, J1, LOWEST = weights(138)
MARGIN = 16  # rows beyond either end, where the spline's end conditions are felt: 0.43^16 = 1e-6 of a small error


def kernels(lam, omega):
    """P and Q of the surface fields of a horizontal magnetic dipole (docs/physics.md)."""
    surface = np.sqrt(lam ** 2 + 1j * omega * MU0 / RHO[-1])
    for rho, thickness in zip(RHO[-2::-1], THICKNESS[::-1]):
        u = np.sqrt(lam ** 2 + 1j * omega * MU0 / rho)
        th = np.tanh(u * thickness)
        surface = u * (surface + u * th) / (u + surface * th)
    e = np.exp(-lam * HEIGHT) / (lam + surface)
    return 2 * lam * e, -2 * surface * lam * e


def components(p0, p1, q0, q1, pz, r, omega, along, across, azimuth):
    """Five components from the integrals; p1 and q1 over r already."""
    zh, a = 1j * omega * MU0, 1 / (4 * np.pi)
    h_r, h_p = a * along * (q0 - q1), a * across * q1
    e_p, e_r = zh * a * along * (p0 - p1), -zh * a * across * p1
    c, s = np.cos(azimuth), np.sin(azimuth)
    return np.array([c * e_r - s * e_p, s * e_r + c * e_p, c * h_r - s * h_p, s * h_r + c * h_p, a * along * pz])


class Spline:
    """Quintic spline through equally spaced rows, at given places (in rows)."""

    def __init__(self, rows, places):
        matrix = np.zeros((rows, rows))
        for shift, value in zip(range(-2, 3), (1, 26, 66, 26, 1)):
            matrix += np.diag(np.full(rows - abs(shift), value / 120), shift)
        self.inverse = np.linalg.inv(matrix)
        cell = np.floor(places).astype(int)
        t = places - cell
        self.pick = cell[:, None] + np.arange(-2, 4)
        b = lambda x: np.where(np.abs(x) < 3, sum((-1) ** k * c * np.maximum(3 - np.abs(x) - k, 0) ** 5
                                                  for k, c in enumerate((1, 6, 15))), 0) / 120
        self.basis = b(t[:, None] - np.arange(-2, 4))

    def __call__(self, values):  # [integral][row]
        coefficients = values @ self.inverse.T
        return (coefficients[:, self.pick] * self.basis).sum(axis=2)


def loop_job(offsets, azimuth, moment_azimuth):
    """[frequency][component][offset] of one loop."""
    first = int(np.floor(np.log(offsets[0]) / SPACING)) - MARGIN
    last = int(np.ceil(np.log(offsets[-1]) / SPACING)) + MARGIN
    r = np.exp(SPACING * np.arange(first, last + 1))
    lam = np.exp(SPACING * (LOWEST - last + np.arange(len(J0) + len(r) - 1)))
    spline = Spline(len(r), np.log(offsets) / SPACING - first)
    turn = lambda kernel, weights: np.convolve(kernel, weights[::-1], "valid")[::-1] / r
    along, across = np.cos(moment_azimuth - azimuth), np.sin(moment_azimuth - azimuth)
    out = []
    for f in FREQUENCIES:
        omega = 2 * np.pi * f
        p, q = kernels(lam, omega)
        integrals = np.array([turn(p * lam, J0), turn(p, J1) / r, turn(q * lam, J0), turn(q, J1) / r,
                              turn(p * lam ** 2, J1)]) * r ** 3
        out.append(components(*(spline(integrals) / offsets ** 3), offsets, omega, along, across, azimuth))
    return np.array(out)


def direct(offsets, azimuth, moment_azimuth, f):
    """[component][offset] with kernels of its own for every offset."""
    omega = 2 * np.pi * f
    lam = np.exp(SPACING * (LOWEST + np.arange(len(J0))))[None, :] / offsets[:, None]
    p, q = kernels(lam, omega)
    integrals = ((p * lam) @ J0, p @ J1 / offsets, (q * lam) @ J0, q @ J1 / offsets, (p * lam ** 2) @ J1)
    along, across = np.cos(moment_azimuth - azimuth), np.sin(moment_azimuth - azimuth)
    return components(*(x / offsets for x in integrals), offsets, omega, along, across, azimuth)


def worst_error(result, offsets, azimuth, moment_azimuth):
    worst = 0.0
    for i, f in enumerate(FREQUENCIES):
        exact = direct(offsets, azimuth, moment_azimuth, f)
        for part in (slice(0, 2), slice(2, 5)):
            size = np.abs(exact[part]).max(axis=0)
            worst = max(worst, (np.abs(result[i, part] - exact[part]).max(axis=0) / size).max())
    return worst


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    offsets = 10 * 500 ** (np.arange(count) / (count - 1))
    azimuth, loops = np.arctan2(0.6, 0.8), (0.0, np.pi / 2)
    best, results = float("inf"), []
    for _ in range(40):
        start = time.process_time()
        results = [loop_job(offsets, azimuth, m) for m in loops]
        best = min(best, time.process_time() - start)
    checksum = sum(np.abs(x[:, 2]).sum() for x in results)
    worst = max(worst_error(x[:, :, ::17], offsets[::17], azimuth, m) for x, m in zip(results, loops))
    print(f"{best:.6f} {checksum:.10g} {worst:.2g}")


if __name__ == "__main__":
    main()
