#!/usr/bin/python3
"""The quasi-static job of fields_bench.cpp as a numerate user would write it with NumPy: lagged convolution with the
project's own filter, then interpolation over offset with weights shared by all frequencies. Prints seconds and a checksum
(sum of |Hx| of the first loop and of the second, as fields_bench does).

    /usr/bin/python3 bench/model/lagged_convolution.py [OFFSETS]
"""
import sys
import time

from lagged_job import FREQUENCIES, HEIGHT, MU0, RHO, SPACING, THICKNESS, weights
import numpy as np  # after lagged_job, which says how many threads

J0, J1, LOWEST = weights(100)


def job(offsets, azimuth):
    first = int(np.floor(np.log(offsets[0]) / SPACING)) - 6
    last = int(np.ceil(np.log(offsets[-1]) / SPACING)) + 6
    rows = np.arange(first, last + 1)
    r = np.exp(SPACING * rows)
    lam = np.exp(SPACING * (LOWEST - last + np.arange(len(J0) + len(rows) - 1)))
    # Interpolation weights: ten rows around each offset, the same for every frequency.
    x = np.log(offsets) / SPACING - first
    base = np.floor(x).astype(int) - 4
    node = np.arange(10)
    distance = (x - base)[:, None] - node
    distance[distance == 0] = 1e-12
    binomial = np.array([1, -9, 36, -84, 126, -126, 84, -36, 9, -1.0])
    share = binomial / distance
    share /= share.sum(axis=1, keepdims=True)
    picks = base[:, None] + node
    c, s = np.cos(azimuth), np.sin(azimuth)
    checksum = 0.0
    out = np.empty((len(FREQUENCIES), 2, 5, len(offsets)), complex)
    for i, f in enumerate(FREQUENCIES):
        omega = 2 * np.pi * f
        u = np.sqrt(lam[None, :] ** 2 + 1j * omega * MU0 / RHO[:, None])
        surface = u[-1]
        for j in range(len(THICKNESS) - 1, -1, -1):
            e = np.exp(-2 * u[j] * THICKNESS[j])
            th = (1 - e) / (1 + e)
            surface = u[j] * (surface + u[j] * th) / (u[j] + surface * th)
        e = np.exp(-lam * HEIGHT) / (lam + surface)
        p, q = 2 * lam * e, -2 * surface * lam * e
        turn = lambda kernel, weights: np.convolve(kernel, weights[::-1], "valid")[::-1] / r
        p0, p1 = turn(p * lam, J0), turn(p, J1) / r
        q0, q1, pz = turn(q * lam, J0), turn(q, J1) / r, turn(p * lam ** 2, J1)
        smooth = np.stack([p0 - p1, p1, q0 - q1, q1, pz]) * r ** 3
        a, b, cc, d, z = np.einsum("tok,ok->to", smooth[:, picks], share) / offsets ** 3 / (4 * np.pi)
        zh = 1j * omega * MU0
        # Loop along x, then along y; radial and across parts of the moment.
        for k, (along, across) in enumerate(((c, -s), (s, c))):
            h_r, h_p, e_p, e_r = along * cc, across * d, zh * along * a, -zh * across * b
            out[i, k] = c * e_r - s * e_p, s * e_r + c * e_p, c * h_r - s * h_p, s * h_r + c * h_p, along * z
        checksum += np.abs(out[i, :, 2]).sum()
    return checksum


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    offsets = 10 * 500 ** (np.arange(count) / (count - 1))
    best, checksum = float("inf"), 0.0
    for _ in range(40):
        start = time.process_time()
        checksum = job(offsets, np.arctan2(0.6, 0.8))
        best = min(best, time.process_time() - start)
    print(f"{best:.6f} {checksum:.10g}")
