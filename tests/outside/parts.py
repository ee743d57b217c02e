"""Printed parts through an independent mesh library (PyPI: trimesh 5.2.0) and Debian's admesh.

Usage: parts.py PROGRAM WALL WORKDIR

On every kind of part of the wall and of 50 random designs: the mesh is watertight, wound outward and
has the volume that the settings give, computed here by slices from what the wall file says; the
archive is sound; the build plate holds as many copies as the plan says, all of them on the bed; a
second run writes the same bytes.
"""

import json
import math
import os
import random
import re
import subprocess
import sys
import zipfile

import numpy
import trimesh

DESIGNS = 50
# Lengths of solids are whole numbers of this, in mm.
GRAIN = 1 / 32768
RELATIVE = 1e-6


def grains(mm):
    return math.floor(mm / GRAIN + 0.5) * GRAIN


def half(mm):
    """Half of a length, as it is kept."""
    return grains(mm / 2)


def slices(s, columns, rows, ends, across, along):
    """Volume of a tile, mm3: between any two heights where something changes its plan changes evenly,
    so the area halfway up is the mean. The plan is judged point by point between all its lines."""
    wall, gap, depth = half(s["wall"]), half(s["fit_gap"]), grains(s["depth"])
    channel, channel_height, lead_in = half(s["channel"][0]), grains(s["channel"][1]), grains(s["lead_in"])
    room, room_height = grains(s["joint_room"][0]), grains(s["joint_room"][1])
    lip, lip_thickness = (grains(x) for x in s["lip"]) if s["lip"] else (0, 0)
    step_x, step_y = 2 * half(across), 2 * half(along)
    width, length = columns * step_x - 2 * gap, rows * step_y - 2 * gap

    def walls(step, cells, size):
        inner = [(i * step - gap - wall, i * step - gap + wall) for i in range(1, cells)]
        return [(0, wall)] + inner + [(size - wall, size)]

    walls_x, walls_y = walls(step_x, columns, width), walls(step_y, rows, length)
    middles = [(i + 0.5) * step_x - gap for i in range(columns)]
    heights = sorted({0, lip_thickness, depth - room_height, depth - channel_height, depth - lead_in, depth})
    volume = 0
    for low, high in zip(heights, heights[1:]):
        z = (low + high) / 2
        opening = channel + max(0, z - (depth - lead_in)) if z > depth - channel_height else 0
        strips = [(m - opening, m + opening) for m in middles] if opening else []
        lines_x = sorted({x for pair in walls_x + strips for x in pair} | {wall + lip, width - wall - lip})
        lines_y = sorted({y for pair in walls_y for y in pair} | {wall + lip, length - wall - lip, wall + room, length - wall - room})
        x = (numpy.array(lines_x[1:]) + numpy.array(lines_x[:-1])) / 2
        y = (numpy.array(lines_y[1:]) + numpy.array(lines_y[:-1])) / 2
        within = lambda at, pairs: numpy.any([(a < at) & (at < b) for a, b in pairs], axis=0) if pairs else at < -1
        in_wall_x, in_wall_y, in_strip = within(x, walls_x), within(y, walls_y), within(x, strips)
        edge_x = (x < wall + lip) | (x > width - wall - lip)
        edge_y = (y < wall + lip) | (y > length - wall - lip)
        ended = numpy.zeros_like(y, dtype=bool)
        if z > depth - room_height:
            ended |= (y < wall + room) & (ends > 0)
            ended |= (y > length - wall - room) & (ends > 1)
        full = (in_wall_x[:, None] | in_wall_y[None, :]) & ~(in_strip[:, None] & ~in_wall_x[:, None]) & ~ended[None, :]
        if z < lip_thickness:
            full |= edge_x[:, None] | edge_y[None, :]
        area = (numpy.diff(lines_x)[:, None] * numpy.diff(lines_y)[None, :] * full).sum()
        volume += area * (high - low)
    return volume


def mm(number):
    return f'"{number:.3f} mm"'


