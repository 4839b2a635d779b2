"""Plates as placements.json tells them, measured: shadows made anew from the meshes by trimesh, distances by shapely."""

import json

import numpy as np
import pytest
import shapely
import shapely.affinity

import shapes

# A placement is written to 1e-6 mm; two of them and two outlines meet.
SLACK = 5e-6
FIRST_LAYER = 0.2

_objects = {}


def mesh_of(copy, job_file):
    """A copy's mesh in the file's own coordinates, as trimesh reads it: found by its file's hash."""
    path = (job_file.parent / copy["file"]).resolve()
    assert path.is_file(), path
    assert shapes.sha256(path) == copy["sha256"]
    if path not in _objects:
        _objects[path] = shapes.read(path)
    objects = _objects[path]
    if len(objects) == 1:
        return objects[0].mesh
    [there] = [o for o in objects if o.name == copy["object"]]
    return there.mesh


_outlines = {}


def without_slivers(polygon):
    """A union of thousands of triangles leaves holes of no area between them, on which shapely's buffer fails ("invalid
    value"). Holes under 1e-9 mm² are rounding; everything else stays, and no check is any looser for it."""
    polygons = [
        shapely.Polygon(p.exterior, [h for h in p.interiors if shapely.Polygon(h).area >= 1e-9])
        for p in getattr(polygon, "geoms", [polygon])
    ]
    clean = shapely.union_all(polygons)
    assert abs(clean.area - polygon.area) <= 1e-7
    return clean


def outlines(copy, job_file):
    """Shadow and contact in the file's coordinates, and the mesh; only turns about Z are asked of them here."""
    mesh = mesh_of(copy, job_file)
    if id(mesh) not in _outlines:
        _outlines[id(mesh)] = (
            without_slivers(shapes.in_plan(mesh.triangles)),
            shapes.section(mesh, mesh.bounds[0, 2] + FIRST_LAYER / 2),
        )
    return mesh, *_outlines[id(mesh)]


def moved(polygon, matrix):
    """A polygon in plan under a copy's matrix (which must keep Z upright)."""
    m = matrix
    assert abs(m[2]) + abs(m[5]) + abs(m[6]) + abs(m[7]) <= 1e-12
    return shapely.affinity.affine_transform(polygon, [m[0], m[3], m[1], m[4], m[9], m[10]])


def rules(placements, job_file):
    """Margins, and machines by name, from the job itself; placements.json must tell the same."""
    job = json.loads(job_file.read_text(encoding="utf-8"))
    assert placements["margins"] == job["margins"]
    machines = {m["name"]: m for m in job["machines"]}
    assert len(machines) == len(job["machines"])
    for plate in placements["plates"]:
        machine, bed = machines[plate["machine"]], plate["bed"]
        shape = machine["bed"]
        assert bed["height_mm"] == machine["height_mm"]
        if shape["kind"] == "round":
            assert is_round(bed) and bed["width_mm"] == bed["depth_mm"] == shape["diameter_mm"]
        elif shape["kind"] == "rectangle":
            size = shape["width_mm"], shape["depth_mm"]
            assert (bed["width_mm"], bed["depth_mm"]) == size
            assert shapely.Polygon(bed["outline"]).equals(shapely.box(0, 0, *size))
        assert bed["keep_outs"] == [k["outline"] for k in machine.get("keep_outs", [])]
    return job["margins"], machines


