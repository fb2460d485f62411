#!/usr/bin/python3
"""The full-wave job of fields_bench.cpp with NumPy by the method of the engine (model/integrals/shared_offsets.hpp): the
offsets of a band, a factor of 2.8, share the nodes of one contour. Kernels are evaluated once a frequency over the nodes of
all bands; the sums for a few offsets of each band, Chebyshev points in the logarithm, are matrix products; freed of
r^-3 e^{-i k0 r} they are interpolated to the band's offsets by another matrix, for both loops together. Errors are estimated
as the engine does, by an unlike contour at both ends of a band and the last Chebyshev coefficients; timed without that, too.
Hankel functions at the nodes (SciPy) and the matrices are made in a first job, which is not timed.

    /usr/bin/python3 bench/model/shared_contour.py [OFFSETS]

Prints seconds, a checksum (sum of |Hx| of both loops, as fields_bench does), the worst error relative to the field's vector
against every 23rd offset's own integration by contour_points.py, seconds without estimates, the worst estimate, and the
nodes of a frequency, least and most.
"""
import collections
import sys
import time

from lagged_job import FREQUENCIES, MU0
import numpy as np  # after lagged_job, which says how many threads
from scipy import special

from contour_points import AZIMUTH, components, kernels, media, points, worst_miss

LOOPS = 0.0, np.pi / 2  # azimuths of their moments
BAND = 1.5 * np.log(2)  # of ln r
POINTS = 20
Shape = collections.namedtuple("Shape", "order corner level up_deg down_deg growth longest low_ratio low_end fractions")
CHEBYSHEV = -np.cos(np.pi * (np.arange(POINTS) + 0.5) / POINTS)
FRACTIONS = np.exp(0.5 * BAND * CHEBYSHEV)
ENDS = np.exp(0.5 * BAND * np.array([-1, 1]))
MAIN = Shape(10, 1.5 + 1.5j, 3.0, 50, 24, 1.45, 30, 3.0, 2e-5, FRACTIONS)
CHECK = Shape(11, 1.4 + 1.4j, 2.8, 45, 19, 1.4, 26, 3.5, 1.5e-5, ENDS)
DECAY = 26.0


def ray(shape, start, degrees):
    """Ends of panels that grow away from the corner."""
    slope = abs(np.sin(np.radians(degrees)))
    length = (DECAY + (shape.corner.imag if degrees < 0 else 0)) / (ENDS[0] * slope)
    done, panel, ends = 0.0, 2.2, [start]
    while done < length:
        done = min(done + panel, length)
        panel = min(shape.growth * panel, shape.longest)
        ends.append(start + done * np.exp(1j * np.radians(degrees)))
    return np.array(ends)


def contour(shape, level_panels):
    """zeta = lambda times the band's middle, and Gauss weight times Bessel or Hankel function: [offset][node] of order 0, 1."""
    corner = shape.corner
    low = int(np.ceil(np.log(abs(corner) / shape.low_end) / np.log(shape.low_ratio)))
    parts = [(special.jv, 1.0, np.concatenate([[0], corner * shape.low_ratio ** -np.arange(low + 1.0)[::-1]])),
             (special.hankel1, 0.5, ray(shape, corner, shape.up_deg)),
             (special.hankel2, 0.5, corner + shape.level * np.arange(level_panels + 1)),
             (special.hankel2, 0.5, ray(shape, corner + shape.level * level_panels, -shape.down_deg))]
    x, w = np.polynomial.legendre.leggauss(shape.order)
    zeta, tables = [], ([], [])
    for function, share, ends in parts:
        half = np.diff(ends)[:, None] / 2
        z = ((ends[:-1] + ends[1:])[:, None] / 2 + half * x).ravel()
        zeta.append(z)
        for order in (0, 1):
            tables[order].append(function(order, z * shape.fractions[:, None]) * (share * half * w).ravel())
    return np.concatenate(zeta), np.concatenate(tables[0], axis=1), np.concatenate(tables[1], axis=1)


def barycentric(t):
    """Values at t from those at the Chebyshev points."""
    signs = (-1.0) ** np.arange(POINTS) * np.sin(np.pi * (np.arange(POINTS) + 0.5) / POINTS)
    distance = t[:, None] - CHEBYSHEV
    distance[distance == 0] = 1e-15
    share = signs / distance
    return share / share.sum(axis=1, keepdims=True)


