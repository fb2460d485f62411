#!/usr/bin/env python3
"""Every path that README.md, DEVELOPERS.md, docs/*.md and the comments of the rooms' CMakeLists.txt name exists, and every
room says in a comment what it does and stands in the picture of DEVELOPERS.md.

    tests/documents_test.py CHECKOUT

A path is what stands in backticks, in a link or in a block of code and begins with a folder of the project; `<name>` stands
for anything, `*` too. A file named without its folder (`judge.hpp`) has to exist somewhere. Prints what is missing, a line
each, and exits with 1."""
import glob
import os
import re
import sys

TOPS = "model|scheduler|firmware-sim|tests|bench|docs|demo|\\.ci"
PATH = re.compile(rf"(?<![\w./-])(?:{TOPS})/[\w./*<>-]*")
CODE = re.compile(r"```.*?```|`[^`\n]+`", re.S)
INDENTED = re.compile(r"^ {4,}\S.*$", re.M)
LINK = re.compile(r"\]\(([^)#\s]+)[^)]*\)")
BARE = re.compile(r"(?<![\w./*-])[\w*-]+\.(?:cpp|hpp|html|css|js|mjs|txt|toml|cmake|py)\b(?![\w/])")
WRITTEN_BY_EXAMPLES = {"asked.toml", "first.toml", "found.toml", "many.toml", "moss.toml", "walker.toml", "weigh.toml", "sheet.html", "receiver_1.html"}


def read(path):
    with open(path, encoding="utf-8") as file:
        return file.read()


def exists(root, path):
    pattern = re.sub(r"<[^>]*>", "*", path).rstrip("./-")
    return bool(glob.glob(os.path.join(root, pattern)))


def missing_in(root, where, pieces, files):
    found = []
    count = 0
    for piece in pieces:
        for match in PATH.finditer(piece):
            count += 1
            if not exists(root, match.group(0)):
                found.append(f"{where}: {match.group(0)} does not exist")
        for match in BARE.finditer(PATH.sub("", piece)):
            name = match.group(0)
            if name in WRITTEN_BY_EXAMPLES:
                continue
            count += 1
            pattern = re.compile(re.escape(name).replace(r"\*", ".*") + "$")
            if not any(pattern.match(file) for file in files):
                found.append(f"{where}: no file is called {name}")
    return found, count


def main():
    root = os.path.abspath(sys.argv[1])
    paths = []
    for folder, folders, names in os.walk(root):
        folders[:] = sorted(f for f in folders if f not in ("build", ".git", "node_modules"))
        paths += [os.path.relpath(os.path.join(folder, name), root) for name in sorted(names)]
    files = {os.path.basename(path) for path in paths}
    missing = []
    documents = ["README.md", "DEVELOPERS.md"] + [p for p in paths if re.fullmatch(r"docs/[\w-]+\.md", p)]
    for document in documents:
        text = read(os.path.join(root, document))
        pieces = CODE.findall(text) + INDENTED.findall(CODE.sub("", text))
        found, count = missing_in(root, document, pieces, files)
        missing += found
        for target in LINK.findall(text):
            if "://" not in target and not os.path.exists(os.path.join(root, os.path.dirname(document), target)):
                missing.append(f"{document}: the link to {target} leads nowhere")
        if count == 0 and document in ("README.md", "DEVELOPERS.md"):
            missing.append(f"{document}: names no path at all; does this test still read it?")

    picture = "\n".join(INDENTED.findall(read(os.path.join(root, "DEVELOPERS.md"))))
    rooms = 0
    for path in paths:
        if not re.match(r"(model|scheduler|firmware-sim)/.*CMakeLists\.txt$", path):
            continue
        text = read(os.path.join(root, path))
        comment = re.match(r"(#.*\n)+", text)
        if not comment or not re.search(r"\bIn: .*\bOut: .*\bTests: ", comment.group(0)):
            missing.append(f"{path}: does not begin with a comment that says the room's job, In:, Out: and Tests:")
            continue
        rooms += 1
        room = os.path.dirname(path)
        if "ampturn_room(" in text and not re.search(rf"(?<![\w/-]){re.escape(room)}(?![\w/-])", picture):
            missing.append(f"DEVELOPERS.md: the picture of rooms lacks {room}")
        own = set(os.listdir(os.path.dirname(os.path.join(root, path))))
        missing += missing_in(root, path, [comment.group(0)], own)[0]
    if rooms < 30:
        missing.append(f"only {rooms} rooms found; does this test still read them?")

    print("\n".join(missing))
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(main())
