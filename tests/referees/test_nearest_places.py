"""The nearest free place for copies let go on others, worked out again by shapely from the outlines alone.

A test of the program keeps its cases and its answers in nearest_places.json (src/packing/tests/nearest_cases.rs). Here the moves
that are forbidden by one pair of copies are the Minkowski sum of one outline and the other's mirror image, grown by the gap:
the union of the hulls of sums of triangles. What the bed leaves of all moves is free; the nearest of it is measured."""

import json
import pathlib

import numpy as np
import pytest
import shapely
import trimesh
from shapely import affinity

CASES = json.loads(pathlib.Path(__file__).with_name("nearest_places.json").read_text(encoding="utf-8"))
# The program draws the arcs of a gap outside the true ones by up to 0.01 mm, which a corner may lengthen; shapely's lie inside.
LONGER_MM = 0.03
SHORTER_MM = 1e-3
MISSING_MM = 0.03


def placed(ring, copy):
    turned = affinity.rotate(shapely.Polygon(ring), copy["turn_rad"], origin=(0, 0), use_radians=True)
    return affinity.translate(turned, copy["x"], copy["y"])


def triangles(polygon):
    points, faces = trimesh.creation.triangulate_polygon(polygon, engine="earcut")
    return [np.asarray(points)[f] for f in faces]


def meeting(still, moving, gap):
    """Moves of `moving` after which it is nearer to `still` than the gap."""
    parts = [
        shapely.MultiPoint((a[:, None] - b[None, :]).reshape(-1, 2)).convex_hull for a in triangles(still) for b in triangles(moving)
    ]
    union = shapely.union_all([p.buffer(1e-9) for p in parts])
    return union.buffer(gap, quad_segs=64) if gap else union


def free_moves(case):
    rings = case["shapes"]
    x0, y0, x1, y1 = shapely.Polygon(case["room"]).bounds
    free = None
    for copy in case["moved"]:
        moving = placed(rings[copy["shape"]], copy)
        a0, b0, a1, b1 = moving.bounds
        within = shapely.box(x0 - a0, y0 - b0, x1 - a1, y1 - b1)
        taken = [meeting(placed(rings[f["shape"]], f), moving, case["gap_mm"]) for f in case["fixed"]]
        taken.append(meeting(shapely.Polygon(case["keep_out"]), moving, 0))
        left = within.difference(shapely.union_all(taken))
        free = left if free is None else free.intersection(left)
    return free


@pytest.mark.parametrize("number", range(len(CASES)))
def test_no_free_place_is_nearer(number):
    case = CASES[number]
    free = free_moves(case)
    if case["by"] is None:
        # Only what is narrower than the program's arcs may be left.
        assert free.buffer(-MISSING_MM).is_empty
        return
    by = shapely.Point(case["by"])
    # Free itself, and as near as can be.
    assert free.distance(by) <= SHORTER_MM
    nearest = free.buffer(-MISSING_MM / 3).distance(shapely.Point(0, 0)) if not free.contains(shapely.Point(0, 0)) else 0.0
    assert by.distance(shapely.Point(0, 0)) <= nearest + LONGER_MM


def test_the_cases_are_worth_asking():
    """Counting: most have a place, some a far one."""
    far = [np.hypot(*c["by"]) for c in CASES if c["by"]]
    assert len(far) >= 20 and sum(d > 10 for d in far) >= 5 and sum(len(c["moved"]) > 1 for c in CASES) >= 10


def test_the_referee_sees_a_place_that_is_too_far():
    """A place 0.5 mm farther out than need be is refused."""
    case = next(c for c in CASES if c["by"] and np.hypot(*c["by"]) > 5)
    nearest = free_moves(case).distance(shapely.Point(0, 0))
    assert np.hypot(*case["by"]) + 0.5 > nearest + LONGER_MM
    assert np.hypot(*case["by"]) <= nearest + LONGER_MM
