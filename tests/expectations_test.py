#!/usr/bin/env python3
"""Every test that expects a number says what that number is: expectations_test.py ROOT.

A test with EXPECT_NEAR, EXPECT_DOUBLE_EQ or EXPECT_FLOAT_EQ (or ASSERT_...) needs, inside it or in the comment above it, one of:
published (a paper, a book, a standard), closed form, independent (another method), regression (our own earlier output),
common practice (of the trade, without a source), definition (what was asked for, or what the words mean), identity (two
results of this code that a law, a symmetry or a file makes equal).
"""
import pathlib
import re
import sys

NUMBER = re.compile(r"\b(?:EXPECT|ASSERT)_(?:NEAR|DOUBLE_EQ|FLOAT_EQ)\b|\b(?:DoubleNear|DoubleEq|FloatEq|FloatNear)\(")
KIND = re.compile(r"\b(published|closed forms?|independent(?:ly)?|regressions?|common practice|definition|identity)\b",
                  re.IGNORECASE)
REMARK = re.compile(r"//(.*)|\"((?:[^\"\\\n]|\\.)*)\"")
TEST = re.compile(r"^(?:TEST|TEST_F|TEST_P|TYPED_TEST|RC_GTEST_PROP)\((\w+),\s*(\w+)", re.MULTILINE)


def tests_of(text):
    """(name, line, text of the test with the comment above it)"""
    for match in TEST.finditer(text):
        end = text.find("\n}", match.end())
        above = re.search(r"(?:^[ \t]*//.*\n)*\Z", text[:match.start()], re.MULTILINE)[0]
        yield f"{match[1]}.{match[2]}", text.count("\n", 0, match.start()) + 1, above + text[match.start():end]


def main(root):
    expecting, silent = 0, []
    for path in sorted(pathlib.Path(root, "tests").rglob("*_test.cpp")):
        for name, line, text in tests_of(path.read_text(encoding="utf-8")):
            if not NUMBER.search(text):
                continue
            expecting += 1
            remarks = " ".join(comment.strip("/ ") or quoted for comment, quoted in REMARK.findall(text))
            if not KIND.search(remarks):
                silent.append(f"{path.relative_to(root)}:{line}: {name}")
    print("\n".join(silent))
    print(f"{expecting} tests expect numbers, {len(silent)} do not say what kind of number that is")
    return 1 if silent or expecting < 100 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
