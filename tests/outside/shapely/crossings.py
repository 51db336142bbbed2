"""Counts what screws cross with the lines and polygons of shapely, after docs/planning.md, "Screws and wires".

    python crossings.py SCREWS.json ANSWERS.json

Each case holds the outlines of shaft and fragment as the program made them, every vertex with what the stretch
from it to the next one is, and a screw's two ends and diameter, all across and along in pixel widths.
"""

import json
import sys

import shapely
from shapely.geometry import LineString, MultiLineString, Point, Polygon

# What lies within so much of the way from the base's to the head's centre is the base.
BASE_SHARE = 0.3

CUT_FACE = "CutFace"


def stretches(outline):
    """The lines of an outline by what they are, without the faces of the cut."""
    vertices = outline
    lines = {}
    for (first, edge), (last, _) in zip(vertices, vertices[1:] + vertices[:1]):
        if edge != CUT_FACE and first != last:
            lines.setdefault(edge, []).append((first, last))
    return {edge: MultiLineString(pairs) for edge, pairs in lines.items()}


def name_of(piece, edge, along, length):
    """The cortex's name, by its place along the shaft."""
    if piece == "fragment":
        return {"Near": "MedialHead", "Far": "LateralHead"}.get(edge, edge)
    if edge == "Base":
        return "BaseSurface"
    side = {"Near": "Medial", "Far": "Lateral"}[edge]
    return side + ("Base" if along < BASE_SHARE * length else "Shaft")


def points_of(geometry):
    """The single points of whatever an intersection is."""
    if geometry.is_empty:
        return []
    return list(getattr(geometry, "geoms", [geometry]))


def area(outline):
    """What lies within, by the even-odd rule."""
    return shapely.make_valid(Polygon([place for place, _ in outline]), method="linework")


def crossings(case):
    """The cortices in order, each with its share of the screw."""
    (x, y), (tip_x, tip_y) = case["entry"], case["tip"]
    long = ((tip_x - x) ** 2 + (tip_y - y) ** 2) ** 0.5
    before = case["diameter"] / long
    start = x - before * (tip_x - x), y - before * (tip_y - y)
    way = LineString([start, (tip_x, tip_y)])
    tip = Point(tip_x, tip_y)
    ends_inside = area(case["fragment"]).contains(tip)
    found = []
    for piece in ("shaft", "fragment"):
        for edge, lines in stretches(case[piece]).items():
            crossed = points_of(way.intersection(lines))
            for point in crossed:
                share = (way.project(point) - case["diameter"]) / long
                found.append((share, name_of(piece, edge, point.y, case["length"])))
            may_touch = piece == "fragment" and edge in ("Near", "Far") and ends_inside
            touched = may_touch and lines.distance(tip) <= case["diameter"] / 2
            if touched and not crossed:
                found.append((1.0, name_of(piece, edge, tip_y, case["length"])))
    return sorted(found)


def answer(case):
    way = LineString([case["entry"], case["tip"]])
    found = crossings(case)
    return {
        "cortices": [name for _, name in found],
        "shares": [share for share, _ in found],
        "in_shaft": way.intersection(area(case["shaft"])).length,
        "in_fragment": way.intersection(area(case["fragment"])).length,
        "tip_is_in_fragment": bool(area(case["fragment"]).contains(Point(case["tip"]))),
    }


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        cases = json.load(file)
    with open(target, "w", encoding="utf-8") as file:
        json.dump([answer(case) for case in cases], file)


if __name__ == "__main__":
    main()
