"""The job of fields_bench.cpp that the NumPy scripts beside this file do: ground, frequencies, and the project's own filter."""
import os
import re

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np

MU0 = 4e-7 * np.pi
RHO = np.array([50, 20, 1e4, 3e4, 1e5])
THICKNESS = np.array([10, 8, 100, 300])
HEIGHT = 2.0
FREQUENCIES = 1e3 * 1e3 ** (np.arange(16) / 15)

TABLE = open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "../../model/integrals/quasi_static_filter_table.hpp"),
             encoding="ascii").read()
SPACING = float(re.search(r"filter_spacing = ([\d.]+)", TABLE).group(1))
FIRST = int(re.search(r"filter_first = (-?\d+)", TABLE).group(1))


def weights(skip):
    """J0, J1 and the lowest index, without the first `skip` weights, of the lowest wavenumbers, too small to matter."""
    j0, j1 = (np.array([float(x) for x in re.search(name + r"\{([^}]*)\}", TABLE).group(1).split(",") if x.strip()])
              for name in ("filter_j0", "filter_j1"))
    return j0[skip:], j1[skip:], FIRST + skip