def design(chance):
    """A wall with a baffle whose settings do not contradict each other, and these settings."""
    metre = chance.choice([30, 60])
    pitch = 1000 / metre
    spacing = chance.choice([None, round(pitch * chance.uniform(1.0, 1.3), 3)])
    across = spacing or pitch
    s = {
        "wall": round(chance.uniform(0.8, 2.4), 2),
        "fit_gap": round(chance.choice([0, chance.uniform(0.05, 0.6)]), 2),
        "depth": round(chance.uniform(12, 40), 2),
        "bed": [round(chance.uniform(2.2, 7) * across, 1), round(chance.uniform(2.2, 7) * pitch, 1)],
        "rim": chance.choice([None, round(chance.uniform(0.8, 3), 2)]),
        "lip": None,
    }
    if min(s["bed"]) < max(across, pitch, s["depth"]):
        s["bed"] = [round(4 * across, 1), round(4 * across, 1)]
    opening = across - s["wall"] - s["fit_gap"]
    s["lead_in"] = round(chance.choice([0, chance.uniform(0.1, 0.08 * opening)]), 2)
    s["channel"] = [round(chance.uniform(0.2, 0.5) * opening, 2), round(s["lead_in"] + chance.uniform(0.5, 0.4 * s["depth"]), 2)]
    s["joint_room"] = [round(chance.uniform(0.1, 0.45) * (pitch - s["wall"] - s["fit_gap"]), 2), round(chance.uniform(0.1, 0.7) * s["depth"], 2)]
    if chance.random() < 0.4:
        room = (opening - s["channel"][0]) / 2 - s["lead_in"]
        s["lip"] = [round(chance.uniform(0.1, 0.8) * min(room, 0.4 * pitch - s["wall"]), 2), round(0.1 + 0.2 * s["depth"] * chance.random(), 2)]
    columns, rows = chance.randint(1, 17), chance.randint(1, 17)
    lines = [
        "format = 1", "[wall]", 'name = "Design & <test>"', f"columns = {columns}", f"rows = {rows}",
        "[strip]", f'part = "ws2812b-{metre}"', "[[panels]]", 'name = "only"', "at = [0, 0]",
        f"columns = {columns}", f"rows = {rows}", f'strips = "{chance.choice(["vertical", "horizontal"])}"',
    ]
    lines += [f"strip_spacing = {mm(spacing)}"] if spacing else []
    lines += ["[baffle]"]
    for key in ["wall", "fit_gap", "depth", "lead_in"]:
        lines.append(f"{key} = {mm(s[key])}")
    for key in ["channel", "joint_room", "bed"]:
        lines.append(f"{key} = [{mm(s[key][0])}, {mm(s[key][1])}]")
    lines += [f"lip = [{mm(s['lip'][0])}, {mm(s['lip'][1])}]"] if s["lip"] else []
    lines += [f"rim = {mm(s['rim'])}"] if s["rim"] else []
    return "\n".join(lines) + "\n", s, across, pitch


def near(found, wanted, what):
    assert abs(found - wanted) <= RELATIVE * abs(wanted), f"{what}: {found}, not {wanted}"


def sound(mesh, volume, what):
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.is_volume, what
    assert mesh.body_count == 1, what
    near(mesh.volume, volume, what)


def admesh(path, volume):
    text = subprocess.run(["admesh", path], check=True, capture_output=True, text=True).stdout
    for name, wanted in [
        ("Total disconnected facets", 0), ("Degenerate facets", 0), ("Edges fixed", 0), ("Facets removed", 0),
        ("Facets added", 0), ("Facets reversed", 0), ("Backwards edges", 0), ("Normals fixed", 0), ("Number of parts", 1),
    ]:
        found = int(re.search(rf"{name}\s*:\s*(-?\d+)", text).group(1))
        assert found == wanted, f"{path}: {name}: {found}\n{text}"
    # It sums up in single precision.
    found = float(re.search(r"Volume\s*:\s*(\S+)", text).group(1))
    assert abs(found - volume) <= 1e-4 * volume, (path, found, volume)


def book(program, wall, folder):
    subprocess.run([program, "book", wall, "-o", folder], check=True, capture_output=True)
    return {
        os.path.relpath(os.path.join(place, name), folder): open(os.path.join(place, name), "rb").read()
        for place, _, names in os.walk(folder) for name in names
    }


