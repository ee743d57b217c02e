"""Cutting of strips against an independent integer programme (PyPI: highspy 1.16.0).

Usage: cutting.py check FILE | cutting.py time FILE

FILE (or - for standard input) is a JSON list of orders: roll, pieces as [pixels, count], shelf, and the
project's own answer. `check` solves each one anew and compares:

- fewest new rolls: every pattern that no further piece fits into, as often as wanted;
- left_over, where given: with one roll fewer of those patterns, the least that the last roll must hold;
- joints, where given: every piece against every roll, how many pixels of it come from there.

Nothing here shares a method with the project: no bound, no column is priced, no group is formed.
`time` prints one line an order: seconds, rolls.
"""

import json
import sys
import time

import highspy

INFINITY = highspy.kHighsInf


def patterns(lengths, counts, roll):
    """Every maximal choice of pieces that fits a roll."""
    found = []

    def grow(i, left, head):
        if i == len(lengths):
            full = all(n == c or length > left for n, c, length in zip(head, counts, lengths))
            if full and any(head):
                found.append(tuple(head))
            return
        for n in range(min(counts[i], left // lengths[i]), -1, -1):
            grow(i + 1, left - n * lengths[i], head + [n])

    grow(0, roll, [])
    return found


class Programme:
    """Least cost, all variables whole numbers."""

    def __init__(self):
        self.highs = highspy.Highs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("mip_rel_gap", 0.0)
        self.highs.setOptionValue("time_limit", 60.0)
        self.variables = 0

    def variable(self, cost, least=0, most=INFINITY):
        self.highs.addCol(cost, least, most, 0, [], [])
        self.highs.changeColIntegrality(self.variables, highspy.HighsVarType.kInteger)
        self.variables += 1
        return self.variables - 1

    def row(self, least, most, entries):
        entries = sorted(entries.items())
        self.highs.addRow(least, most, len(entries), [c for c, _ in entries], [a for _, a in entries])

    def solve(self):
        self.highs.run()
        status = self.highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        assert status == highspy.HighsModelStatus.kOptimal, status
        value = self.highs.getInfo().objective_function_value
        assert abs(value - round(value)) < 1e-4, value
        return round(value)


def cover(programme, order, kinds):
    """Rows that ask for every piece; kinds: (roll, cost of one, most of them)."""
    lengths = [length for length, _ in order["pieces"]]
    counts = [count for _, count in order["pieces"]]
    rows = [{} for _ in lengths]
    for roll, cost, most in kinds:
        taken = {}
        for pattern in patterns(lengths, counts, roll):
            x = programme.variable(cost)
            taken[x] = 1
            for row, n in zip(rows, pattern):
                if n:
                    row[x] = n
        if most is not None and taken:
            programme.row(-INFINITY, most, taken)
    return rows, counts


def fewest(order):
    kinds = [(order["roll"], 1, None)]
    shelf = order["shelf"]
    kinds += [(roll, 0, shelf.count(roll)) for roll in sorted(set(shelf))]
    programme = Programme()
    rows, counts = cover(programme, order, kinds)
    for row, count in zip(rows, counts):
        programme.row(count, INFINITY, row)
    return programme.solve()


def left_over(order, rolls):
    programme = Programme()
    rows, counts = cover(programme, order, [(order["roll"], 0, rolls - 1)])
    lengths = [length for length, _ in order["pieces"]]
    last = {}
    for row, count, length in zip(rows, counts, lengths):
        y = programme.variable(length, 0, count)
        row[y] = 1
        last[y] = length
        programme.row(count, INFINITY, row)
    programme.row(-INFINITY, order["roll"], last)
    return order["roll"] - programme.solve()


def joints(order):
    pieces = [length for length, count in order["pieces"] for _ in range(count)]
    shelf = order["shelf"]
    new = max(0, -(-(sum(pieces) - sum(shelf)) // order["roll"]))
    rolls = [order["roll"]] * new + shelf
    programme = Programme()
    held = [{} for _ in rolls]
    for length in pieces:
        whole = {}
        for roll, row in zip(rolls, held):
            pixels = programme.variable(0, 0, min(length, roll))
            part = programme.variable(1, 0, 1)
            programme.row(-INFINITY, 0, {pixels: 1, part: -min(length, roll)})
            whole[pixels] = 1
            row[pixels] = 1
        programme.row(length, length, whole)
    for roll, row in zip(rolls, held):
        programme.row(-INFINITY, roll, row)
    return programme.solve() - len(pieces)


def check(orders):
    compared = {"rolls": 0, "left_over": 0, "joints": 0}
    for order in orders:
        wrong = []
        if "rolls" in order:
            found = fewest(order)
            compared["rolls"] += 1
            if found != order["rolls"] or found != order["least_rolls"]:
                wrong.append(f"fewest rolls {found}")
            if "left_over" in order:
                found = left_over(order, found)
                compared["left_over"] += 1
                if found != order["left_over"]:
                    wrong.append(f"longest left-over {found}")
        if "joints" in order:
            found = joints(order)
            compared["joints"] += 1
            if found != order["joints"] or found != order["least_joints"]:
                wrong.append(f"fewest joints {found}")
        if wrong:
            sys.exit(f"{', '.join(wrong)}, but the project says {order}")
    print(", ".join(f"{n} {name}" for name, n in compared.items()))


def main():
    command, path = sys.argv[1:]
    with sys.stdin if path == "-" else open(path, encoding="utf-8") as file:
        orders = json.load(file)
    if command == "check":
        check(orders)
    elif command == "time":
        for order in orders:
            start = time.perf_counter()
            rolls = fewest(order)
            print(time.perf_counter() - start, rolls, flush=True)
    else:
        sys.exit(__doc__)


main()
