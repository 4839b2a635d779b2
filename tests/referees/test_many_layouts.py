"""Many small jobs of shapes drawn by chance, with holes and without: each one placed, packed and topped up, most of them
with keep-outs, locked copies and footings that may merge, and every clearance measured by shapely, see plates.py."""

import json

import numpy as np
import pytest
import shapely
import shapely.affinity
import trimesh

import program
import shapes
from plates import bounds_held, every, judge

CASES = 20


def drawn(rng, reach):
    """A star-shaped polygon about `reach` mm from its middle to its corners, every second one with a hole."""
    corners = int(rng.integers(3, 11))
    turns = (np.arange(corners) + rng.uniform(-0.3, 0.3, corners)) * 2 * np.pi / corners
    radii = rng.uniform(0.45, 1.0, corners) * reach
    outline = shapely.Polygon(np.column_stack([radii * np.cos(turns), radii * np.sin(turns)]))
    if rng.random() < 0.5:
        hole = shapely.Point(0, 0).buffer(0.3 * radii.min(), quad_segs=4)
        outline = outline.difference(hole)
    return outline


def kept_free(rng):
    """A clip at the front edge of the bed, and a star somewhere on it."""
    left, depth = rng.uniform(20, 90), rng.uniform(4, 12)
    star = shapely.affinity.translate(drawn(rng, rng.uniform(6, 16)), rng.uniform(30, 110), rng.uniform(40, 90))
    areas = shapely.box(left, -1, left + rng.uniform(8, 25), depth), shapely.Polygon(star.exterior)
    return [shapely.set_precision(a, 1e-3) for a in areas]


def restrict(job, placements, keep_outs, locks, merge):
    """Writes into the job: keep-outs, whether footings may merge, and locks on up to so many copies that lie clear of the
    keep-outs. Returns the matrices of what is locked."""
    text = json.loads(job.read_text(encoding="utf-8"))
    text["machines"][0]["keep_outs"] = [
        {"name": f"area {i}", "outline": [list(p) for p in k.exterior.coords[:-1]]} for i, k in enumerate(keep_outs)
    ]
    text["margins"]["footings_may_merge"] = merge
    letters = {p["id"]: p["letter"] for p in text["parts"]}
    told = {c["copy"]: c for p in placements["plates"] for c in p["copies"]}
    held = {}
    for copy in list(every(text["plates"]))[::2]:
        if len(held) == locks:
            break
        name = f"{letters[copy['part']]} {copy['number']}"
        covered = shapes.polygons(told[name]["shadow"]) | shapes.polygons(told[name]["footing_outline"])
        if not any(covered.intersects(k) for k in keep_outs):
            copy["locked"] = True
            held[name] = told[name]["matrix"]
    job.write_text(json.dumps(text), encoding="utf-8")
    return held


def written(mesh, file):
    file.write_bytes(trimesh.exchange.stl.export_stl(mesh))
    return file


@pytest.mark.parametrize("case", range(CASES))
def test_every_clearance_holds(case, tmp_path):
    rng = np.random.default_rng(2026 + case)
    words = ["--gap", round(rng.uniform(0, 5), 2), "--edge", round(rng.uniform(0, 3), 2)]
    words += ["--footing-gap", round(rng.uniform(0, 1), 2), "--footing", ["bare", "brim:3", "raft:2"][case % 3]]
    words += ["--round", "150x100"] if case % 4 == 3 else ["--bed", "160x120x100"]
    for i in range(3):
        mesh = trimesh.creation.extrude_polygon(drawn(rng, rng.uniform(6, 22)), rng.uniform(2, 30), engine="earcut")
        file = written(mesh, tmp_path / f"part-{i}.stl")
        words += ["--part", f"{file}:{int(rng.integers(2, 9))}"]
    job = tmp_path / "job.stonehand"
    program.run("new", "-o", job, *words, status=(0, 1))
    placements, _ = program.export(job, tmp_path / "placed", status=(0, 1))
    counts = [judge(placements, job)]
    keep_outs = kept_free(rng) if case % 2 else []
    locks = [2, 0, 3, 1, 4][case % 5]
    stay = restrict(job, placements, keep_outs, locks, merge=case % 4 >= 2)
    assert len(stay) == locks
    turns = ["free", "45", "90", "180", "none"][case % 5]
    for move in ("pack", "top-up"):
        kept = tmp_path / f"{move}.stonehand"
        # Nothing is taken off a plate: what does not fit any more goes on a further one, and copies stay where told to.
        words = ("--more-plates",) if move == "pack" else ("--keep",)
        words += ("--rounds", 2, "--seed", case, "--turns", turns, "--json")
        told = program.run(move, job, "-o", kept, *words, status=(0, 1))
        told = json.loads(told)
        counts.append(judge(told, kept))
        assert bounds_held(told) > 0 or told["unplaced"]
        assert [len(p["bed"]["keep_outs"]) for p in told["plates"]] == [len(keep_outs)] * len(told["plates"])
        assert told["margins"]["footings_may_merge"] == (case % 4 >= 2)
        # What was locked, or there before Top up, lies where it lay.
        matrices = {c["copy"]: c["matrix"] for p in told["plates"] for c in p["copies"]}
        for name, matrix in stay.items():
            assert np.abs(np.array(matrices[name]) - matrix).max() <= 1e-9, f"{move}: {name}"
        if move == "pack":
            left_over = sum(u["count"] for u in told["unplaced"])
            stay = matrices
        job = kept
    placed, packed, topped = counts
    assert placed == packed + left_over and packed <= topped


