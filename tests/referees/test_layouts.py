"""Plates after Pack and Top up: every clearance measured again, see plates.py."""

import json
from copy import deepcopy

import numpy as np
import pytest
import shapely

import program
import shapes
from conftest import JOBS
from plates import bounds_held, every, is_round, judge


@pytest.mark.parametrize("move", ["placed", "pack", "top-up"])
@pytest.mark.parametrize("name", JOBS)
def test_every_clearance_holds(results, name, move):
    """shapely: gaps, footings, contacts, keep-outs, edges, heights, and what the file says of each copy."""
    placements, _, job = results[name, move]
    assert placements["unit"] == "mm" and placements["origin"] == "front-left"
    assert judge(placements, job) > 0


@pytest.mark.parametrize("name", JOBS)
def test_pack_keeps_the_order_and_top_up_only_adds(results, name):
    """Counting."""

    def count(move):
        counts = {}
        for plate in results[name, move][0]["plates"]:
            for copy in plate["copies"]:
                counts[copy["part"]] = counts.get(copy["part"], 0) + 1
        return counts

    placed, packed, topped = count("placed"), count("pack"), count("top-up")
    assert packed == placed
    assert all(topped.get(part, 0) >= n for part, n in packed.items())
    assert len(results[name, "pack"][0]["plates"]) <= len(results[name, "placed"][0]["plates"])
    # What lay there before stays where it lay.
    before = {c["copy"]: c["matrix"] for p in results[name, "pack"][0]["plates"] for c in p["copies"]}
    after = {c["copy"]: c["matrix"] for p in results[name, "top-up"][0]["plates"] for c in p["copies"]}
    for copy, matrix in before.items():
        assert np.abs(np.array(after[copy]) - matrix).max() <= 1e-9, copy


def test_top_up_adds_something(results):
    """The L on its own bed leaves room: eleven more than nothing."""
    counts = {m: sum(len(p["copies"]) for p in results["edge-to-edge", m][0]["plates"]) for m in ("pack", "top-up")}
    assert counts["top-up"] > counts["pack"]


def test_the_sample_order_is_the_whole_order(results):
    """About 60 parts over two machines, one of them round-bedded, with keep-outs."""
    placements = results["order", "pack"][0]
    copies = [c for p in placements["plates"] for c in p["copies"]]
    assert 55 <= len(copies) <= 70
    assert {p["machine"] for p in placements["plates"]} == {"Bench 1", "Bench 2"}
    assert any(is_round(p["bed"]) for p in placements["plates"])
    assert any(p["bed"]["keep_outs"] for p in placements["plates"])
    assert placements["unplaced"] == []


@pytest.mark.parametrize("name", ["order", "rectangle"])
def test_bounds_are_never_beaten(jobs, name):
    """A bound that a layout beats is no bound: Pack tells one on plates, Top up one on the copies of each plate."""
    for move in ("pack", "top-up"):
        words = ["-o", jobs[name].with_name(f"{name}-bound.stonehand"), "--rounds", 0, "--seed", 1, "--json"]
        told = json.loads(program.run(move, jobs[name], *words, status=(0, 1)))
        assert bounds_held(told) == (1 if move == "pack" else len(told["plates"]))


def test_the_bound_of_one_part_is_on_its_own_copies(results):
    """After Top up with one part, a plate's bound is on the copies of that part, however many others lie there."""
    _, _, job = results["rectangle", "pack"]
    others = 0
    for part in (p["name"] for p in json.loads(job.read_text(encoding="utf-8"))["parts"]):
        words = ["-o", job.with_name("one-part.stonehand"), "--part", part, "--rounds", 0, "--seed", 1, "--json"]
        told = json.loads(program.run("top-up", job, *words, status=(0, 1)))
        assert bounds_held(told, part) == len(told["plates"]), part
        others += sum(len(p["copies"]) > p["bound"]["value"] for p in told["plates"])
    # Held against all copies of a plate, some of these bounds would be beaten: the others do not count.
    assert others > 0


