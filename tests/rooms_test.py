#!/usr/bin/env python3
"""Holds every #include against the rooms' lists: a file may include its own room and what its CMakeLists.txt says in
ampturn_room(USES ...). Also: no cycle of rooms, no listed room that nothing includes, no room beyond its size, and what a
file defines lies in the namespace of its room.

    tests/rooms_test.py CHECKOUT [--picture]

Files of tests/ and bench/ may include the room they mirror, what that room reaches through its lists, rooms that their own
CMakeLists.txt links, and tests/. Prints what breaks the rules, a line each, and exits with 1."""
import os
import re
import sys

LINES_MAX, FILES_MAX = 3600, 30
INCLUDE = re.compile(r'^\s*#\s*include\s+"([^"]+)"', re.M)
NAMESPACE = re.compile(r"^namespace (ampturn[a-z_:]*) \{\n(?!(?:(?:struct|class|enum class) \w+;\n)+\})", re.M)


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def rooms_of(root):
    """Folder -> the rooms it lists, for every folder with an ampturn_room()."""
    rooms = {}
    for top in ("model", "scheduler", "firmware-sim"):
        for folder, _, files in os.walk(os.path.join(root, top)):
            if "CMakeLists.txt" not in files:
                continue
            call = re.search(r"^ampturn_room\(([^)]*)\)", read(os.path.join(folder, "CMakeLists.txt")), re.M)
            if not call:
                continue
            words, listed, uses = call.group(1).split(), None, []
            for word in words:
                if word in ("USES", "LINK"):
                    listed = word
                elif listed == "USES":
                    uses.append(word)
            rooms[os.path.relpath(folder, root)] = uses
    return rooms


def namespace_of(room):
    """model/base: ampturn::model; model/loop: ampturn::model::loop; scheduler/plan/file: ampturn::plan::file."""
    top, *rest = room.split("/")
    begin = {"model": ["model"], "firmware-sim": ["sim"], "scheduler": []}[top]
    return "::".join(["ampturn", *begin, *([] if room == "model/base" else rest)])


def sources_below(root, tops):
    for top in tops:
        for folder, _, files in os.walk(os.path.join(root, top)):
            for name in sorted(files):
                if name.endswith((".cpp", ".hpp")):
                    yield os.path.relpath(os.path.join(folder, name), root)


def reached(rooms, start):
    seen, todo = set(), list(start)
    while todo:
        room = todo.pop()
        if room not in seen:
            seen.add(room)
            todo += rooms.get(room, [])
    return seen


def cycle_in(rooms):
    state = {}

    def walk(room, path):
        state[room] = "open"
        for used in rooms[room]:
            if state.get(used) == "open":
                return path + [room, used]
            if used in rooms and used not in state:
                found = walk(used, path + [room])
                if found:
                    return found
        state[room] = "done"
        return None

    for room in rooms:
        if room not in state:
            found = walk(room, [])
            if found:
                return found
    return None


def linked_rooms(root, folder, rooms):
    """Rooms whose targets a test or bench folder links."""
    by_target = {re.sub("[/-]", "_", room): room for room in rooms}
    here = os.path.join(root, folder)
    text = "".join(read(os.path.join(here, name)) for name in sorted(os.listdir(here))
                   if name == "CMakeLists.txt" or name.endswith(".cmake"))
    named = {by_target[word] for word in re.findall(r"[a-z0-9_]+", text) if word in by_target}
    return named | {path for path in ("firmware-sim/target",) if path + "/" in text}  # cross-compiled, no library


def problems(root):
    rooms = rooms_of(root)
    found = []
    used, lines, files = {room: set() for room in rooms}, {}, {}
    for source in sources_below(root, ("model", "scheduler", "firmware-sim")):
        room = os.path.dirname(source)
        text = read(os.path.join(root, source))
        lines[room] = lines.get(room, 0) + text.count("\n")
        files[room] = files.get(room, 0) + 1
        for name in NAMESPACE.findall(text):
            if room in rooms and not (name + "::").startswith(namespace_of(room) + "::"):
                found.append(f"{source}: opens namespace {name}; that of its room is {namespace_of(room)}")
        # Programs of a folder that is no room of its own stand on everything below them.
        may = {room, *rooms[room]} if room in rooms else reached(rooms, linked_rooms(root, room, rooms))
        for name in INCLUDE.findall(text):
            target = os.path.dirname(name)
            if target == "embedded" or target == room:
                continue
            if target not in rooms:
                found.append(f"{source}: includes {name}, which lies in no room")
            elif target not in may and room in rooms:
                found.append(f"{source}: includes {name}, but {room}/CMakeLists.txt does not list {target}")
            if room in rooms:
                used[room].add(target)
    for source in sources_below(root, ("tests", "bench")):
        folder = os.path.dirname(source)
        mirrored = folder.split("/", 1)[1] if "/" in folder else ""
        may = reached(rooms, linked_rooms(root, folder, rooms) | ({mirrored} & rooms.keys()))
        for name in INCLUDE.findall(read(os.path.join(root, source))):
            target = os.path.dirname(name)
            if target in ("embedded", "tests") or target.startswith("tests/") or target in may:
                continue
            if source.endswith(".hpp") and target in rooms:
                continue  # a helper is held to the lists of the tests that include it, through the linker
            found.append(f"{source}: includes {name}, but {folder}/CMakeLists.txt does not link its room")
    for room, uses in rooms.items():
        for name in uses:
            if name not in rooms:
                found.append(f"{room}/CMakeLists.txt: lists {name}, which is no room")
            elif name not in used[room]:
                found.append(f"{room}/CMakeLists.txt: lists {name}, which nothing there includes")
        if lines.get(room, 0) > LINES_MAX or files.get(room, 0) > FILES_MAX:
            found.append(f"{room}: {files[room]} files, {lines[room]} lines; a room has at most {FILES_MAX} and {LINES_MAX}")
    cycle = cycle_in(rooms)
    if cycle:
        found.append("a cycle of rooms: " + " -> ".join(cycle))
    return found


def picture(root):
    rooms = rooms_of(root)
    level = {}

    def level_of(room):
        if room not in level:
            level[room] = 1 + max((level_of(used) for used in rooms[room]), default=0)
        return level[room]

    for room in sorted(rooms, key=lambda r: (level_of(r), r)):
        print(f"{level_of(room):2} {room:30} {' '.join(rooms[room])}")


if __name__ == "__main__":
    if "--picture" in sys.argv:
        picture(sys.argv[1])
        sys.exit(0)
    lines_found = problems(sys.argv[1])
    if not rooms_of(sys.argv[1]):
        lines_found.append("no room found: is this the checkout?")
    print("\n".join(lines_found))
    sys.exit(1 if lines_found else 0)
