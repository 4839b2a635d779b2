"""Estimates, as the command line tells them, against arithmetic and reference values."""

import json

import pytest
import trimesh

import program


def estimate(folder, name, *words):
    job = folder / f"{name}.stonehand"
    program.run("new", "-o", job, *words, status=(0, 1))
    return json.loads(program.run("estimate", job, "--json", status=(0, 1)))["plates"], job


def changed(job, name, **numbers):
    """A copy of a job beside it, these numbers changed wherever they stand in its machines, materials and recipes."""
    text = json.loads(job.read_text(encoding="utf-8"))
    for key, value in numbers.items():
        holders = [thing for kind in ("machines", "materials", "recipes") for thing in text[kind] if key in thing]
        assert holders, f"{key} is nowhere"
        for thing in holders:
            thing[key] = value
    new = job.with_name(f"{name}.stonehand")
    new.write_text(json.dumps(text), encoding="utf-8")
    return new


def told(job):
    """Its one plate's estimate."""
    [plate] = json.loads(program.run("estimate", job, "--json", status=(0, 1)))["plates"]
    return plate


@pytest.fixture(scope="module")
def columns(generated, tmp_path_factory):
    """Jobs of one slim column 6 × 6 × 20 on a plate, and of three."""
    folder = tmp_path_factory.mktemp("columns")
    words = ("--bed", "200x200x180", "--footing", "bare", "--part")
    _, one = estimate(folder, "one", *words, f"{generated['column']}:1")
    _, three = estimate(folder, "three", *words, f"{generated['column']}:3")
    return one, three


def test_items_and_layers_add_up(jobs):
    """Sums."""
    plates = json.loads(program.run("estimate", jobs["order"], "--json", status=(0, 1)))["plates"]
    assert plates
    for plate in plates:
        assert sum(plate["items"].values()) == pytest.approx(plate["time_s"], rel=1e-9)
        assert all(v >= 0 for v in plate["items"].values())
        layers = sum(layer["time_s"] for layer in plate["layers"])
        rest = plate["items"]["heat_up_s"] + plate["items"]["end_s"]
        assert layers + rest == pytest.approx(plate["time_s"], rel=0.02)
        heights = [layer["z_mm"] for layer in plate["layers"]]
        assert heights == sorted(set(heights))
        for layer in plate["layers"]:
            assert layer["time_s"] >= layer["natural_s"] - 1e-9
            if layer["headroom"] is not None:
                assert layer["headroom"] == pytest.approx(layer["natural_s"] / layer["minimum_s"], rel=1e-6)
            # What decides its time follows from its numbers.
            if layer["headroom"] is None or layer["headroom"] > 1 - 1e-9:
                assert layer["limited_by"] == "own-work"
            elif layer["time_s"] < layer["minimum_s"] - 1e-6:
                assert layer["limited_by"] == "least-speed"
            else:
                assert layer["limited_by"] in ("slowing", "waiting")
            # What is short of the minimum is served by slowing, or told.
            assert layer["time_s"] + layer["unserved_s"] >= (layer["minimum_s"] or 0) - 1e-6


def test_placements_tell_the_same_time(jobs, tmp_path):
    """An export's times, masses and items are those of the estimate, and add up."""
    plates = json.loads(program.run("estimate", jobs["order"], "--json", status=(0, 1)))["plates"]
    placements, _ = program.export(jobs["order"], tmp_path / "out", status=(0, 1))
    told = {plate["plate"]: plate for plate in placements["plates"]}
    assert plates
    for plate in plates:
        handed = told[plate["plate"]]
        for key in ("time_s", "mass_g"):
            assert handed[key] == pytest.approx(plate[key], rel=1e-9)
        assert handed["items"] == pytest.approx(plate["items"], rel=1e-9)
        assert sum(handed["items"].values()) == pytest.approx(handed["time_s"], rel=1e-9)


@pytest.mark.parametrize(
    ("density", "diameter", "metres"),
    [(1.24, 1.75, 335.28), (1.27, 1.75, 327.36), (1.04, 2.85, 150.73), (1.21, 2.85, 129.55)],
)
def test_mass_is_filament_times_density(columns, density, diameter, metres):
    """Reference: metres of filament in a kilogram, 1000/(ρ π d²/4) with ρ in g/cm³ and d in mm, worked by script."""
    for n, job in enumerate(columns):
        plate = told(changed(job, f"mass-{n}", density_g_cm3=density, filament_mm=diameter))
        assert plate["filament_mm"] > 50
        assert plate["filament_mm"] / plate["mass_g"] == pytest.approx(metres, rel=3e-5)


