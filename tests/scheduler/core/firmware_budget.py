#!/usr/bin/env python3
"""Holds the core, as built for a Cortex-M4, to the rules and budgets of firmware, and prints the figures.

firmware_budget.py OBJECT_DIR RAM_OBJECT SOURCE_DIR MANUAL

No heap, exceptions, RTTI, floating point or 64-bit division: nothing but four memory functions may be wanted from
outside. No recursion, no indirect call, stack summed along the call graph (gcc -fcallgraph-info=su). Loops are
counted in the source text. The document's table must show the figures measured, to 5 %.
"""

import pathlib
import re
import subprocess
import sys

CODE_MAX, RAM_MAX, STACK_MAX = 16 * 1024, 4 * 1024, 1024
ALLOWED_FROM_OUTSIDE = {"memcpy", "memset", "memmove", "memcmp"}
OUTSIDE_STACK = 32  # newlib's memory functions save at most eight registers

problems = []


def run(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def code_and_data(objects):
    code = data = 0
    for line in run("arm-none-eabi-size", "-A", *objects).split("\n"):
        words = line.split()
        if len(words) != 3 or not words[1].isdigit():
            continue
        if words[0].startswith((".text", ".rodata", ".ARM.ex")):
            code += int(words[1])
        if words[0].startswith((".data", ".bss", "COMMON")):
            data += int(words[1])
    return code, data


def check_symbols(objects):
    defined, wanted = set(), {}
    for line in run("arm-none-eabi-nm", "-A", *objects).split("\n"):
        words = line.split()
        if not words:
            continue
        if words[-2] == "U":
            wanted.setdefault(words[-1], words[0])
        else:
            defined.add(words[-1])
    outside = set(wanted) - defined
    for symbol in sorted(outside - ALLOWED_FROM_OUTSIDE):
        problems.append(f"{wanted[symbol]} needs {symbol} from outside the core")
    return sorted(outside)


def read_call_graph(directory):
    stack, calls = {}, {}
    for path in sorted(directory.glob("*.o")):
        if not path.with_suffix(".ci").exists():
            problems.append(f"{path}: no call graph beside it, so its stack is not counted")
    for path in sorted(directory.glob("*.ci")):
        for line in path.read_text().split("\n"):
            if node := re.match(r'node: \{ title: "([^"]+)" label: "([^"]*)"', line):
                name, label = node.groups()
                if usage := re.search(r"(\d+) bytes \((\w+)\)", label):
                    stack[name] = int(usage.group(1))
                    if usage.group(2) != "static":
                        problems.append(f"{name}: stack is not known at compile time")
            elif edge := re.match(r'edge: \{ sourcename: "([^"]+)" targetname: "([^"]+)"', line):
                calls.setdefault(edge.group(1), set()).add(edge.group(2))
                if edge.group(2) == "__indirect_call":
                    problems.append(f"{edge.group(1)}: indirect call")
    return stack, calls


def deepest(stack, calls):
    """Longest path by stack bytes; every cycle is a problem."""
    best, on_path = {}, []

    def visit(name):
        if name in best:
            return best[name]
        if name in on_path:
            problems.append("recursion: " + " -> ".join(on_path[on_path.index(name):] + [name]))
            return 0, []
        on_path.append(name)
        below = max((visit(callee) for callee in calls.get(name, ())), key=lambda b: b[0], default=(0, []))
        on_path.pop()
        best[name] = stack.get(name, OUTSIDE_STACK) + below[0], [name] + below[1]
        return best[name]

    return max((visit(name) for name in list(stack)), key=lambda b: b[0])


def check_loops(source):
    paths = sorted(source.glob("scheduler/core/*.?pp"))
    if len(paths) < 20:
        problems.append(f"only {len(paths)} files of the core were read")
    for path in paths:
        text = re.sub(r"//[^\n]*", "", path.read_text()).replace("while (false)", "")
        for word in re.findall(r"\b(while|goto)\b|for \(;;\)", text):
            problems.append(f"{path.name}: '{word or 'for (;;)'}': only counted loops are allowed")
        for head in re.findall(r"\bfor \(([^{;]*(?:;[^{;]*){0,2})\)", text):
            if not re.search(r" : | < | > | <= ", head):
                problems.append(f"{path.name}: for ({head}): no bound")


def check_document(document, figures):
    text = document.read_text()
    for name, value in figures.items():
        row = re.search(rf"^\| {re.escape(name)} \|[^|]*\| (\d+) \|", text, re.M)
        if not row or abs(int(row.group(1)) - value) > 0.05 * value:
            problems.append(f"{document}: row '{name}' shows {row.group(1) if row else 'nothing'}, measured {value}")


def main():
    object_dir, ram_object, source, document = map(pathlib.Path, sys.argv[1:])
    objects = sorted(str(path) for path in object_dir.glob("*.o"))
    code, data = code_and_data(objects)
    sequencer = int(re.search(r"^\S+ (\S+) \S sequencer_storage$", run("arm-none-eabi-nm", "-S", str(ram_object)), re.M).group(1), 16)
    outside = check_symbols(objects)
    stack, calls = read_call_graph(object_dir)
    depth, path = deepest(stack, calls)
    check_loops(source)
    figures = {"code and constants, bytes": code, "static RAM, bytes": data + sequencer, "stack, bytes": depth}
    for (name, value), limit in zip(figures.items(), (CODE_MAX, RAM_MAX, STACK_MAX)):
        print(f"{name}: {value} of {limit}")
        if value > limit:
            problems.append(f"{name}: {value} is more than {limit}")
    print("deepest path: " + " > ".join(run("arm-none-eabi-c++filt", *path).replace("ampturn::core::", "").strip().split("\n")))
    print(f"from outside the core: {' '.join(outside) or 'nothing'}")
    check_document(document, figures)
    print("\n".join(problems))
    sys.exit(1 if problems else 0)


main()
