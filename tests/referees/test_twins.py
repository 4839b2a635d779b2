"""Plates that two carriages print twice at once: shapely lays every copy and its twin from the matrices, trimesh weighs the bodies
that are handed over."""

import json
from copy import deepcopy

import numpy as np
import pytest
import shapely
import trimesh

import program
import shapes
from plates import SLACK, is_round, moved, outlines, outside, rules

STRIP = 14.0
PARTS = ["l_prism", "star_prism"]


def twinned(first, job, kind, keep_outs):
    """The job again with two carriages on every machine and every plate printed twice."""
    text = json.loads(first.read_text(encoding="utf-8"))
    for machine in text["machines"]:
        machine["carriages"] = {"strip_mm": STRIP}
        machine["keep_outs"] = [{"name": f"clip {i + 1}", "outline": k} for i, k in enumerate(keep_outs)]
    for plate in text["plates"]:
        plate["twin"] = kind
    job.write_text(json.dumps(text), encoding="utf-8")


def box(x0, y0, x1, y1):
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


SCENES = {
    "rectangle": (["--bed", "180x120x190", "--gap", "3", "--edge", "2", "--footing-gap", "1", "--footing", "brim:3"],
                  [box(0, 50, 12, 62), box(150, 20, 164, 34)]),
    "round": (["--round", "170x180", "--gap", "2.5", "--edge", "3", "--footing", "bare"], [box(120, 60, 130, 75)]),
}  # fmt: skip


@pytest.fixture(scope="module", params=[(s, k) for s in SCENES for k in ("shifted", "handed")], ids="-".join)
def twins(request, generated, tmp_path_factory):
    """(kind, placements, files with both halves, job) of a job packed and topped up."""
    scene, kind = request.param
    folder = tmp_path_factory.mktemp(f"twins-{scene}-{kind}")
    words, keep_outs = SCENES[scene]
    first, job, packed, topped = (folder / f"{n}.stonehand" for n in ("first", "twin", "packed", "topped"))
    parts = [w for name in PARTS for w in ("--part", f"{generated[name]}:3")]
    program.run("new", "-o", first, *words, *parts, status=(0, 1))
    twinned(first, job, kind, keep_outs)
    program.run("pack", job, "-o", packed, "--more-plates", "--rounds", 4, "--seed", 7, status=(0, 1))
    program.run("top-up", packed, "-o", topped, "--keep", "--rounds", 4, "--seed", 7, status=(0, 1))
    one, _ = program.export(topped, folder / "one", status=(0, 1))
    program.run("export", topped, "-o", folder / "both", "--both-halves", status=(0, 1))
    files = sorted(p for p in (folder / "both").rglob("*") if p.is_file())
    return kind, one, files, topped


def judge(kind, placements, job):
    """Every rule by measurement, copies and twins alike. Returns the number of copies."""
    margins, machines = rules(placements, job)
    total = 0
    for plate in placements["plates"]:
        machine, bed = machines[plate["machine"]], plate["bed"]
        assert plate["twin"] == {"kind": kind, "strip_mm": STRIP}
        outline = shapely.Polygon(bed["outline"])
        keep_outs = [shapely.Polygon(k["outline"]) for k in machine["keep_outs"]]
        edge = max(margins["edge_mm"], machine.get("edge_mm", 0))
        lying = []
        for copy in plate["copies"]:
            _, shadow, contact = outlines(copy, job)
            twin, own = copy["twin"], np.array(copy["matrix"])
            there = np.array(twin["matrix"])
            # Where the twin lies follows from the copy: half the width farther, or mirrored about the middle.
            wanted = own.copy()
            if kind == "shifted":
                wanted[9] += bed["width_mm"] / 2
            else:
                wanted[[0, 3, 6]] *= -1
                wanted[9] = bed["width_mm"] - wanted[9]
            assert np.abs(there - wanted).max() <= 1e-6, copy["copy"]
            assert twin["kind"] == kind
            assert (np.linalg.det(there[:9].reshape(3, 3)) < 0) == twin["mirrored"]
            assert twin["mirrored"] == (copy["mirrored"] != (kind == "handed"))
            place = wanted if kind == "shifted" else np.array([0] * 9 + [bed["width_mm"] - copy["x_mm"], copy["y_mm"], 0])
            if kind == "shifted":
                assert abs(twin["x_mm"] - copy["x_mm"] - bed["width_mm"] / 2) <= 1e-6 and twin["y_mm"] == copy["y_mm"]
                assert abs(twin["rotation_deg"] - copy["rotation_deg"]) <= 1e-9
            else:
                assert np.abs(place[9:11] - [twin["x_mm"], twin["y_mm"]]).max() <= 1e-6
                assert abs((twin["rotation_deg"] + copy["rotation_deg"]) % 360) <= 1e-9
            width = copy["footing"]["width_mm"]
            lying.append((copy["copy"], False, moved(shadow, own), moved(contact, own), width))
            lying.append((copy["copy"] + " twin", True, moved(shadow, there), moved(contact, there), width))
        for name, _, shadow, contact, width in lying:
            assert outside(shadow, bed, outline) <= -edge + SLACK, f"{name} at the edge"
            assert outside(contact, bed, outline) <= -edge - width + SLACK, f"{name} at the edge"
            for keep_out in keep_outs:
                assert shadow.intersection(keep_out).area <= 1e-4, f"{name} on a keep-out"
                assert contact.distance(keep_out) >= width - SLACK, f"{name} on a keep-out"
        for i, (name, _, shadow, contact, width) in enumerate(lying):
            for other, _, its_shadow, its_contact, its_width in lying[:i]:
                pair = f"{name} and {other} too near"
                assert shadow.distance(its_shadow) >= margins["gap_mm"] - SLACK, pair
                assert contact.distance(its_contact) >= width + its_width + margins["footing_gap_mm"] - SLACK, pair
        if lying:
            right = max(max(s.bounds[2], c.bounds[2] + w) for _, t, s, c, w in lying if not t)
            left = min(min(s.bounds[0], c.bounds[0] - w) for _, t, s, c, w in lying if t)
            assert left - right >= STRIP - SLACK, "in the strip"
        total += len(plate["copies"])
    return total


