#!/usr/bin/env python3
"""tests/maths_test.py PROGRAM...: of the system's maths library a program asks only for what every library rounds alike.

Definition: IEEE 754 and the C standard leave no choice of the last bit for the functions in EXACT; for all others they do.
"""
import subprocess
import sys

EXACT = {
    "ceil", "copysign", "fabs", "fdim", "floor", "fma", "fmax", "fmin", "fmod", "frexp", "ilogb", "ldexp", "llrint", "llround", "logb",
    "lrint", "lround", "modf", "nearbyint", "nextafter", "remainder", "rint", "round", "roundeven", "scalbln", "scalbn", "sqrt", "trunc",
}


def symbols(words):
    text = subprocess.run(["nm", "-D", *words], capture_output=True, text=True, check=True).stdout
    return {line.split()[-1].split("@")[0] for line in text.splitlines() if line.split()}


def main():
    loaded = subprocess.run(["ldd", sys.argv[1]], capture_output=True, text=True, check=True).stdout
    library = next((line.split()[2] for line in loaded.splitlines() if line.split()[0].startswith("libm.so")), None)
    maths = symbols(["--defined-only", library]) if library else set()
    if library and not {"exp", "sin", "cosl", "floor"} <= maths:
        sys.exit(f"{library} is no maths library: {len(maths)} functions")
    for program in sys.argv[1:]:
        asked = symbols(["--undefined-only", program]) & maths
        if wrong := sorted(asked - EXACT):
            sys.exit(f"{program} takes from the system's maths library: {', '.join(wrong)}; see .ci/cmake/maths.cmake")
    print(f"{len(maths)} functions, none taken but exact ones")


if __name__ == "__main__":
    main()
