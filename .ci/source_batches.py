#!/usr/bin/env python3
"""Sources that compile together, included into one generated file: most of the time of a compiler and of a checker goes into headers.

.ci/source_batches.py
prints for CMake which sources of each room, and of each folder of tests, go together (AMPTURN_BATCHES_<folder> counts them,
AMPTURN_BATCH_<folder>_<n> lists them). .ci/tidy imports the same for its own, larger batches.

Sources whose file-local names clash go to different batches. It reads lines at the left margin, not C++: what it overlooks the
compiler finds.
"""
import collections
import os
import re
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
WORD = re.compile(r"\b[A-Za-z_]\w*\b")
# A declaration at the left margin: the first word before ( { = ; or [.
DECLARED = re.compile(r"^(?:[\w:<>,&*\[\] ]*?[\s&*])?(\w+)\s*(?:\(|\{|=|;|\[)")
# Two of the same are no clash.
ALIAS = re.compile(r"^using (?:(\w+) = [\w:<>, ]+|(?:[\w:<>, ]+[ :])?(\w+));$")


def listed(suffix, folders=("model", "scheduler", "firmware-sim")):
    found = [os.path.join(at, name) for folder in folders for at, _, names in os.walk(os.path.join(ROOT, folder)) for name in names]
    return sorted(os.path.relpath(path, ROOT) for path in found if path.endswith(suffix))


def read(path):
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        return file.read()


def declared(text):
    """What the lines at the left margin declare, roughly."""
    lines = (line for line in text.splitlines() if line and line[0] not in " /#}" and not ALIAS.match(line))
    matches = (DECLARED.match(line) for line in lines)
    return {match[1] for match in matches if match}


def local_names(text):
    blocks = re.findall(r"^namespace \{$(.*?)^\}  // namespace$", text, re.MULTILINE | re.DOTALL)
    matches = (ALIAS.match(line) for block in blocks for line in block.splitlines())
    aliases = {match[1] or match[2]: match[0] for match in matches if match}
    return set().union(*(declared(block) for block in blocks)), aliases


class Batch:
    def __init__(self, rooms, most):
        self.rooms, self.most, self.sources, self.locals, self.words, self.aliases = rooms, most, [], set(), set(), {}

    def takes(self, rooms, names, words, aliases):
        return (rooms == self.rooms and len(self.sources) < self.most
                and not names & self.words and not words & self.locals
                and all(self.aliases.get(name, line) == line for name, line in aliases.items()))

    def add(self, source, names, words, aliases):
        self.sources.append(source)
        self.locals |= names
        self.words |= words
        self.aliases.update(aliases)


def batches_of(sources, most, neighbours=True):
    """Sources of one room together, at most `most`; with neighbours what clashes there with the like of other rooms."""
    public = set().union(*(declared(read(header)) for header in listed(".hpp")))
    rooms_of = {source: os.path.dirname(source) if not neighbours else "/".join(source.split("/")[:2]) for source in sources}
    sizes = collections.Counter(rooms_of.values())
    batches = []
    for source in sources:
        whole = read(source)
        text = re.sub(r"//.*|\"[^\"\n]*\"", "", whole)
        names, aliases = local_names(whole)
        if re.search(r"^int main\(", text, re.MULTILINE):
            names.add("main")
        # A word here meets another file's local name if it is local here too, or names what a header declares; members and
        # qualified names cannot.
        words = names | (public & set(WORD.findall(re.sub(r"(\.|->|::)\s*\w+", "", text))))
        own, rest = rooms_of[source], source.split("/")[0]
        taking = [batch for batch in batches if batch.takes(own, names, words, aliases)]
        if neighbours and not taking and (sizes[own] < 4 or any(batch.rooms == own for batch in batches)):
            taking = [batch for batch in batches if batch.takes(rest, names, words, aliases)]
            own = rest
        if not taking:
            taking = [Batch(own, most)]
            batches += taking
        taking[0].add(source, names, words, aliases)
    return [batch.sources for batch in batches]


def lane_sources():
    """Those with flags of their own (ampturn_vector_lanes)."""
    for path in listed("CMakeLists.txt"):
        for names in re.findall(r"^ampturn_vector_lanes\(([^)]*)\)", read(path), re.MULTILINE):
            yield from (f"{os.path.dirname(path)}/{name}" for name in names.split())


def main():
    apart = set(lane_sources())
    # The core's instructions are counted, so it is compiled as on a unit.
    products = [s for s in listed(".cpp") if not s.endswith("main.cpp") and s not in apart and not s.startswith("scheduler/core/")]
    tests = [s for s in listed("_test.cpp", ("tests",)) if not s.startswith("tests/scheduler/core/")]
    rooms = collections.defaultdict(list)
    for batch in batches_of(products, 12, neighbours=False) + batches_of(tests, 6, neighbours=False):
        rooms[os.path.dirname(batch[0])].append(batch)
    for room, batches in sorted(rooms.items()):
        print(f"set(AMPTURN_BATCHES_{room} {len(batches)})")
        for number, batch in enumerate(batches):
            print(f"set(AMPTURN_BATCH_{room}_{number} {' '.join(os.path.basename(source) for source in batch)})")


if __name__ == "__main__":
    sys.exit(main())
