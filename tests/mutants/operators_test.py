#!/usr/bin/env python3
"""What tests/mutants/operators.py may break and what it has to leave alone."""
import sys

import operators

CODE = '''#include <a> // 1 < 2
static_assert(1 + 1 == 2,
              "sum");
/* a < b */ const char* text = "a < b && 3";
double f(int a) {
    // a + b
    AMPTURN_CHECK(a < 3);
    if (a <= 7 && !done) return a * 2.5;
    sum += a;
    for (int i = 0; i < 4; ++i) list[0] = 1'000;
    std::array<int, 5> five;
    return true;
}
'''
# line: operator and what the line becomes
WANTED = {
    8: [("boundary", "if (a < 7 && !done) return a * 2.5;"), ("comparison", "if (a > 7 && !done) return a * 2.5;"),
        ("and or", "if (a <= 7 || !done) return a * 2.5;"), ("arithmetic", "if (a <= 7 && !done) return a / 2.5;"),
        ("negation", "if (a <= 7 && done) return a * 2.5;"), ("constant", "if (a <= 8 && !done) return a * 2.5;"),
        ("constant", "if (a <= 6 && !done) return a * 2.5;"), ("constant", "if (a <= 14 && !done) return a * 2.5;"),
        ("constant", "if (a <= 7 && !done) return a * (2 * 2.5);"), ("returned", "if (a <= 7 && !done) return {};")],
    9: [("arithmetic", "sum -= a;"), ("removed", ";")],
    # Never how far a loop runs, which could only read past the end, nor a place beyond the second.
    10: [("comparison", "for (int i = 0; i >= 4; ++i) list[0] = 1'000;"), ("arithmetic", "for (int i = 0; i < 4; --i) list[0] = 1'000;"),
         ("constant", "for (int i = 0; i < 4; ++i) list[1] = 1'000;"), ("constant", "for (int i = 1; i < 4; ++i) list[0] = 1'000;"),
         ("constant", "for (int i = 0; i < 4; ++i) list[0] = 1001;"), ("constant", "for (int i = 0; i < 4; ++i) list[0] = 999;"),
         ("constant", "for (int i = 0; i < 4; ++i) list[0] = 2000;")],
    12: [("truth", "return false;")],
}


def main():
    mutants = operators.mutants_of("x.cpp", CODE)
    found = {}
    for mutant in mutants:
        found.setdefault(mutant.line_number, []).append((mutant.operator, mutant.broken))
        changed = mutant.applied(CODE)
        assert changed != CODE and changed.count("\n") == CODE.count("\n"), mutant
    for line in sorted(set(found) | set(WANTED)):
        if sorted(found.get(line, [])) != sorted(WANTED.get(line, [])):
            print(f"line {line}: wanted {sorted(WANTED.get(line, []))},\n  found {sorted(found.get(line, []))}")
            return 1
    # The choice follows from seed and text: another line before it moves nothing, another seed does.
    names = [mutant.name() for mutant in operators.chosen(mutants, 6, 1)]
    later = "int before;\n" + CODE
    below = operators.chosen(operators.mutants_of("x.cpp", later), 6, 1)
    if [mutant.line_number for mutant in below] == [mutant.line_number for mutant in operators.chosen(mutants, 6, 1)]:
        print("lines did not move")
        return 1
    if sorted(mutant.name() for mutant in below) != sorted(names):
        print("the choice depends on other lines")
        return 1
    if sorted(mutant.name() for mutant in operators.chosen(mutants, 6, 2)) == sorted(names):
        print("the seed chooses nothing")
        return 1
    print(f"{len(mutants)} ways to break the sample")
    return 0


if __name__ == "__main__":
    sys.exit(main())