def test_every_clearance_holds_for_copies_and_twins(twins):
    """shapely: gaps, footings, edge, keep-outs and the strip, each copy and its twin laid from its matrix."""
    kind, placements, _, job = twins
    assert judge(kind, placements, job) >= 6
    if "round" in str(job):
        assert all(is_round(p["bed"]) for p in placements["plates"])


def test_check_finds_no_conflict(twins):
    """The program's own findings agree with the measurement."""
    _, _, _, job = twins
    found = json.loads(program.run("check", job, "--json", status=(0, 1)))["findings"]
    assert not [f for f in found if f["kind"] in ("overlap", "clearance", "off-bed", "keep-out") or (f["kind"] == "twin" and f["level"] == "stop")]


@pytest.mark.parametrize("breach", ["in the strip", "on a keep-out|too near|at the edge|in the strip"])
def test_the_referee_sees_a_copy_out_of_place(twins, breach):
    """A copy and its twin moved by hand: to the right until it is in the strip; half the bed up."""
    kind, placements, _, job = twins
    told = deepcopy(placements)
    plate = next(p for p in told["plates"] if p["copies"])
    right = max(plate["copies"], key=lambda c: max(p[0] for s in c["shadow"] for p in s["outer"]))
    dx, dy = (12.0, 0.0) if breach == "in the strip" else (0.0, plate["bed"]["depth_mm"] / 2)
    for place in (right, right["twin"]):
        way = dx * (-1 if place is right["twin"] and kind == "handed" else 1)
        place["x_mm"] += way
        place["y_mm"] += dy
        place["matrix"][9] += way
        place["matrix"][10] += dy
    # One rule or another is breached; on its way to the strip it may meet others first.
    with pytest.raises(AssertionError, match=f"{breach}|too near|at the edge|on a keep-out"):
        judge(kind, told, job)


def test_twins_count_and_cost_as_two(twins, tmp_path):
    """Two heads on one X axis print the same plate twice in the time of one (common practice, no source): the time is the single
    plate's, the filament double."""
    _, _, _, job = twins
    text = json.loads(job.read_text(encoding="utf-8"))
    for plate in text["plates"]:
        plate.pop("twin")
    once = job.with_name("once.stonehand")
    once.write_text(json.dumps(text), encoding="utf-8")
    twice, alone = (json.loads(program.run("estimate", j, "--json", status=(0, 1)))["plates"] for j in (job, once))
    assert len(twice) == len(alone) > 0
    for a, b in zip(twice, alone):
        assert a["time_s"] == pytest.approx(b["time_s"], rel=1e-12) and a["items"] == pytest.approx(b["items"])
        for key in ("filament_mm", "mass_g", "cost"):
            assert a[key] == pytest.approx(2 * b[key], rel=1e-12)
        assert a["twin"]["heads"] == 2 and a["twin"]["mass_g_each"] == pytest.approx(b["mass_g"])
        assert b["twin"] is None


