"""The same job by other means, beside the engine: rows of a table."""
import os

from performance.programs import blas_in_use, ms, numbers_of, three

POINTS = 16 * 500  # frequencies and offsets of the job
TOLERANCE = 1e-7  # of the job: who errs more has not done it


class Comparison:
    """Rows that say how much slower something is than the engine at the same waves."""

    def __init__(self, full, static, engine_error):
        self.engine = {"full": full, "quasi-static": static}
        self.rows = ""
        for waves in self.engine:
            self.add("this engine, errors estimated", waves, self.engine[waves]["cpu_s"], engine_error[waves])

    def add(self, text, waves, seconds, error=None):
        if error is not None and error > TOLERANCE:
            raise SystemExit(f"{text}: error {error}, allowed {TOLERANCE}")
        said = f"{error:.1g}" if error is not None else ""
        self.rows += f"| {text} | {waves} | {said} | {ms(seconds)} | {three(seconds / self.engine[waves]['cpu_s'])} |\n"

    def same_job(self, script, checksum, waves):
        """The scripts' checksums show that they did the same job."""
        ours = self.engine[waves]["checksum"]
        if abs(checksum / ours - 1) > 1e-6:
            raise SystemExit(f"{script}: checksum {checksum}, ours {ours}")

    def add_numpy(self):
        """Each script with the BLAS that the machine has and with OpenBLAS."""
        for openblas in (False, True):
            blas = blas_in_use(openblas)
            if blas is None:
                self.rows += f"| NumPy with {'OpenBLAS' if openblas else 'its own BLAS'}: not installed, not measured | | | | |\n"
                continue
            self.one_blas(blas[1], openblas)

    def one_blas(self, library, openblas):
        shared = numbers_of("shared_contour.py", openblas)
        if shared is None:
            self.rows += f"| NumPy, full wave by shared contours ({library}): SciPy is not installed | | | | |\n"
        else:
            self.same_job("shared_contour.py", shared[1], "full")
            name = "NumPy: the engine's method, contours shared by bands (shared_contour.py"
            self.add(f"{name}; {library}), errors estimated", "full", shared[0], shared[2])
            self.add(f"the same without estimates ({library})", "full", shared[3], shared[2])
        for text, script in (("NumPy: lagged convolution and quintic spline, loop by loop", "lagged_spline.py"),
                             ("NumPy: the same tuned hard: both loops at once, ten-point weights shared by all frequencies",
                              "lagged_convolution.py")):
            numbers = numbers_of(script, openblas)
            self.same_job(script, numbers[1], "quasi-static")
            self.add(f"{text} ({script}; {library})", "quasi-static", numbers[0], numbers[2] if len(numbers) > 2 else None)

    def add_points(self):
        """Point by point with SciPy: measured on some points, scaled by their number. Returns what the text says of it."""
        numbers = numbers_of("contour_points.py")
        if numbers is None:
            self.rows += "| SciPy, point by point: not installed, not measured | | | | |\n"
            return "SciPy point by point was not measured: SciPy is not installed."
        fixed_s, miss, adaptive_s, fixed_points, adaptive_points = numbers
        self.add("SciPy: a contour of its own for every point, fixed Gauss rule (contour_points.py), one loop's integrals serve both",
                 "full", fixed_s * POINTS, miss)
        self.add("SciPy: the same by `quad_vec`, adaptive, 1e-12 asked for", "full", adaptive_s * POINTS)
        return (f"SciPy point by point: measured on {fixed_points:.0f} points by the fixed rule and {adaptive_points:.0f} by `quad_vec`, "
                f"scaled to the job's {POINTS}\nby count. The two differ by {miss:.1g} of the field's vector at most.")


def engine_errors(build):
    """Errors of the engine itself, {waves: error}, from engine_error.py; without SciPy none."""
    numbers = numbers_of("engine_error.py", words=[os.path.join(build, "bin/ampturn")])
    return {"full": numbers[0] if numbers else None, "quasi-static": None}