@pytest.mark.parametrize("merge", [False, True])
def test_footings_share_ground_only_where_they_may(merge, tmp_path):
    """Columns of 8 mm with brims of 4 mm, worked by hand: apart each takes 16 mm, six in a row on 101 mm; merged 12 mm, for
    a brim keeps off the next contact, and 4 mm at both ends: eight in a row."""
    column = written(trimesh.creation.box([8.0, 8.0, 10.0]), tmp_path / "column.stl")
    job, kept = tmp_path / "job.stonehand", tmp_path / "topped.stonehand"
    program.run("new", "-o", job, "--bed", "101x101x50", "--gap", 2, "--footing", "brim:4", "--part", f"{column}:1")
    restrict(job, {"plates": []}, [], 0, merge)
    told = json.loads(program.run("top-up", job, "-o", kept, "--rounds", 2, "--seed", 1, "--json"))
    count = judge(told, kept)
    footings = [shapes.polygons(c["footing_outline"]) for c in told["plates"][0]["copies"]]
    shared = sum(f.area for f in footings) - shapely.union_all(footings).area
    assert (count >= 8 * 8 and shared > 1000) if merge else (count >= 6 * 6 and shared < 1e-3)


@pytest.mark.parametrize("merge,least", [(False, 24.0), (True, 16.0)])
@pytest.mark.parametrize("spare,plates", [(0.06, 1), (-0.04, 2)])
def test_a_brimmed_peg_in_a_brimmed_frame(merge, least, spare, plates, tmp_path):
    """Worked by hand: the peg's 10, twice its brim's 3, the footing gap's 1 and the frame's brim's 3 make a hole of 24, which
    takes the peg; one 0.1 mm smaller does not. Where brims may merge the peg's still keeps off the frame: 16. The bed has
    no room beside the frame."""
    hole = least + spare
    frame = shapely.box(0, 0, hole + 12, hole + 12) - shapely.box(6, 6, hole + 6, hole + 6)
    bodies = trimesh.creation.extrude_polygon(frame, 5.0, engine="earcut"), trimesh.creation.box([10.0, 10.0, 8.0])
    parts = [f"{written(mesh, tmp_path / name)}:1" for mesh, name in zip(bodies, ("frame.stl", "peg.stl"), strict=True)]
    side = round(hole + 12 + 2 * 3 + 0.1, 3)
    job, kept = tmp_path / "job.stonehand", tmp_path / "packed.stonehand"
    words = ["--gap", 2, "--footing-gap", 1, "--footing", "brim:3", "--part", parts[0], "--part", parts[1]]
    program.run("new", "-o", job, "--bed", f"{side}x{side}x50", *words)
    restrict(job, {"plates": []}, [], 0, merge)
    told = json.loads(program.run("pack", job, "-o", kept, "--rounds", 8, "--seed", 1, "--json"))
    assert judge(told, kept) == 2
    assert len([p for p in told["plates"] if p["copies"]]) == plates
