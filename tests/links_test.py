#!/usr/bin/env python3
"""Every link of README.md, DEVELOPERS.md and docs/*.md leads somewhere: the file is there, and so is the heading behind `#`. Every
picture of docs/images is shown by a document and made by docs/images/make, and every one that is shown or made is there.

    tests/links_test.py CHECKOUT

A link out of the checkout goes to a standard or to nothing. Prints what is wrong, a line each, and exits with 1."""
import os
import re
import subprocess
import sys

LINK = re.compile(r"(!?)\[(?:[^\[\]]|\[[^\]]*\])*\]\(([^()\s]+)(?:\s+\"[^\"]*\")?\)")
REFERENCE = re.compile(r"^\[[^\]]+\]:\s*(\S+)", re.M)
BARE = re.compile(r"(?<![\w(<])<?(https?://[^\s)>`]+)")
CODE = re.compile(r"^```.*?^```|`[^`\n]+`|^ {4}[^\n]*", re.M | re.S)
FENCES = re.compile(r"^```.*?^```", re.M | re.S)
HEADING = re.compile(r"^#{1,6}\s+(.*?)\s*#*$", re.M)
STANDARDS = ("www.rfc-editor.org", "www.iso.org", "www.iec.ch", "standards.ieee.org", "www.itu.int", "www.w3.org")


def without_code(text):
    """Links that are only an example of the text are none; lines keep their numbers."""
    return CODE.sub(lambda match: "`" + "\n" * match.group(0).count("\n"), text)


def anchors_of(text):
    """The anchors of a page's headings, as code hosts make them: small letters, nothing but words and hyphens, repeated ones counted."""
    found, seen = set(), {}
    for heading in HEADING.findall(FENCES.sub("", text)):
        plain = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", heading)
        anchor = re.sub(r"[^\w\- ]", "", plain.lower()).replace(" ", "-")
        count = seen.get(anchor, 0)
        seen[anchor] = count + 1
        found.add(anchor if count == 0 else f"{anchor}-{count}")
    return found


def wrong_links(root, document, texts):
    """What is wrong with one document's links, and the pictures it shows."""
    wrong, pictures, count = [], set(), 0
    text = without_code(texts[document])
    targets = [(m.start(), m.group(1), m.group(2)) for m in LINK.finditer(text)] + [(m.start(), "", m.group(1)) for m in REFERENCE.finditer(text)]
    targets += [(m.start(), "", m.group(1)) for m in BARE.finditer(text)]
    for start, picture, target in targets:
        count += 1
        where = f"{document}:{text.count(chr(10), 0, start) + 1}"
        if "://" in target:
            host = target.split("/")[2].split(":")[0]
            if host not in STANDARDS:
                wrong.append(f"{where}: {target} leads out of the checkout, and not to a standard")
            continue
        path, _, anchor = target.partition("#")
        full = os.path.normpath(os.path.join(os.path.dirname(document), path)) if path else document
        if not os.path.exists(os.path.join(root, full)):
            wrong.append(f"{where}: {target} leads nowhere")
        elif anchor and (full not in texts or anchor not in anchors_of(texts[full])):
            wrong.append(f"{where}: {full} has no heading #{anchor}")
        if picture:
            pictures.add(full)
    return wrong, pictures, count


def main():
    root = os.path.abspath(sys.argv[1])
    documents = ["README.md", "DEVELOPERS.md"] + sorted(f"docs/{name}" for name in os.listdir(os.path.join(root, "docs")) if name.endswith(".md"))
    texts = {}
    for document in documents:
        with open(os.path.join(root, document), encoding="utf-8") as file:
            texts[document] = file.read()
    wrong, shown, links = [], set(), 0
    for document in documents:
        more, pictures, count = wrong_links(root, document, texts)
        wrong += more
        shown |= pictures
        links += count
    if links < 20:
        wrong.append(f"only {links} links found; does this test still read them?")

    there = {f"docs/images/{name}" for name in os.listdir(os.path.join(root, "docs/images")) if name.endswith((".png", ".svg"))}
    made = set(subprocess.run([os.path.join(root, "docs/images/make"), "--list"], capture_output=True, text=True, check=True).stdout.split())
    wrong += [f"{picture}: no document shows it" for picture in sorted(there - shown)]
    wrong += [f"{picture}: docs/images/make does not make it" for picture in sorted((there | shown) - made)]
    wrong += [f"{picture}: docs/images/make makes it, but it is not there" for picture in sorted(made - there)]
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
