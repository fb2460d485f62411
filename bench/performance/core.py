"""The core on a Cortex-M4: instructions and cycles, by tests/scheduler/core/cycle_model.py."""
import os
import sys
import tempfile

from performance.programs import ROOT

sys.path.insert(0, os.path.join(ROOT, "tests/scheduler/core"))
import cycle_model  # beside the test that holds it


def rows(build):
    """[(name, instructions, cycles without wait states, with, with and prefetch)]; None where the image was not built."""
    image = os.path.join(build, "firmware/core_count.elf")
    if not os.path.exists(image):
        return None
    with tempfile.TemporaryDirectory() as folder:
        calls = cycle_model.measured(image, folder)
    return [(name, instructions, *cycles) for name, (instructions, cycles) in calls.items() if name != "hundred_nops"]


def section(build):
    calls = rows(build)
    if calls is None:
        return "Not measured: `core_count_elf` was not built.\n"
    text = f"| call | instructions | cycles | with {cycle_model.WAIT_STATES} wait states | and prefetch |\n|---|---|---|---|---|\n"
    for name, *numbers in calls:
        text += f"| {name} | " + " | ".join(str(n) for n in numbers) + " |\n"
    longest = next(call for call in calls if call[0] == "load_64_steps")
    per = [cycles / longest[1] for cycles in longest[2:]]
    return f"""One call into the core, built as firmware (soft float, -O2). Instructions are those executed under QEMU; cycles follow from a model on
the safe side that `docs/core.md` states and the test `core_instructions_are_counted` holds: no real part was measured. Of the
longest call an instruction takes {per[0]:.2f} cycles without wait states, {per[1]:.2f} with, {per[2]:.2f} with prefetch.

{text}"""