def test_both_halves_are_sound_bodies(twins, generated):
    """trimesh: twice as many bodies as copies, each as large as its part and facing outward; mirrored ones are named so."""
    kind, placements, files, _ = twins
    plates = [p for p in placements["plates"] if p["copies"]]
    truth = {}
    for name in PARTS:
        [there] = shapes.read(generated[name])
        truth[shapes.sha256(generated[name])] = abs(there.mesh.volume)
    packages, stls = ([f for f in files if f.suffix == s] for s in (".3mf", ".stl"))
    assert len(packages) == len(stls) == len(plates)
    want = sorted(round(truth[c["sha256"]] * c["scale"] ** 3, 3) for p in plates for c in p["copies"] for _ in range(2))
    got, names = [], []
    for path in packages:
        scene = trimesh.load_scene(path)
        for node in scene.graph.nodes_geometry:
            matrix, geometry = scene.graph[node]
            body = scene.geometry[geometry].copy()
            assert body.volume > 0
            body.apply_transform(matrix)
            assert np.linalg.det(matrix[:3, :3]) > 0 and body.is_watertight
            got.append(round(body.volume, 3))
            names.append(node)
    assert sorted(got) == pytest.approx(want, rel=1e-5)
    for path in stls:
        bodies = trimesh.load_mesh(path).split(only_watertight=False)
        assert all(b.volume > 0 for b in bodies)
    joined = sum(trimesh.load_mesh(p).volume for p in stls)
    assert joined == pytest.approx(sum(want), rel=1e-5)
    words = "mirrored" if kind == "handed" else "twin"
    assert sum(f" {words}" in read_model(p) for p in packages) == len(packages)
    for plate in plates:
        for copy in plate["copies"]:
            assert any(f'name="{copy["copy"]} {words}"' in read_model(p) for p in packages), copy["copy"]


def read_model(path):
    """The model part of a package, as text."""
    import zipfile

    with zipfile.ZipFile(path) as z:
        return z.read("3D/3dmodel.model").decode("utf-8")


def test_the_schema_knows_twins(twins):
    """jsonschema: placements.json of a plate printed twice."""
    import jsonschema

    _, placements, _, _ = twins
    schema = json.loads((program.ROOT / "assets/placements.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(placements, schema)
    broken = deepcopy(placements)
    next(c for p in broken["plates"] for c in p["copies"])["twin"]["kind"] = "other"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, schema)


def test_deal_prints_left_and_right_at_once(generated, tmp_path):
    """Two heads print a part and its mirror image in the time of one (common practice, no source): of seven lefts and five rights some are dealt out
    as handed twins, each clearance measured by shapely; in all as many of each come off as are wanted."""
    first, job, done = (tmp_path / f"{n}.stonehand" for n in ("first", "hands", "dealt"))
    words, keep_outs = SCENES["rectangle"]
    program.run("new", "-o", first, *words, "--part", f"{generated['l_prism']}:7", status=(0, 1))
    twinned(first, job, None, keep_outs)
    text = json.loads(job.read_text(encoding="utf-8"))
    text["plates"] = []
    left = text["parts"][0]
    right = deepcopy(left) | {"id": text["next_id"], "letter": "B", "name": "right", "wanted": 5, "other_hand": left["id"]}
    right["pose"] = left["pose"] | {"mirrored": True}
    left["other_hand"] = right["id"]
    text["parts"].append(right)
    text["next_id"] += 1
    text["letters_given"] += 1
    job.write_text(json.dumps(text), encoding="utf-8")
    program.run("deal", job, "-o", done, "--rounds", 30, "--seed", 3, status=(0, 1))
    placements, _ = program.export(done, tmp_path / "out", status=(0, 1))
    of = {k: [p for p in placements["plates"] if p.get("twin") and p["twin"]["kind"] == k] for k in ("handed", "shifted")}
    assert of["handed"], placements
    for kind, plates in of.items():
        judge(kind, placements | {"plates": plates}, done)
    made = {}
    for plate in placements["plates"]:
        for copy in plate["copies"]:
            for mirrored in [copy["mirrored"]] + ([copy["twin"]["mirrored"]] if copy.get("twin") else []):
                made[mirrored] = made.get(mirrored, 0) + 1
    assert made == {False: 7, True: 5}
