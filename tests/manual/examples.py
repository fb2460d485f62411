"""What stands in the fenced blocks of a manual: commands with what they print, files to save, lines to change.

    ```console         `$ COMMAND` lines, and below each what it prints: all of it, or pieces with `...` between; nothing: not shown.
                       `^C` is what the reader types to end a command; an answer stands behind the question, as on a terminal.
    ```toml NAME       a file to save under NAME (also csv, json, py); the line above names it
    ```diff NAME       lines of that file to take out (-) and to put in their place (+)

Nothing else: an indented block or a fence of another kind is refused, so that no example escapes the test."""
import re
import typing

FILE_KINDS = {"toml", "csv", "json", "py"}
FENCE = re.compile(r"^```(.*)$")
VERSION = re.compile(r"(ampturn \d+\.\d+\.\d+ )\([0-9a-f]+(?:-changed)?\)")


class Command(typing.NamedTuple):
    line: int
    text: str
    shown: list
    interrupted_after: str  # the line printed last when the reader types Ctrl-C; None: the command ends by itself


class Block(typing.NamedTuple):
    line: int
    kind: str
    name: str
    lines: list
    above: str  # the last line of text before it


def blocks(text):
    """The fenced blocks, and a complaint a line for what is neither text nor such a block."""
    found, complaints, above, fence = [], [], "", None
    for number, line in enumerate(text.splitlines(), 1):
        opening = FENCE.match(line)
        if fence is not None:
            if line == "```":
                found.append(fence)
                fence = None
            else:
                fence.lines.append(line)
        elif opening:
            kind, _, name = opening.group(1).partition(" ")
            fence = Block(number, kind, name, [], above)
            if not (kind == "console" and not name or kind in FILE_KINDS | {"diff"} and name):
                complaints.append(f"{number}: a block \"{opening.group(1)}\", allowed: console, or {', '.join(sorted(FILE_KINDS))} or diff with a file's name")
            elif name and f"`{name}`" not in above:
                complaints.append(f"{number}: the line above the block does not name `{name}`")
        else:
            if re.match(r"^(\t| {4})\S", line) and not re.match(r"^\s*(\d+\.|[-*]) ", line) and not above.lstrip().startswith(("- ", "* ")):
                complaints.append(f"{number}: an indented block, which no test runs")
            above = line.strip() and line or above
    if fence is not None:
        complaints.append(f"{fence.line}: a block that does not end")
    return found, complaints


def commands(block):
    made = []
    for offset, line in enumerate(block.lines, 1):
        if line.startswith("$ "):
            made.append(Command(block.line + offset, line[2:], [], None))
        elif not made:
            raise ValueError(f"{block.line + offset}: output without a command above it")
        elif line == "^C":
            made[-1] = made[-1]._replace(interrupted_after=made[-1].shown[-1])
        else:
            made[-1].shown.append(line)
    return made


def as_shown(text):
    """Lines without trailing blanks; the commit of the build is the only thing that is not compared."""
    return [VERSION.sub(r"\1(commit)", line.rstrip()) for line in text.replace("\r\n", "\n").splitlines()]


def pieces(shown):
    made = [[]]
    for line in as_shown("\n".join(shown)):
        if line == "...":
            made.append([])
        else:
            made[-1].append(line)
    return made


def differs(shown, printed):
    """None where the pieces of `shown` stand in `printed` in their order, the ends too unless they are left out; else which does not."""
    if not shown:
        return None
    parts, lines = pieces(shown), as_shown(printed)
    at = 0
    for index, part in enumerate(parts):
        last = index == len(parts) - 1
        if index == 0:
            places = [0]
        elif last:
            places = [len(lines) - len(part)]
        else:
            places = range(at, len(lines) - len(part) + 1)
        place = next((p for p in places if p >= at and lines[p:p + len(part)] == part), None)
        if place is None:
            return "\n".join(part)
        at = place + len(part)
    if len(parts) == 1 and at != len(lines):
        return "\n".join(parts[0]) + "\n(and no more)"
    return None


def changed(text, lines):
    """`text` with the lines of a diff block applied; each - line, with those right after it, stands there exactly once."""
    position = 0
    while position < len(lines):
        out, put = [], []
        while position < len(lines) and lines[position].startswith("-"):
            out.append(lines[position][1:].removeprefix(" "))
            position += 1
        while position < len(lines) and lines[position].startswith("+"):
            put.append(lines[position][1:].removeprefix(" "))
            position += 1
        if not out and not put:
            raise ValueError(f"a line that neither takes out (-) nor puts in (+): {lines[position]}")
        if not out:
            text = text.rstrip("\n") + "\n" + "\n".join(put) + "\n"  # put at the end of the file
            continue
        old = "\n".join(out) + "\n"
        places = [match.start() for match in re.finditer("^" + re.escape(old), text, re.M)]
        if len(places) != 1:
            raise ValueError(f"stands {len(places)} times in the file, not once: {old}")
        text = text[:places[0]] + "".join(line + "\n" for line in put) + text[places[0] + len(old):]
    return text
