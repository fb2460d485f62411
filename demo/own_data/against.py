#!/usr/bin/env python3
"""Own measurements beside computed values, row by row.

    against.py MEASURED.csv COMPUTED.csv KEY COLUMN... [--where COLUMN=VALUE...]

Both files have a header line; KEY (a frequency, a time) and the COLUMNs stand in both under the same names. Each measured row is put
beside the computed row with the nearest KEY, of those that --where leaves; farther than 1 % of it, it is left out and said so. With
a column COLUMN_sd in MEASURED the difference is told in its error bars too: most should lie within two."""
import csv
import sys


def rows_of(path):
    with open(path, encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    if not rows:
        sys.exit(f"{path}: no rows below the header line")
    return rows


def value(path, row, column):
    try:
        return float(row[column])
    except KeyError:
        sys.exit(f"{path}: no column {column}; there are {', '.join(row)}")
    except ValueError:
        sys.exit(f"{path}: {column}: found {row[column]!r}, allowed a number")


def main(words):
    where = [word.split("=", 1) for word in words[words.index("--where") + 1:]] if "--where" in words else []
    words = words[:words.index("--where")] if "--where" in words else words
    if len(words) < 4 or any(len(pair) != 2 for pair in where):
        sys.exit(__doc__)
    measured_path, computed_path, key, *columns = words
    computed = [row for row in rows_of(computed_path) if all(row.get(column) == wanted for column, wanted in where)]
    if not computed:
        sys.exit(f"{computed_path}: no row has {' and '.join('='.join(pair) for pair in where)}")
    print(f"{key:>14}  {'what':18}  {'measured':>12}  {'computed':>12}  {'difference':>12}  {'percent':>8}  error bars")
    for row in rows_of(measured_path):
        at = value(measured_path, row, key)
        best = min(computed, key=lambda other: abs(value(computed_path, other, key) - at))
        if abs(value(computed_path, best, key) - at) > 0.01 * abs(at):
            print(f"{at:14.6g}  nothing computed within 1 %")
            continue
        for column in columns:
            own, theirs = value(measured_path, row, column), value(computed_path, best, column)
            bar = row.get(column + "_sd")
            bars = f"{(own - theirs) / float(bar):+.1f}" if bar else "-"
            percent = f"{100 * (own - theirs) / theirs:+.1f}" if theirs else "-"
            print(f"{at:14.6g}  {column:18}  {own:12.6g}  {theirs:12.6g}  {own - theirs:+12.4g}  {percent:>8}  {bars:>10}")


if __name__ == "__main__":
    main(sys.argv[1:])
