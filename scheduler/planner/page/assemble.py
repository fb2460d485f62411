#!/usr/bin/env python3
"""assemble.py FOLDER_OF_PLANNER OUTPUT: the planner as one page that needs nothing else: compiled program, its glue, scripts, style."""
import base64
import gzip
import os
import pathlib
import re
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[2]


def notices():
    """docs/third_party.md and the texts of what the page carries."""
    page = (ROOT / "docs/third_party.md").read_text(encoding="utf-8")
    texts = [page]
    for row in re.findall(r"^\| (.*) \|$", page, re.M):
        name, _, licence, use, paths = (cell.strip() for cell in row.split("|"))
        if re.match(r"(compiled into|built into|inside|goes into) ", use) and licence != "BSL-1.0" or name in ("fmt", "toml++"):
            texts += [f"==== {path} ====\n\n{(ROOT / path).read_text(encoding='utf-8').strip()}" for path in re.findall(r"[^ ,]+", paths)]
    return "\n\n".join(texts)


def main():
    built, output = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    read = lambda path: path.read_text(encoding="utf-8")  # noqa: E731
    parts = {
        "style": read(ROOT / "scheduler/page/style.css") + read(HERE / "planner.css"),
        "demo": read(ROOT / "demo/quick.toml"),
        "wasm": base64.b64encode(gzip.compress((built / "planner.wasm").read_bytes(), 9, mtime=0)).decode(),
        "notices": notices(),
        "glue": read(built / "planner.js"),
        "worker": read(HERE / "worker.js"),
        "script": "".join(read(HERE / name) for name in ("engine.js", "views.js", "app.js")),
    }
    for name in ("glue", "worker", "script", "demo", "notices"):
        if "</script" in parts[name]:
            sys.exit(f"{name} holds what would end a script in a page")
    page = read(HERE / "planner.html")
    for name, text in parts.items():
        before, after = page.split("{{" + name + "}}")
        page = before + text + after
    temporary = output.with_suffix(".new")
    temporary.write_text(page, encoding="utf-8")
    os.replace(temporary, output)


if __name__ == "__main__":
    main()
