#!/usr/bin/env python3
"""Sources that compile together, included into one generated file: most of the time of a compiler and of a checker goes into headers.

.ci/source_batches.py
prints for CMake which sources of each room, and of each folder of tests, go together (AMPTURN_BATCHES_<folder> counts them,
AMPTURN_BATCH_<folder>_<n> lists them, AMPTURN_WORDS_<folder> has the numbers of those that only write what
others compute). .ci/tidy imports the same for its own, larger batches.

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
INCLUDE = re.compile(r'^\s*#include "([^"]+)"', re.MULTILINE)
NO_NAME = re.compile(r"static_assert$|[A-Z_]+$")  # macros' are no declarations
# Writes what the rest of its room computes.
WORDS = re.compile(r"^(?!scheduler/setup/).*(?:_(?:json|output|page|svg|words)|/geojson_\w+)\.cpp$")
MEMBER = re.compile(r"(\.|->|::)\s*\w+")
# Two of the same are no clash.
ALIAS = re.compile(r"^using (?:(\w+) = [\w:<>, ]+|(?:[\w:<>, ]+[ :])?(\w+));$")


def listed(suffix, folders=("model", "scheduler", "firmware-sim")):
    found = [os.path.join(at, name) for folder in folders for at, _, names in os.walk(os.path.join(ROOT, folder)) for name in names]
    return sorted(os.path.relpath(path, ROOT) for path in found if path.endswith(suffix))


def read(path):
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        return file.read()


def compiled_by(path):
    """The sources that a file the build compiles stands for: itself, or those it includes to go together."""
    if not re.fullmatch(r"together_\d+\.cpp", os.path.basename(path)):
        return [os.path.relpath(path, ROOT)]
    return INCLUDE.findall(read(path))


def declared(text):
    """What the lines at the left margin declare, roughly."""
    lines = (line for line in text.splitlines() if line and line[0] not in " /#}" and not ALIAS.match(line))
    matches = (DECLARED.match(line) for line in lines)
    return {match[1] for match in matches if match and not NO_NAME.match(match[1])}


def local_names(text):
    blocks = re.findall(r"^namespace \{$(.*?)^\}  // namespace$", text, re.MULTILINE | re.DOTALL)
    matches = (ALIAS.match(line) for block in blocks for line in block.splitlines())
    aliases = {match[1] or match[2]: match[0] for match in matches if match}
    return set().union(*(declared(block) for block in blocks)), aliases


class Source:
    """What of a source others may clash with."""

    def __init__(self, path, public):
        whole = read(path)
        text = re.sub(r"//.*|\"[^\"\n]*\"", "", whole)
        self.path = path
        self.locals, self.aliases = local_names(whole)
        if re.search(r"^int main\(", text, re.MULTILINE):
            self.locals.add("main")
        # A word here meets another file's local name if it is local here too, or names what a header declares; members and
        # qualified names cannot.
        self.words = self.locals | (public & set(WORD.findall(MEMBER.sub("", text))))
        # Local names that are also members' here.
        self.fixed = self.locals & {word for member in MEMBER.finditer(text) for word in WORD.findall(member[0])}


class Batch:
    def __init__(self, most, may_rename):
        self.most, self.may_rename = most, may_rename
        self.sources, self.aliases = [], {}

    def takes(self, new):
        return (len(self.sources) < self.most
                and not any(self.clash(new, old) for old in self.sources)
                and all(self.aliases.get(name, line) == line for name, line in new.aliases.items()))

    def clash(self, new, old):
        meeting = new.locals & old.words | old.locals & new.words
        return meeting & (new.fixed | old.fixed) if self.may_rename else meeting

    def add(self, new):
        self.sources.append(new)
        self.aliases.update(new.aliases)

    def renamed(self, source):
        """The local names of a source that another here knows."""
        others = set().union(*(other.words for other in self.sources if other is not source))
        return sorted(source.locals & others)


def batches_of(paths, most, may_rename=False):
    """Sources that go together, at most `most`: of one room, or, where local names may be renamed, of any."""
    public = set().union(*(declared(read(header)) for header in listed(".hpp")))
    batches = collections.defaultdict(list)
    for path in paths:
        source = Source(path, public)
        room = batches["" if may_rename else os.path.dirname(path)]
        taking = next((batch for batch in room if batch.takes(source)), None)
        if not taking:
            taking = Batch(most, may_rename)
            room.append(taking)
        taking.add(source)
    return [batch for room in batches.values() for batch in room]


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
    # Rooms that are nothing else say so themselves.
    computing_rooms = {os.path.dirname(path) for path in listed("CMakeLists.txt") if "ampturn_room(WORDS" not in read(path)}
    words = [s for s in products if WORDS.match(s) and os.path.dirname(s) in computing_rooms]
    computing = [s for s in products if s not in words]
    for batch in batches_of(computing, 12) + batches_of(words, 12) + batches_of(tests, 10):
        paths = [source.path for source in batch.sources]
        rooms[os.path.dirname(paths[0])].append(paths)
    for room, batches in sorted(rooms.items()):
        print(f"set(AMPTURN_BATCHES_{room} {len(batches)})")
        print(f"set(AMPTURN_WORDS_{room} {' '.join(str(n) for n, paths in enumerate(batches) if paths[0] in words)})")
        for number, batch in enumerate(batches):
            print(f"set(AMPTURN_BATCH_{room}_{number} {' '.join(os.path.basename(source) for source in batch)})")


if __name__ == "__main__":
    sys.exit(main())
