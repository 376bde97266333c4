"""Writes expected.csv: groups of common engines by exhaustive search."""

import csv
import pathlib
from itertools import combinations

CASES = [
    ("I4", "1-3-4-2", "1 2 3 4", 2),
    ("I4", "1-2-4-3", "1 2 3 4", 2),
    ("I6", "1-5-3-6-2-4", "1 2 3 4 5 6", 2),
    ("I6", "1-5-3-6-2-4", "1 2 3 4 5 6", 3),
    ("V6", "1-4-2-5-3-6", "1 2 3 4 5 6", 2),
    ("V6", "1-4-2-5-3-6", "1 2 3 4 5 6", 3),
    ("V6 odd/even", "1-2-3-4-5-6", "1 2 3 4 5 6", 2),
    ("flat 4", "1-3-2-4", "1 2 3 4", 2),
    ("V8", "1-8-4-3-6-5-7-2", "1 2 3 4 5 6 7 8", 2),
    ("V8", "1-8-4-3-6-5-7-2", "1 2 3 4 5 6 7 8", 4),
    ("V8 odd bank", "1-8-4-3-6-5-7-2", "1 3 5 7", 2),
    ("V8 even bank", "1-8-4-3-6-5-7-2", "2 4 6 8", 2),
    ("V8 by bank", "1-3-7-2-6-5-4-8", "1 2 3 4 5 6 7 8", 2),
    ("V8 by bank", "1-3-7-2-6-5-4-8", "1 2 3 4 5 6 7 8", 4),
    ("V8 by bank, first", "1-3-7-2-6-5-4-8", "1 2 3 4", 2),
    ("V8 by bank, second", "1-3-7-2-6-5-4-8", "5 6 7 8", 2),
    ("V8 flat", "1-8-3-6-4-5-2-7", "1 2 3 4 5 6 7 8", 2),
    ("V10", "1-6-5-10-2-7-3-8-4-9", "1 2 3 4 5 6 7 8 9 10", 2),
    ("V12", "1-7-5-11-3-9-6-12-2-8-4-10", "1 2 3 4 5 6 7 8 9 10 11 12", 2),
    ("V12 bank", "1-7-5-11-3-9-6-12-2-8-4-10", "1 2 3 4 5 6", 2),
]


def gaps(order, group):
    at = sorted(order.index(c) * 720 / len(order) for c in group)
    return [(b - a) if b > a else b - a + 720 for a, b in zip(at, at[1:] + at[:1])]


def partitions(left, size):
    if not left:
        yield []
        return
    first, rest = left[0], left[1:]
    for others in combinations(rest, size - 1):
        group = [first, *others]
        for more in partitions([c for c in rest if c not in others], size):
            yield [group, *more]


def best(order, cylinders, groups):
    def score(parted):
        every = [g for group in parted for g in gaps(order, group)]
        mean = sum(every) / len(every)
        return (round(min(every), 6), -round(sum((g - mean) ** 2 for g in every), 6))

    return max(partitions(cylinders, len(cylinders) // groups), key=score)


with open(pathlib.Path(__file__).with_name("expected.csv"), "w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(["engine", "order", "cylinders", "groups", "gaps_deg"])
    for engine, order, cylinders, count in CASES:
        fires = [int(c) for c in order.split("-")]
        parted = best(fires, [int(c) for c in cylinders.split()], count)
        rows.writerow([
            engine,
            order,
            cylinders,
            " ".join("+".join(map(str, group)) for group in parted),
            " ".join("/".join(f"{g:.0f}" for g in gaps(fires, group)) for group in parted),
        ])
