#!/usr/bin/env python3
"""Every promise of tests/promises.tsv still stands in its document, word for word, and the tests named beside it exist.

    tests/promises_test.py CHECKOUT BUILD

Names of tests are those that `ctest -N` lists in BUILD; `*` stands for any letters. Prints what is wrong, a line each, and exits
with 1."""
import fnmatch
import pathlib
import re
import subprocess
import sys


def rows_of(root):
    """(line, document, promise, names of tests)"""
    for number, line in enumerate((root / "tests/promises.tsv").read_text(encoding="utf-8").splitlines(), 1):
        if line.startswith("#"):
            continue
        fields = line.split("\t")
        if len(fields) != 3 or not all(fields):
            yield number, None, line, []
        else:
            yield number, fields[0], fields[1], fields[2].split(", ")


def tests_of(build):
    listed = subprocess.check_output(["ctest", "-N"], cwd=build, text=True)
    return re.findall(r"^ *Test +#\d+: (\S+)", listed, re.MULTILINE)


def words(text):
    return " ".join(text.split())


def main(root, build):
    known, documents, wrong, count, seen = tests_of(build), {}, [], 0, set()
    for number, document, promise, tests in rows_of(root):
        count += 1
        where = f"tests/promises.tsv:{number}"
        if document is None:
            wrong.append(f"{where}: not a document, a promise and tests: {promise}")
            continue
        if document not in documents:
            documents[document] = words((root / document).read_text(encoding="utf-8"))
        if words(promise) not in documents[document]:
            wrong.append(f"{where}: {document} no longer says: {promise}")
        if (document, promise) in seen:
            wrong.append(f"{where}: twice: {promise}")
        seen.add((document, promise))
        wrong += [f"{where}: no test is called {name}" for name in tests if not fnmatch.filter(known, name)]
    for path in ["README.md", *sorted(f"docs/{p.name}" for p in (root / "docs").glob("*.md"))]:
        if path not in documents and path not in ("docs/glossary.md", "docs/validation.md"):
            wrong.append(f"tests/promises.tsv: nothing of {path}")
    print("\n".join(wrong))
    print(f"{count} promises of {len(documents)} documents, {len(known)} tests")
    return 1 if wrong or count < 100 or len(known) < 500 else 0


if __name__ == "__main__":
    sys.exit(main(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve()))
