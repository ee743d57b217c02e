"""A book's folder against its wall file: hashes, lists and plan, by the standard library alone."""

import csv
import hashlib
import json
import pathlib
import sys

wall_file, folder = (pathlib.Path(argument) for argument in sys.argv[1:3])
contents = json.loads((folder / "contents.json").read_text(encoding="utf-8"))


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


assert contents["book"] == "glowloom"
assert contents["wall_file"]["sha256"] == sha256(wall_file)
assert sha256(wall_file).startswith(contents["wall_file"]["fingerprint"])
listed = {entry["path"]: entry for entry in contents["files"]}
assert len(listed) == len(contents["files"]), "a file is listed twice"
there = {str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()}
assert there == set(listed) | {"contents.json"}, there ^ set(listed)
for path, entry in listed.items():
    assert sha256(folder / path) == entry["sha256"], path
    assert (folder / path).stat().st_size == entry["bytes"], path
assert (folder / "wall.toml").read_bytes() == wall_file.read_bytes()

plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
names = [panel["name"] for panel in plan["geometry"]["panels"]]


def rows(path):
    with open(folder / path, newline="", encoding="utf-8") as file:
        read = list(csv.reader(file))
    assert len({len(row) for row in read}) == 1, path
    return [dict(zip(read[0], row)) for row in read[1:]]


pixels = rows("lists/pixels.csv")
assert len(pixels) == plan["geometry"]["pixels"]
assert {pixel["panel"] for pixel in pixels} <= set(names) | {""}

wires = rows("lists/wires.csv")
for row, run in zip(wires, plan["material"]["wires"], strict=True):
    assert int(row["count"]) == run["count"]
    assert abs(float(row["cut_mm"]) - 1000 * run["cut_m"]) <= 0.05

items = [(row["item"], row["quantity"]) for row in rows("lists/buying.csv")]
for (item, quantity), of in zip(items, plan["material"]["items"], strict=True):
    assert item == of["item"]
    known = of["quantity"]
    assert quantity == "" if known is None else float(quantity) == known

# Every roll from end to end, each of its pieces under its name.
cuts = rows("lists/cuts.csv")
pitch = plan["geometry"]["pitch_m"] * 1000
at = 0
for row in cuts:
    if row["from_mm"] == "0.0":
        at = 0
    roll = plan["cuts"]["rolls_cut"][int(row["roll"]) - 1]
    pixels = int(row["pixels"])
    if row["piece"]:
        piece = int(row["piece"]) - 1
        assert (pixels, row["label"]) == (roll["pieces"][piece], roll["labels"][piece]), row
        assert row["panel"] in names and row["label"].startswith(row["panel"] + " "), row
    else:
        assert (pixels, row["label"]) == (roll["left_over"], "left over"), row
    assert abs(float(row["from_mm"]) - at * pitch) <= 0.051, row
    at += pixels
    assert abs(float(row["to_mm"]) - at * pitch) <= 0.051, row
assert sum(bool(row["piece"]) for row in cuts) == sum(
    len(roll["pieces"]) for roll in plan["cuts"]["rolls_cut"]
)
assert sum(int(row["pixels"]) for row in cuts) == sum(
    roll["pixels"] for roll in plan["cuts"]["rolls_cut"]
)

boards = [row["panel"] for row in rows("lists/boards.csv")]
assert sorted(boards) == sorted(names)

# Feeds that are measured are within the band, and their plan's volts are what is expected there.
points = rows("lists/measuring-points.csv")
feeds = {
    (panel["name"], f"strip {feed['strip']}, {feed['edge']} end"): feed
    for panel in plan["power"]["panels"]
    for feed in panel["feeds"]
}
compared = 0
for point in points:
    expected, least, most = (float(point[key]) for key in ("expected", "least", "most"))
    assert least <= expected <= most, point
    # The plan is solved at the ceiling, the first of the levels.
    if float(point["brightness"]) != min(float(other["brightness"]) for other in points):
        continue
    feed = feeds.get((point["panels"].split("; ")[0], point["place"]))
    if feed:
        of = feed["volts_at_strip"] if point["quantity"] == "volts" else feed["amps"]
        assert abs(of - expected) <= 0.0051, (point, of)
        compared += 1
assert compared > 0

print(f"{len(listed)} files listed, {len(points)} points, {compared} compared with the plan")
