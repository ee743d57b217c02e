"""A build book against programs and libraries outside the project.

    sheets.py PROGRAM FOLDER WALL...

For each wall: the PDF by poppler (pdfinfo, pdffonts, pdftotext), every SVG by ElementTree and by
librsvg's rsvg-convert, geometry read back and compared with the pixel map, colours of mains conductors
with the tables of IEC 60445 and the NEC (both second-hand), the page by html.parser.
"""

import collections
import csv
import hashlib
import html.parser
import io
import json
import pathlib
import re
import subprocess
import sys
import tomllib
import xml.etree.ElementTree as ElementTree

SVG = "{http://www.w3.org/2000/svg}"
# Points: A4 and Letter (computed from mm and inches).
SIZES = [(595.276, 841.890), (612.0, 792.0)]
MAINS = {
    "iec": {"L": ["#7a3e00"], "N": ["#0056b3"], "PE": ["#007a3d", "#ffd400"]},
    "us": {"L": ["#111111"], "N": ["#ffffff"], "G": ["#007a3d"]},
}
WORDS = {
    "iec": ["L brown", "N blue", "PE green-and-yellow"],
    "us": ["L black", "N white", "G green"],
}


def said(*command):
    """What a program writes; it must succeed and complain of nothing."""
    done = subprocess.run(command, capture_output=True)
    assert done.returncode == 0, (command, done.stderr)
    assert not done.stderr, (command, done.stderr[:500])
    return done.stdout


def near(a, b, room, what):
    assert abs(a - b) <= room, (what, a, b)


def places(d):
    """Corners of each subpath of path data that has no curves."""
    found = []
    for part in re.findall(r"M[^M]*", d):
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", part)]
        found.append(list(zip(numbers[0::2], numbers[1::2])))
    return found


def known(root, name):
    return [e for e in root.iter(SVG + "path") if e.get("data-" + name) is not None]


def geometry(program, wall, text, sheets, plan):
    """Pixels and strips of every panel's front and back, in the pixel map's millimetres."""
    rows = list(csv.DictReader(io.StringIO(said(program, "map", wall, "--csv").decode())))
    pitch = plan["geometry"]["pitch_m"] * 1000
    at = {panel["name"]: panel for panel in text["panels"]}
    compared = 0
    for name, front in sheets.items():
        if not name.endswith("-front.svg"):
            continue
        panel = front.get("data-panel")
        ratio, left, top = (float(front.get("data-" + k)) for k in ("ratio", "left", "top"))
        here = [(float(r["x_mm"]), float(r["y_mm"])) for r in rows if r["panel"] == panel]
        if "place" in at[panel] or "strip_spacing" in {**text.get("panel", {}), **at[panel]}:
            continue
        corner = [n * pitch for n in at[panel]["at"]]
        drawn = []
        for strip in known(front, "pixels-of"):
            for corners in places(strip.get("d")):
                x = sum(p[0] for p in corners) / len(corners)
                y = sum(p[1] for p in corners) / len(corners)
                drawn.append(((x - left) / ratio + corner[0], (y - top) / ratio + corner[1]))
        assert len(drawn) == len(here), (name, len(drawn), len(here))
        for (x, y), (u, v) in zip(sorted(drawn, key=key), sorted(here, key=key)):
            near(x, u, 0.01, name)
            near(y, v, 0.01, name)
            compared += 1
        number = name.split("-", 1)[1].replace("-front", "-back")
        back = next(root for other, root in sheets.items() if other.endswith(number))
        right = float(back.get("data-right"))
        ours, theirs = (
            {e.get("data-strip"): places(e.get("d"))[0] for e in known(root, "strip")}
            for root in (front, back)
        )
        assert ours.keys() == theirs.keys() and ours, name
        for strip, ends in ours.items():
            for (x, y), (u, v) in zip(ends, theirs[strip]):
                near((x - left) / ratio, (right - u) / ratio, 0.01, (name, strip))
                near((y - top) / ratio, (v - float(back.get("data-top"))) / ratio, 0.01, (name, strip))
        ruler(front, ratio)
    return compared