def plates(parts, tiles, bed, volumes):
    """Every build plate through the library; counts the copies that are printed."""
    printed = {}
    for plate in tiles["plates"]:
        rest = "-rest" if plate["part"] in printed else ""
        path = os.path.join(parts, f"{plate['part']}{rest}.3mf")
        with zipfile.ZipFile(path) as archive:
            assert archive.testzip() is None, path
            assert archive.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"], path
        scene = trimesh.load_scene(path)
        assert scene.units == "millimeter", path
        [(name, mesh)] = scene.geometry.items()
        assert name == plate["part"], (path, name)
        sound(mesh, volumes[plate["part"]], path)
        copies = len(scene.graph.nodes_geometry)
        assert copies == plate["copies"], (path, copies)
        near(scene.to_mesh().volume, copies * volumes[plate["part"]], path)
        assert scene.to_mesh().body_count == copies, path
        low, high = scene.bounds
        assert low[0] >= 0 and low[1] >= 0 and low[2] == 0, (path, low)
        assert high[0] <= bed[0] and high[1] <= bed[1], (path, high, bed)
        printed[plate["part"]] = printed.get(plate["part"], 0) + plate["copies"] * plate["times"]
    for kind in tiles["kinds"] + tiles["rim"]:
        assert printed[kind["name"]] == kind["per_wall"], (parts, kind)


def check(program, wall, work, s, across, pitch):
    text = subprocess.run([program, "plan", wall, "--json"], check=True, capture_output=True, text=True).stdout
    plan = json.loads(text)
    tiles = plan["tiles"]
    assert tiles, (wall, plan["findings"])
    folder = os.path.join(work, "book")
    first = book(program, wall, folder)
    assert book(program, wall, folder + "-again") == first, f"{wall}: another run, other bytes"
    parts = os.path.join(folder, "parts")
    volumes = {}
    for kind in tiles["kinds"]:
        volumes[kind["name"]] = slices(s, kind["columns"], kind["rows"], kind["ends"], across, pitch)
    for strip in tiles["rim"]:
        volumes[strip["name"]] = grains(strip["length_m"] * 1000) * grains(s["depth"]) * grains(s["rim"])
    for kind in tiles["kinds"] + tiles["rim"]:
        volume = volumes[kind["name"]]
        near(kind["volume_m3"] * 1e9, volume, f"{wall}: the plan's {kind['name']}")
        path = os.path.join(parts, f"{kind['name']}.stl")
        with open(path, "rb") as file:
            assert not file.read(5).lower() == b"solid", path
        sound(trimesh.load_mesh(path), volume, path)
        admesh(path, volume)
    plates(parts, tiles, s["bed"], volumes)
    whole = sum(volumes[kind["name"]] * kind["per_wall"] for kind in tiles["kinds"] + tiles["rim"])
    # PLA of 1.24 g/cm3, 335.28 m/kg at 1.75 mm (makers' sheets as quoted; computed).
    near(tiles["filament_kg"], whole * 1.24e-6, f"{wall}: filament")
    assert abs(tiles["filament_m"] / tiles["filament_kg"] - 335.28) < 0.005, wall
    return len(volumes)


def main(program, wall, work):
    demo = {
        "wall": 0.8, "fit_gap": 0.2, "depth": 20, "lead_in": 1, "channel": [12, 3], "joint_room": [10, 6],
        "bed": [220, 220], "rim": None, "lip": None,
    }
    demo_folder = os.path.join(work, "demo")
    os.mkdir(demo_folder)
    parts = check(program, wall, demo_folder, demo, 1000 / 30, 1000 / 30)
    chance = random.Random(16 * 36)
    for number in range(DESIGNS):
        text, settings, across, pitch = design(chance)
        folder = os.path.join(work, f"design-{number}")
        os.mkdir(folder)
        path = os.path.join(folder, "wall.toml")
        with open(path, "w") as file:
            file.write(text)
        parts += check(program, path, folder, settings, across, pitch)
    print(f"{parts} parts of {DESIGNS + 1} designs are sound")


main(*sys.argv[1:])
