"""Many small jobs of shapes drawn by chance, with holes and without: each one placed, packed and topped up, and every
clearance measured by shapely, see plates.py."""

import json

import numpy as np
import pytest
import shapely
import trimesh

import program
from plates import judge

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


@pytest.mark.parametrize("case", range(CASES))
def test_every_clearance_holds(case, tmp_path):
    rng = np.random.default_rng(2026 + case)
    words = ["--gap", round(rng.uniform(0, 5), 2), "--edge", round(rng.uniform(0, 3), 2)]
    words += ["--footing-gap", round(rng.uniform(0, 1), 2), "--footing", ["bare", "brim:3", "raft:2"][case % 3]]
    words += ["--round", "150x100"] if case % 4 == 3 else ["--bed", "160x120x100"]
    for i in range(3):
        mesh = trimesh.creation.extrude_polygon(drawn(rng, rng.uniform(6, 22)), rng.uniform(2, 30), engine="earcut")
        file = tmp_path / f"part-{i}.stl"
        file.write_bytes(trimesh.exchange.stl.export_stl(mesh))
        words += ["--part", f"{file}:{int(rng.integers(2, 9))}"]
    job = tmp_path / "job.stonehand"
    program.run("new", "-o", job, *words, status=(0, 1))
    counts = [judge(program.export(job, tmp_path / "placed", status=(0, 1))[0], job)]
    turns = ["free", "45", "90", "180", "none"][case % 5]
    for move in ("pack", "top-up"):
        kept = tmp_path / f"{move}.stonehand"
        told = program.run(move, job, "-o", kept, "--rounds", 2, "--seed", case, "--turns", turns, "--json", status=(0, 1))
        counts.append(judge(json.loads(told), kept))
        job = kept
    placed, packed, topped = counts
    assert placed == packed <= topped