def templates(sheets, plan, text):
    """Rulers are as long as they say, and marks lie a strip's spacing apart, on paper."""
    found = 0
    spaced = "strip_spacing" in str(text.get("panel", {})) + str(text["panels"])
    for name, root in sheets.items():
        if "-template" not in name:
            continue
        # One unit is a millimetre of paper.
        width, height = root.get("width"), root.get("height")
        assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}" and width.endswith("mm")
        rulers = {e.get("data-ruler"): places(e.get("d"))[0] for e in known(root, "ruler")}
        for said_, length in (("100 mm", 100.0), ("4 in", 101.6)):
            (x, _), (u, _) = rulers[said_]
            near(u - x, length, 0.001, said_)
        for piece in known(root, "marks-from"):
            marks = [corners[0][0] for corners in places(piece.get("d"))]
            for a, b in zip(marks, marks[1:]):
                if not spaced:
                    near(b - a, plan["geometry"]["pitch_m"] * 1000, 0.01, name)
                found += 1
    assert found, "no template"


def rolls(sheets, plan):
    """Rolls are as long on paper as their pixels are, and are cut where the plan cuts them."""
    pitch = plan["geometry"]["pitch_m"] * 1000
    # Rolls that are cut alike share a bar: how many each way, by pixels of the roll and of its pieces.
    wanted, found = collections.Counter(), collections.Counter()
    for roll in plan["cuts"]["rolls_cut"]:
        wanted[roll["pixels"], tuple(roll["pieces"])] += 1
    for name, root in sheets.items():
        if "-cutting-rolls" not in name:
            continue
        step = pitch * float(root.get("data-ratio"))
        for group in root.iter(SVG + "g"):
            bars = known(group, "roll-pixels")
            if not bars or "continued" in group.get("aria-label"):
                continue
            pixels = int(bars[0].get("data-roll-pixels"))
            (left, _), (right, _) = places(bars[0].get("d"))[0][:2]
            near(right - left, pixels * step, 0.01, name)
            pieces, at = [], left
            for cut in known(group, "piece"):
                (x, _), (u, _) = places(cut.get("d"))[0]
                assert x == u, name
                pieces.append(int(cut.get("data-piece")))
                near(x - at, pieces[-1] * step, 0.01, name)
                at = x
            if "nothing is left" in group.get("aria-label"):
                # The last piece ends with its roll.
                pieces.append(pixels - sum(pieces))
            found[pixels, tuple(pieces)] += int(bars[0].get("data-rolls"))
    assert found == wanted, (found, wanted)
    return sum(found.values())


def labels(sheets, ids, plan, page):
    """Every code on the labels leads to a place of the page, and each panel has its own."""
    found = {}
    for name, root in sheets.items():
        for path in known(root, "code"):
            start, _, place = path.get("data-code").partition("#")
            assert start == page and place in ids, path.get("data-code")
            found[place] = found.get(place, 0) + 1
    assert len(found) == len(plan["geometry"]["panels"]), found
    return sum(found.values())


def key(place):
    return (round(place[0], 1), round(place[1], 1))


def ruler(root, ratio):
    """The scale that the sheet states is the one that it is drawn at."""
    stated = [t.text for t in root.iter(SVG + "text") if re.fullmatch(r"[\d.]+:[\d.]+", t.text or "")]
    assert len(stated) == 1, stated
    paper, wall = stated[0].split(":")
    near(float(paper) / float(wall), ratio, 1e-9, "scale")


def mains(sheets, convention):
    root = next(root for name, root in sheets.items() if name.endswith("-mains.svg"))
    found = {}
    for path in known(root, "conductor"):
        if path.get("data-part") in ("core", "stripe"):
            found.setdefault(path.get("data-conductor"), set()).add(path.get("stroke"))
    assert found == {k: set(v) for k, v in MAINS[convention].items()}, found
    words = {t.text for t in root.iter(SVG + "text")}
    assert words.issuperset(WORDS[convention]), words
    # DC stands on other sheets, and nothing there is green.
    for name, root in sheets.items():
        for path in known(root, "conductor"):
            if not name.endswith("-mains.svg"):
                red, green, blue = (int(path.get("stroke")[i : i + 2], 16) for i in (1, 3, 5))
                assert not (green > red and green > blue), (name, path.attrib)
                assert path.get("data-conductor") not in MAINS[convention], name