def judge(placements, job_file):
    """Every rule of a plate, by measurement. Returns the number of copies."""
    margins, machines = rules(placements, job_file)
    total = 0
    for plate in placements["plates"]:
        bed = plate["bed"]
        outline = shapely.Polygon(bed["outline"])
        assert outline.is_valid
        keep_outs = [shapely.Polygon(k["outline"]) for k in machines[plate["machine"]].get("keep_outs", [])]
        shadows, footings, contacts, names = [], [], [], []
        for copy in plate["copies"]:
            mesh, shadow, contact = outlines(copy, job_file)
            m = np.array(copy["matrix"])
            linear = m[:9].reshape(3, 3)
            # A similarity that keeps the hand, or mirrors where it says so.
            factor = copy["scale"]
            assert copy["file_unit"] == "millimeter"
            assert np.abs(linear @ linear.T - factor**2 * np.eye(3)).max() <= 1e-9
            assert (np.linalg.det(linear) < 0) == copy["mirrored"]
            turn = np.deg2rad(copy["rotation_deg"])
            if not copy["mirrored"] and copy["pose"] == [1, 0, 0, 0, 1, 0, 0, 0, 1]:
                assert np.abs(linear[0, :2] / factor - [np.cos(turn), np.sin(turn)]).max() <= 1e-9
            # On the bed, and under the height limit.
            low, high = mesh.bounds[:, 2] * factor + m[11]
            assert abs(low) <= 1e-6 and high <= bed["height_mm"] + 1e-6
            # The pose's origin, the middle of the box in plan, lands where it says.
            middle = np.append(mesh.bounds.mean(axis=0), 1.0) @ np.vstack([linear, m[9:]])
            assert np.abs(middle[:2] - [copy["x_mm"], copy["y_mm"]]).max() <= 1e-6
            shadow, contact = moved(shadow, m), moved(contact, m)
            told = shapes.polygons(copy["shadow"])
            tolerance = margins["tolerance_mm"]
            # The shadow told is the true one, and errs outward within the tolerance.
            assert shadow.difference(told.buffer(2e-6)).area <= 1e-5
            assert told.difference(shadow.buffer(tolerance + 2e-6)).area <= 1e-5
            footing = shapes.polygons(copy["footing_outline"])
            width = copy["footing"]["width_mm"]
            if width == 0:
                footing = contact
            else:
                assert contact.buffer(width, quad_segs=90).difference(footing.buffer(1e-3)).area <= 1e-4
                assert footing.difference(contact.buffer(width + tolerance + 1e-3, quad_segs=90)).area <= 1e-4
            shadows.append(shadow)
            footings.append(footing)
            contacts.append(contact)
            names.append(copy["copy"])
        assert len(set(names)) == len(names)
        # The job's or the machine's own, whichever is larger.
        edge = max(margins["edge_mm"], machines[plate["machine"]].get("edge_mm", 0))
        for i, name in enumerate(names):
            for shape in (shadows[i], footings[i]):
                assert outside(shape, bed, outline) <= -edge + SLACK, f"{name} at the edge of plate {plate['plate']}"
                for keep_out in keep_outs:
                    assert shape.intersection(keep_out).area <= 1e-4, f"{name} on a keep-out"
        tree = shapely.STRtree(shadows)
        reach = margins["gap_mm"] + 2 * max((c["footing"]["width_mm"] for c in plate["copies"]), default=0) + 1
        for i, shadow in enumerate(shadows):
            for j in tree.query(shadow.buffer(reach).envelope):
                if j <= i:
                    continue
                pair = f"{names[i]} and {names[j]} on plate {plate['plate']}"
                assert shadow.distance(shadows[j]) >= margins["gap_mm"] - SLACK, pair
                for a, b in ((i, j), (j, i)):
                    assert footings[a].intersection(contacts[b]).area <= 1e-4, pair
                if not margins["footings_may_merge"]:
                    least = margins["footing_gap_mm"]
                    assert footings[i].distance(footings[j]) >= least - SLACK, pair
                    assert footings[i].intersection(footings[j]).area <= 1e-4, pair
        if plate["copies"]:
            assert plate["density"] == pytest.approx(sum(s.area for s in shadows) / bed_area(bed, outline), rel=2e-3)
            assert plate["density"] <= 1
        total += len(names)
    return total


def bounds_held(told, part=None):
    """Counts the bounds in the answer of Pack or Top up and holds the layout against them: plates in use, and the copies on
    each plate, those of the part topped up or, after Top up with the whole order, all of them."""
    used = [p for p in told["plates"] if p["copies"]]
    held = 0
    if told["plates_bound"] and not told["unplaced"]:
        assert len(used) >= told["plates_bound"]["value"]
        held += 1
    for plate in used:
        if plate["bound"]:
            count = sum(part in (None, c["part"]) for c in plate["copies"])
            assert count <= plate["bound"]["value"], f"plate {plate['plate']}"
            held += 1
    return held


def is_round(bed):
    """A bed told with many corners on a circle."""
    points = np.array(bed["outline"])
    r = bed["width_mm"] / 2
    return len(points) > 8 and np.abs(np.hypot(*(points - r).T) - r).max() <= 1e-6


def bed_area(bed, outline):
    return np.pi * (bed["width_mm"] / 2) ** 2 if is_round(bed) else outline.area


def outside(shape, bed, outline):
    """How far the farthest corner lies beyond the bed's edge, mm; negative inside. Exact for round beds and boxes."""
    points = shapely.get_coordinates(shape)
    if is_round(bed):
        r = bed["width_mm"] / 2
        return np.hypot(*(points - r).T).max() - r
    x0, y0, x1, y1 = outline.bounds
    if abs(outline.area - (x1 - x0) * (y1 - y0)) <= 1e-9:
        assert (x0, y0) == (0, 0)
        low, high = points.min(axis=0), points.max(axis=0)
        return max(x0 - low[0], y0 - low[1], high[0] - x1, high[1] - y1)
    inside = outline.covers(shape)
    return -outline.exterior.distance(shape) if inside else outline.exterior.hausdorff_distance(shape)


def every(value):
    """All copies in a job's JSON: objects with a number and a place."""
    if isinstance(value, dict):
        if {"number", "x_mm", "y_mm", "turn_deg"} <= value.keys():
            yield value
        for inner in value.values():
            yield from every(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from every(inner)