@pytest.mark.parametrize(
    ("film", "height", "minimum"), [(50, 0.2, 14.8652), (30, 0.2, 24.7753), (100, 0.2, 7.4326), (50, 0.1, 7.4326), (50, 0.3, 22.2978)]
)
def test_minimum_layer_time_from_the_material(columns, film, height, minimum):
    """t = (ρ c h / h_c) ln((T₀ − T_a)/(T_lim − T_a)): PLA (1.24 g/cm³, 1800 J/(kg K), laid at 210 °C, limit 60 °C) in air of 25 °C
    gives 8.928 ln(185/35) = 14.8652 s for 0.2 mm at 50 W/(m² K) (worked by hand); it is linear in h and inverse in h_c."""
    plate = told(
        changed(
            columns[0], "minimum", density_g_cm3=1.24, heat_capacity_j_kg_k=1800, layer_height_mm=height, film_w_m2_k=film,
            deposit_c=210, air_c=25, limit_c=60, floor={"kind": "material"},
        )
    )  # fmt: skip
    layers = plate["layers"][1:]
    assert len(layers) == {0.1: 198, 0.2: 99, 0.3: 66}[height]
    for layer in layers:
        assert layer["minimum_s"] == pytest.approx(minimum, abs=2e-4)


def test_three_slowed_copies_take_the_time_of_one(columns):
    """Common practice, no source: a small part, alone slowed by the minimum layer time, takes the same time as three of it
    but for first layers; a speed so low that slowing serves it all."""
    one, three = (told(changed(job, f"slow-{n}", least_mm_s=0.5)) for n, job in enumerate(columns))
    assert len(one["layers"]) == len(three["layers"]) == 100
    both = list(zip(one["layers"], three["layers"]))[1:]
    for a, b in both:
        assert a["natural_s"] < b["natural_s"] < a["minimum_s"] == b["minimum_s"]
        assert a["limited_by"] == b["limited_by"] == "slowing"
        assert a["time_s"] == pytest.approx(b["time_s"], rel=1e-9) == pytest.approx(a["minimum_s"], rel=1e-9)
    # Three times the beads, and two moves.
    assert 3 * 0.8 < both[5][1]["natural_s"] / both[5][0]["natural_s"] < 3 * 1.2
    first = three["layers"][0]["time_s"] - one["layers"][0]["time_s"]
    assert three["time_s"] - one["time_s"] == pytest.approx(first, abs=1e-6)


def test_what_the_least_speed_does_not_serve_is_told(columns):
    """One column alone cannot be slowed enough at the starter recipe's least speed: its layers lack time, and say how much."""
    one, three = (told(job) for job in columns)
    assert one["items"]["slowing_s"] > 0
    for a, b in list(zip(one["layers"], three["layers"]))[1:]:
        assert a["unserved_s"] > 0 and a["limited_by"] == "least-speed"
        assert a["time_s"] + a["unserved_s"] == pytest.approx(a["minimum_s"], rel=1e-9)
        assert b["time_s"] + b["unserved_s"] == pytest.approx(max(b["minimum_s"], b["natural_s"]), rel=1e-9)
        assert b["unserved_s"] < a["unserved_s"]


# name → (mesh, its narrow side across, mm)
SLIM = {"peg": (lambda: trimesh.creation.cylinder(1.5, 8, sections=48), 3.0), "column": (lambda: trimesh.creation.box((6, 6, 8)), 6.0)}


@pytest.mark.parametrize("name", SLIM)
def test_slowing_ends_at_the_number_that_plates_show(tmp_path, name):
    """Plates of n copies and of one fewer, as `new` lays them: at the number told no layer is short, below it some are. What is told on
    a plate of one copy alone may be one off, for it cannot know where others would lie."""
    mesh, job = tmp_path / "slim.stl", tmp_path / "job.stonehand"
    SLIM[name][0]().export(mesh)

    def plate_of(n):
        program.run("new", "-o", job, "--bed", "200x200x180", "--part", f"{mesh}:{n}", status=(0, 1))
        answer = json.loads(program.run("estimate", job, "--json", status=(0, 1)))
        [plate], [part] = answer["plates"], answer["parts"]
        short = sum(layer["headroom"] is not None and layer["headroom"] < 1 - 1e-9 for layer in plate["layers"])
        return short, part["copies_until_slowing_ends"]["every_layer"]

    told_alone = plate_of(1)[1]
    assert told_alone > 3
    served = next(n for n in range(max(2, told_alone - 3), told_alone + 4) if plate_of(n)[0] == 0)
    assert abs(served - told_alone) <= 1
    assert plate_of(served)[1] == served
    short, told_below = plate_of(served - 1)
    assert short > 0 and told_below == served
