"""Where the engine's time goes, and how near the kernels are to what the processor's arithmetic can do at most."""
import os
import re

from performance.programs import ROOT, three


def per_layer():
    """Operations of a node and layer, as arithmetic_bench.cpp has them."""
    text = open(os.path.join(ROOT, "bench/model/arithmetic_bench.cpp"), encoding="utf-8").read()
    found = re.search(r"simple_of_a_layer = (\d+), divisions_of_a_layer = (\d+), roots_of_a_layer = (\d+)", text)
    return [int(x) for x in found.groups()]


class Limits:
    """Nanoseconds of a node and layer: by throughputs one after the other, side by side, and all kinds together as measured."""

    def __init__(self, rows):
        self.lanes = round(rows["arithmetic_both"]["lanes"])
        vector_ns = {name: 1e9 / rows["arithmetic_" + name]["items_per_second"]
                     for name in ("additions", "multiplications", "both", "divisions", "roots", "layer")}
        self.vector_ns = vector_ns
        simple, divisions, roots = per_layer()
        self.simple_ns = simple * vector_ns["both"] / self.lanes
        self.unit_ns = (divisions * vector_ns["divisions"] + roots * vector_ns["roots"]) / self.lanes
        self.one_after_the_other_ns = self.simple_ns + self.unit_ns
        self.side_by_side_ns = max(self.simple_ns, self.unit_ns)
        self.mixed_ns = vector_ns["layer"] / self.lanes


def section(rows):
    limits = Limits(rows)
    simple, divisions, roots = per_layer()
    kernels, terms, sums = (rows["part_" + k] for k in ("kernels", "terms", "sums"))
    kernel_ns = 1e9 / kernels["node_layers"]
    peak_flops = 1e9 / limits.vector_ns["both"] * limits.lanes
    share = lambda ns: f"{100 * ns / kernel_ns:.0f} %"
    throughputs = "".join(f"| {text} | {three(limits.vector_ns[name])} |\n" for text, name in (
        ("addition", "additions"), ("multiplication", "multiplications"), ("addition or multiplication, half of each side by side", "both"),
        ("division", "divisions"), ("square root", "roots"),
        (f"{simple} additions and multiplications, {divisions} divisions and {roots} roots side by side", "layer")))
    return f"""Full wave, a band of offsets (two contours each, the second for the error estimate). The bands of a frequency share the kernels
and terms of most of these nodes, so a band's part in them is less than the table says; its sums are its own:

| part | size | us | rate |
|---|---|---|---|
| kernels | {round(kernels["node_layers"] * kernels["cpu_s"] / 5)} nodes, 5 layers, both modes | {three(1e6 * kernels["cpu_s"])} | {three(kernel_ns)} ns a node and layer |
| terms | the same nodes | {three(1e6 * terms["cpu_s"])} | {three(1e9 / terms["nodes"])} ns a node |
| sums | 16 offsets, 7 terms | {three(1e6 * sums["cpu_s"])} | {three(sums["flops"] / 1e9)} GFlop/s |

What the processor does at most, measured in the same run by `bench/model/arithmetic_bench.cpp` on independent numbers in
registers, no fused multiply-add:

| vector of {limits.lanes} doubles | ns each |
|---|---|
{throughputs}
A node and layer costs about {simple} additions and multiplications, {divisions} divisions and {roots} square roots (counted in
`model/integrals/layer_kernels.cpp` and `model/base/vector_math.hpp`: root 7, 1 division, 2 square roots; exponential 80; each mode 86
and 2 divisions; differences and products with constants 22). By those throughputs:

| limit | ns a node and layer | the kernels run at |
|---|---|---|
| not overlapped: divisions and roots ({three(limits.unit_ns)}) after the rest ({three(limits.simple_ns)}) | {three(limits.one_after_the_other_ns)} | {share(limits.one_after_the_other_ns)} |
| overlapped: the longer of the two | {three(limits.side_by_side_ns)} | {share(limits.side_by_side_ns)} |
| overlapped, all kinds together as measured | {three(limits.mixed_ns)} | {share(limits.mixed_ns)} |

What waits in the kernels and not in the limit: each lane's chain of operations, and reading and writing the arrays between layers.
The sums, which read as much as they compute, run at {100 * sums["flops"] / peak_flops:.0f} % of the additions and multiplications above."""
