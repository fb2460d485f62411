#!/usr/bin/env python3
"""Instructions of calls into the core: Cortex-M4 under qemu -icount, host under callgrind; and cycles of the Cortex-M4
by cycle_model.py, from the blocks executed; compared with bounds.

count_instructions.py TARGET_IMAGE HOST_PROGRAM WORK_DIR MANUAL

The bound of category 0: power stage off within half a drive period or 1 ms, whichever is shorter. The command is off
in the tick of the event; what remains is the processor's time. At 40 kHz half a period is 12.5 us, which is 1250
instructions of a processor that does 100 million a second. The document's table must show the figures, to 5 %, and the clock that the
slowest call of category 0 needs to end within 12.5 us by each model of the flash. The two counts of instructions, by clock
and by blocks, must agree to 2 instructions.
"""

import pathlib
import re
import subprocess
import sys

import cycle_model

CATEGORY_0_MAX = 1250
HALF_PERIOD_US = 12.5


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
    traced = cycle_model.measured(image, work)
    nops, cycles = traced.pop("hundred_nops")
    if abs(nops - 100) > 1:
        problems.append("100 instructions are not traced as 100")
    # Closed form: a cycle each and 1 + 3 to return; 202 bytes lie in 13 or 14 lines of 16; with prefetch only the first line
    # is waited for, as the 8 cycles of a line are longer than it takes to read the next.
    wait = cycle_model.WAIT_STATES
    if cycles[0] != 104 or cycles[1] - 104 not in (13 * wait, 14 * wait) or cycles[2] - 104 != wait:
        problems.append(f"100 instructions of a cycle take {cycles} cycles")
    slowest = [0, 0, 0]
    text = document.read_text()
    for name, (category_0, target) in counts.items():
        host = on_host(program, name, work)
        instructions, cycles = traced[name]
        print(f"{name}: {target} instructions on a Cortex-M4, {host} on the host, ratio {target / host:.2f}; "
              f"cycles {cycles[0]}, with {cycle_model.WAIT_STATES} wait states {cycles[1]}, with prefetch {cycles[2]}")
        if abs(instructions - target) > 2:
            problems.append(f"{name}: {instructions} instructions in the blocks, {target} by the clock")
        if category_0:
            slowest = [max(pair) for pair in zip(slowest, cycles)]
        if category_0 and target > CATEGORY_0_MAX:
            problems.append(f"{name}: {target} instructions, at most {CATEGORY_0_MAX} for category 0")
        row = re.search(rf"^\| {name} \| (\d+) \| (\d+) \| (\d+) \| (\d+) \| (\d+) \|$", text, re.M)
        shown = [int(x) for x in row.groups()] if row else [0, 0, 0, 0, 0]
        if (abs(shown[0] - target) > 0.05 * target or abs(shown[1] - host) > 0.1 * host or
                any(abs(a - b) > 0.05 * b for a, b in zip(shown[2:], cycles))):
            problems.append(f"{document}: row '{name}' shows {shown}, measured {target}, {host} and {cycles}")
    clocks = [cycles / HALF_PERIOD_US for cycles in slowest]
    said = re.search(r"a clock of (\d+) MHz without wait states, (\d+) MHz\s+with\s+them, (\d+) MHz with prefetch", text)
    shown = [int(x) for x in said.groups()] if said else [0, 0, 0]
    if any(not clock <= mhz <= 1.05 * clock + 1 for mhz, clock in zip(shown, clocks)):
        problems.append(f"{document}: clocks shown {shown} MHz, needed {clocks}")
    print("\n".join(problems))
    sys.exit(1 if problems else 0)


main()
