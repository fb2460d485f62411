#!/usr/bin/env python3
"""Instructions of calls into the core: Cortex-M4 under qemu -icount, host under callgrind; compared with bounds.

count_instructions.py TARGET_IMAGE HOST_PROGRAM WORK_DIR MANUAL

The bound of category 0: power stage off within half a drive period or 1 ms, whichever is shorter. The command is off
in the tick of the event; what remains is the processor's time. At 40 kHz half a period is 12.5 us, which is 1250
instructions of a processor that does 100 million a second. The document's table must show the figures, to 5 %.
"""

import pathlib
import re
import subprocess
import sys

CATEGORY_0_MAX = 1250


def on_target(image, work):
    subprocess.run(["qemu-system-arm", "-M", "mps2-an386", "-display", "none", "-monitor", "none", "-serial", "none",
                    "-icount", "shift=10,align=off,sleep=off",
                    "-semihosting-config", "enable=on,target=native,arg=count,arg=counts.txt", "-kernel", image],
                   check=True, cwd=work, timeout=120)
    lines = [line.split() for line in (work / "counts.txt").read_text().split("\n") if line.strip()]
    return {name: (category_0 == "1", int(count)) for name, category_0, count in lines}


def on_host(program, name, work):
    result = subprocess.run(["valgrind", "--tool=callgrind", "--collect-atstart=no", "--callgrind-out-file=/dev/null", program, name],
                            capture_output=True, text=True, cwd=work, check=True)
    return int(re.search(r"Collected : (\d+)", result.stderr).group(1))


def main():
    image, program, work, document = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3]), pathlib.Path(sys.argv[4])
    work.mkdir(parents=True, exist_ok=True)
    problems = []
    counts = on_target(image, work)
    if abs(counts.pop("hundred_nops")[1] - 100) > 1:
        problems.append("100 instructions are not counted as 100")
    text = document.read_text()
    for name, (category_0, target) in counts.items():
        host = on_host(program, name, work)
        print(f"{name}: {target} instructions on a Cortex-M4, {host} on the host, ratio {target / host:.2f}")
        if category_0 and target > CATEGORY_0_MAX:
            problems.append(f"{name}: {target} instructions, at most {CATEGORY_0_MAX} for category 0")
        row = re.search(rf"^\| {name} \| (\d+) \| (\d+) \|", text, re.M)
        shown = [int(row.group(1)), int(row.group(2))] if row else [0, 0]
        if abs(shown[0] - target) > 0.05 * target or abs(shown[1] - host) > 0.1 * host:
            problems.append(f"{document}: row '{name}' shows {shown}, measured {target} and {host}")
    print("\n".join(problems))
    sys.exit(1 if problems else 0)


main()