@pytest.mark.parametrize("breach", ["at the edge", "on a keep-out", "and .* on plate"])
def test_the_referee_sees_a_copy_out_of_place(results, breach):
    """A copy moved by hand: 1 mm over the edge, 1 mm onto the first keep-out, onto another copy."""
    told, _, job = results["order", "pack"]
    told = deepcopy(told)
    plate = next(p for p in told["plates"] if not is_round(p["bed"]) and len(p["copies"]) > 1)
    moved, other = plate["copies"][:2]
    x0, y0, _, y1 = shapes.polygons(moved["shadow"]).union(shapes.polygons(moved["footing_outline"])).bounds
    clip = shapely.Polygon(plate["bed"]["keep_outs"][0]).bounds
    dx, dy = {
        "at the edge": (-1 - x0, 0),
        "on a keep-out": (clip[2] - 1 - x0, (clip[1] + clip[3] - y0 - y1) / 2),
        "and .* on plate": (other["x_mm"] - moved["x_mm"], other["y_mm"] - moved["y_mm"]),
    }[breach]
    assert judge(told, job) > 0
    moved["x_mm"] += dx
    moved["y_mm"] += dy
    moved["matrix"][9] += dx
    moved["matrix"][10] += dy
    for polygon in moved["shadow"] + moved["footing_outline"]:
        for ring in [polygon["outer"], *polygon["holes"]]:
            ring[:] = [[x + dx, y + dy] for x, y in ring]
    with pytest.raises(AssertionError, match=breach):
        judge(told, job)


def test_same_seed_same_rounds_same_bytes(jobs, tmp_path):
    """Comparison of two runs, and of what one run tells and what it keeps."""
    job = jobs["rectangle"]
    told = []
    for i in range(2):
        kept = job.with_name(f"again-{i}.stonehand")
        told.append((program.run("pack", job, "-o", kept, "--rounds", 6, "--seed", 3, "--json", status=(0, 1)), kept.read_bytes()))
    assert told[0] == told[1]
    other, _ = program.export(kept, tmp_path / "out", status=(0, 1))
    # Only an export has a folder to see the mesh files from.
    shown = json.loads(told[0][0])["plates"]
    for copy in (c for plate in shown + other["plates"] for c in plate["copies"]):
        copy.pop("file_from_here")
    assert shown == other["plates"]


@pytest.mark.parametrize("turns,step", [("none", 360), ("180", 180), ("90", 90), ("45", 45)])
def test_turns_are_kept_to(jobs, turns, step):
    """Remainders."""
    job = jobs["rectangle"]
    kept = job.with_name(f"turns-{turns}.stonehand")
    told = json.loads(program.run("pack", job, "-o", kept, "--rounds", 4, "--seed", 2, "--turns", turns, "--more-plates", "--json", status=(0, 1)))
    assert judge(told, kept) > 0
    for plate in told["plates"]:
        for copy in plate["copies"]:
            off = copy["rotation_deg"] % step
            assert min(off, step - off) <= 1e-9, copy["copy"]


def test_locked_copies_stay(jobs):
    """Comparison of matrices before and after."""
    job = jobs["rectangle"]
    text = json.loads(job.read_text(encoding="utf-8"))
    marked = [c for c in every(text) if c["number"] in (1, 2)]
    assert marked
    for copy in marked:
        copy["locked"] = True
    locked = job.with_name("locked.stonehand")
    locked.write_text(json.dumps(text), encoding="utf-8")
    kept = job.with_name("locked-packed.stonehand")
    told = json.loads(program.run("pack", locked, "-o", kept, "--rounds", 6, "--seed", 5, "--json", status=(0, 1)))
    assert judge(told, kept) > 0
    before, _ = program.export(locked, job.parent / "locked-before", status=(0, 1))
    before = {c["copy"]: c for p in before["plates"] for c in p["copies"]}
    held = [c for p in told["plates"] for c in p["copies"] if c["locked"]]
    assert len(held) == len(marked)
    for copy in held:
        assert copy["matrix"] == before[copy["copy"]]["matrix"]
