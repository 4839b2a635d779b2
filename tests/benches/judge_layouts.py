"""Layouts that `cargo bench --bench packing` wrote into a folder, judged by shapely: is every copy within its room and
off the keep-outs, and every two far enough from one another?

    target/referees/bin/python tests/benches/judge_layouts.py FOLDER

Prints a line for each layout; ends with status 1 where one is not valid.
"""

import json
import pathlib
import sys

import numpy as np
import shapely
from shapely import affinity

# As the program's own check: 1e-6 mm is no breach.
TOLERANCE_MM = 2e-6


def area(polygons):
    return shapely.union_all([shapely.Polygon(p["outer"], p["holes"]) for p in polygons])


def placed(region, copy):
    turned = affinity.rotate(region, copy["turn_rad"], origin=(0, 0), use_radians=True)
    return affinity.translate(turned, copy["x"], copy["y"])


def worst_outside(regions, room):
    """The farthest that a corner lies outside the room, mm."""
    points = shapely.points(np.vstack([shapely.get_coordinates(r) for r in regions]))
    return float(shapely.distance(points, room).max())


def shortfall(these, those, gap, apart):
    """By how much the nearest two of different copies are nearer than the gap, mm; overlaps count by their depth."""
    tree, worst = shapely.STRtree(those), 0.0
    for i, region in enumerate(these):
        for j in tree.query(region.buffer(gap + 1), predicate="intersects"):
            if not apart(i, j):
                continue
            distance = region.distance(those[j])
            if distance > 0:
                worst = max(worst, gap - distance)
            else:
                both = region.intersection(those[j])
                # How wide the overlap is: twice its area over its length all round.
                worst = max(worst, gap + (2 * both.area / both.length if both.length else 0))
    return worst


def judge(told):
    shapes = [{k: area(s[k]) for k in ("shadow", "contact", "footing")} for s in told["shapes"]]
    worst, copies, used = 0.0, 0, 0
    for bed in told["beds"]:
        room, keep_outs = area(bed["room"]), [area(k) for k in bed["keep_outs"]]
        lie = [{k: placed(r, c) for k, r in shapes[c["shape"]].items()} for c in bed["copies"]]
        if not lie:
            continue
        copies, used = copies + len(lie), used + 1
        shadows, footings, contacts = ([c[k] for c in lie] for k in ("shadow", "footing", "contact"))
        worst = max(worst, worst_outside(shadows + footings, room))
        worst = max(worst, shortfall(shadows, shadows, told["gap_mm"], lambda i, j: i < j))
        if told["footings_may_merge"]:
            worst = max(worst, shortfall(footings, contacts, 0.0, lambda i, j: i != j))
        else:
            worst = max(worst, shortfall(footings, footings, told["footing_gap_mm"], lambda i, j: i < j))
        if keep_outs:
            worst = max(worst, shortfall(shadows + footings, keep_outs, 0.0, lambda i, j: True))
    return copies, used, worst


def main():
    bad = 0
    for file in sorted(pathlib.Path(sys.argv[1]).glob("*.json")):
        told = json.loads(file.read_text())
        copies, used, worst = judge(told)
        valid = worst <= TOLERANCE_MM
        bad += not valid
        print(f"{told['name']}: {copies} copies on {used} beds, worst breach {worst:.2e} mm, {'valid' if valid else 'NOT VALID'}")
    print(f"{bad} not valid")
    sys.exit(1 if bad else 0)


main()