class Job:
    def __init__(self, offsets):
        self.offsets = offsets
        low, high = np.log(offsets[0]), np.log(offsets[-1])
        count = max(1, int(np.ceil((high - low) / BAND - 1e-9)))
        first = 0.5 * (low + high - count * BAND)
        self.middles = np.exp(first + BAND * (np.arange(count) + 0.5))
        place = (np.log(offsets) - first) / BAND
        band = np.clip(np.floor(place).astype(int), 0, count - 1)
        self.ends = np.searchsorted(band, np.arange(count + 1))
        self.interpolation = barycentric(2 * (place - band) - 1)
        self.to_ends = barycentric(np.array([-1.0, 1.0]))
        last = np.arange(POINTS - 3, POINTS)[:, None]
        self.to_last_coefficients = 2 / POINTS * np.cos(last * np.arccos(CHEBYSHEV))
        self.band, self.tables, self.cubes = band, {}, offsets ** 3
        self.nodes = []

    def table(self, shape, level_panels):
        key = (shape.order, level_panels)
        if key not in self.tables:
            self.tables[key] = contour(shape, level_panels)
        return self.tables[key]

    def smooth(self, shape, omega):
        """r^3 e^{i k0 r} times the five integrals, with /r done: [band][fraction][integral]."""
        k0_squared, k_squared, _ = media(omega)
        rightmost = np.sqrt(max(k0_squared, k_squared.real.max())) * self.middles
        panels = np.ceil(np.maximum(0, (rightmost - shape.corner.real) / shape.level))
        tables = [self.table(shape, int(x)) for x in panels]
        values = kernels(np.concatenate([t[0] / m for t, m in zip(tables, self.middles)]), omega).T
        self.nodes.append(len(values))
        r = self.middles[:, None] * shape.fractions
        sums = np.empty((len(tables), len(shape.fractions), 7), complex)
        begin = 0
        for i, (zeta, j0, j1) in enumerate(tables):
            here = values[begin:begin + len(zeta)]
            begin += len(zeta)
            sums[i, :, :4] = j0 @ here[:, :4]
            sums[i, :, 4:] = j1 @ here[:, 4:]
        p0, s0, q0, kr0, ps1, qr1, pz1 = np.moveaxis(sums, 2, 0)
        ps1, qr1 = ps1 / r, qr1 / r
        result = np.stack([p0 - ps1, ps1 - s0, q0 - qr1, kr0 + qr1, pz1], axis=2)
        return result * (r ** 3 * np.exp(1j * np.sqrt(k0_squared) * r) / self.middles[:, None])[:, :, None]

    def fields(self, estimate):
        """[loop][frequency][component][offset]; and the errors of E and H, [loop][frequency][2][offset], or None."""
        out = np.empty((2, len(FREQUENCIES), 5, len(self.offsets)), complex)
        errors = np.empty((2, len(FREQUENCIES), 2, len(self.offsets))) if estimate else None
        for i, f in enumerate(FREQUENCIES):
            omega = 2 * np.pi * f
            main = self.smooth(MAIN, omega)
            integrals = np.empty((len(self.offsets), 5), complex)
            for b, (begin, end) in enumerate(zip(self.ends[:-1], self.ends[1:])):
                integrals[begin:end] = self.interpolation[begin:end] @ main[b]
            integrals *= (np.exp(-1j * np.sqrt(media(omega)[0]) * self.offsets) / self.cubes)[:, None]
            e_r, e_a, h_r, h_a, h_z = integrals.T
            sums = (e_r, -e_a, h_r, h_a, 0.0, 0.0, h_z)  # what stood over r is in them already
            for loop, azimuth in enumerate(LOOPS):
                out[loop, i] = components(sums, self.offsets, omega, azimuth)
            if estimate:
                self.estimate(main, omega, errors[:, i])
        return out, errors

    def estimate(self, main, omega, errors):
        miss = 2 * np.abs(self.to_ends @ main - self.smooth(CHECK, omega)).max(axis=1)
        tail = np.abs(self.to_last_coefficients @ main).max(axis=1)
        e_r, e_a, h_r, h_a, h_z = (np.maximum(miss, tail)[self.band] / self.cubes[:, None]).T / (4 * np.pi)
        for loop, azimuth in enumerate(LOOPS):
            along, across = abs(np.cos(azimuth - AZIMUTH)), abs(np.sin(azimuth - AZIMUTH))
            errors[loop, 0] = omega * MU0 * (across * e_a + along * e_r)
            errors[loop, 1] = along * (h_r + h_z) + across * h_a


def timed(job, estimate):
    job.fields(estimate)
    best, result = float("inf"), None
    for _ in range(40):
        start = time.process_time()
        result = job.fields(estimate)
        best = min(best, time.process_time() - start)
    return best, *result


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    offsets = 10 * 500 ** (np.arange(count) / (count - 1))
    job = Job(offsets)
    bare_s, _, _ = timed(job, False)
    nodes = min(job.nodes), max(job.nodes)
    seconds, result, errors = timed(job, True)
    some = np.arange(0, count, max(1, 23 * count // 500))
    worst = max(worst_miss(result[loop, i][:, some], points(offsets[some], f, azimuth))
                for i, f in enumerate(FREQUENCIES) for loop, azimuth in enumerate(LOOPS))
    size = np.stack([np.abs(result[:, :, :2]).max(axis=2), np.abs(result[:, :, 2:]).max(axis=2)], axis=2)
    print(f"{seconds:.6f} {np.abs(result[:, :, 2]).sum():.10g} {worst:.2g} {bare_s:.6f} {(errors / size).max():.2g} {nodes[0]} {nodes[1]}")


if __name__ == "__main__":
    main()