def pdf(book, sheets, wall, text, plan, meter):
    path = book / "book.pdf"
    info = said("pdfinfo", "-l", "9999", path).decode()
    assert int(re.search(r"Pages:\s+(\d+)", info)[1]) == len(sheets)
    sizes = re.findall(r"size:\s+([\d.]+) x ([\d.]+) pts", info)
    assert len(sizes) == len(sheets)
    for size in sizes:
        small, large = sorted(float(n) for n in size)
        assert any(abs(small - a) < 0.01 and abs(large - b) < 0.01 for a, b in SIZES), size
    fonts = [line.split() for line in said("pdffonts", path).decode().splitlines()[2:]]
    assert fonts, "fonts"
    for font in fonts:
        # ... emb sub uni object ID
        assert font[-5] == "yes" and font[-3] == "yes", font
    pages = said("pdftotext", "-layout", path, "-").decode()
    words = " ".join(pages.split())
    for panel in text["panels"]:
        assert panel["name"] in words, panel
    print_of = hashlib.sha256(pathlib.Path(wall).read_bytes()).hexdigest()[:8]
    assert words.count(print_of) == len(sheets), (print_of, words.count(print_of))
    for of in {round(panel["least_volts"], 2) for panel in plan["power"]["panels"]}:
        assert f"{of:.2f} V" in words, of
    points = 0
    for kind in meter["kinds"]:
        for point in kind["points"]:
            volts = next(v for v in point["volts"] if abs(v["brightness"] - meter["ceiling"]) < 1e-9)
            expected = f"{volts['expected']:.2f} ({volts['least']:.2f} to {volts['most']:.2f})"
            assert expected in words, expected
            points += 1
    return points, path.stat().st_size


class Page(html.parser.HTMLParser):
    """The ids, links and drawings of the page."""

    def __init__(self):
        super().__init__()
        self.ids, self.links, self.drawings = [], [], 0

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if "id" in attributes:
            self.ids.append(attributes["id"])
        for name in ("href", "src"):
            if name in attributes:
                self.links.append(attributes[name])
        self.drawings += tag == "svg"


def page(book, sheets):
    text = (book / "index.html").read_text()
    found = Page()
    found.feed(text)
    assert found.drawings == len(sheets)
    assert len(found.ids) == len(set(found.ids)), "ids"
    for link in found.links:
        if link.startswith("#"):
            assert link == "#" or link[1:] in found.ids, link
        else:
            assert (book / link).is_file(), link
    # Nothing is fetched: but for what codes hold, the one address is the name of SVG.
    text = re.sub(r' data-code="[^"]*"', "", text)
    assert set(re.findall(r"https?://[^\"' )]*", text)) == {"http://www.w3.org/2000/svg"}
    assert "@import" not in text and "<script" not in text
    return set(found.ids)


def check(program, folder, wall):
    book = folder / pathlib.Path(wall).stem
    said(program, "book", wall, "-o", book)
    text = tomllib.loads(pathlib.Path(wall).read_text())
    plan = json.loads(said(program, "plan", wall, "--json"))
    meter = json.loads(said(program, "plan", wall, "--meter", "--json"))["meter"]
    sheets = {}
    for path in sorted((book / "sheets").iterdir()):
        sheets[path.name] = ElementTree.parse(path).getroot()
        picture = said("rsvg-convert", "--width", "400", path)
        assert picture.startswith(b"\x89PNG") and len(picture) > 1000, path
    pixels = geometry(program, wall, text, sheets, plan)
    templates(sheets, plan, text)
    mains(sheets, text.get("power", {}).get("mains", {}).get("colours", "iec"))
    points, size = pdf(book, sheets, wall, text, plan, meter)
    cut = rolls(sheets, plan)
    coded = labels(sheets, page(book, sheets), plan, text.get("book", {}).get("page", "index.html"))
    print(
        f"{book.name}: {len(sheets)} sheets, {pixels} pixels, {points} points, {cut} rolls, "
        f"{coded} codes, {size} bytes of PDF"
    )
    return pixels


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    walls = sys.argv[3:]
    pixels = sum(check(program, folder, wall) for wall in walls)
    assert pixels > 1000, pixels
    print(f"{len(walls)} books are sound")


main()
