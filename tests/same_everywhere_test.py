#!/usr/bin/env python3
"""tests/same_everywhere_test.py ROOT: no name in the product's sources that computes differently with another compiler, standard
library or machine, or that a browser's build has not. Each with what takes its place; tests/planner/same_bytes.py finds the rest.
"""
import pathlib
import re
import sys

BANNED = [
    (r"\blong double\b", "its size depends on the machine: double"),
    (r"\bstd::sqrt\(\s*(?:Complex|std::complex)", "libraries differ in the last bit: model/base/complex_root.hpp"),
    (r"\bstd::(?:sinh|cosh|tanh|asin|acos|atan|pow|log10)\(\s*(?:Complex|std::complex)", "libraries differ: write it with exp, sin and cos"),
    (r"\bstd::hypot\([^(),]*,[^(),]*,", "each library has its own of three: hypot(hypot(x, y), z)"),
    (r"\bstd::(?:expint|cyl_bessel_\w|sph_\w+|legendre|hermite|laguerre|riemann_zeta|ellint_\w|comp_ellint_\w)\(", "not everywhere: Boost.Math, in double"),
    (r"\bstd::chars_format\b", "not everywhere: base::number_in() and fmt"),
    (r"\bstd::(?:jthread|bit_cast|ranges|views|format|source_location)\b", "not everywhere"),
    (r"\bstd::(?:shuffle|sample|random_device|\w+_distribution|default_random_engine)\b", "every library draws in its own way: run/counter_random.hpp"),
    (r"\b(?:lexicographical_compare_three_way|reduce|transform_reduce|inclusive_scan)\(", "not everywhere, or in no order"),
    (r"karney_(?:inverse|direct)", "converts negative numbers to unsigned ones: scheduler/plan/geodesic.hpp"),
    (r"#include <(?:fftw3|GeographicLib)", "takes what the processor is best at: record/fourier.hpp, scheduler/plan/geodesic.hpp"),
]
COMMENT = re.compile(r"//[^\n]*|/\*.*?\*/", re.S)


def main():
    root = pathlib.Path(sys.argv[1])
    looked = 0
    found = []
    for top in ("model", "scheduler", "firmware-sim"):
        for path in sorted((root / top).rglob("*.?pp")):
            if "filter_design" in path.parts:  # makes a table that is in the sources
                continue
            text = COMMENT.sub(lambda comment: re.sub(r"[^\n]", " ", comment[0]), path.read_text(encoding="utf-8"))
            looked += 1
            for pattern, instead in BANNED:
                for match in re.finditer(pattern, text):
                    found.append(f"{path.relative_to(root)}:{text.count(chr(10), 0, match.start()) + 1}: {match[0].strip()}: {instead}")
    print("\n".join(found) or f"{looked} sources")
    return 1 if found or looked < 300 else 0


if __name__ == "__main__":
    sys.exit(main())
