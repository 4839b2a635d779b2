"""Estimates, as the command line tells them, against arithmetic and reference values."""

import json
import math

import pytest

import program


def estimate(folder, name, *words):
    job = folder / f"{name}.stonehand"
    program.run("new", "-o", job, *words, status=(0, 1))
    return json.loads(program.run("estimate", job, "--json", status=(0, 1)))["plates"], job


@pytest.fixture(scope="module")
def columns(generated, tmp_path_factory):
    """One slim column 6 × 6 × 20 on a plate, and three."""
    folder = tmp_path_factory.mktemp("columns")
    words = ("--bed", "200x200x180", "--footing", "bare", "--part")
    one, job = estimate(folder, "one", *words, f"{generated['column']}:1")
    three, _ = estimate(folder, "three", *words, f"{generated['column']}:3")
    assert len(one) == len(three) == 1
    return one[0], three[0], json.loads(job.read_text(encoding="utf-8"))


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


def test_mass_is_filament_times_density(columns):
    """Reference: 2.98255 g/m for 1.24 g/cm³ at 1.75 mm; in general ρ π d²/4."""
    one, three, job = columns
    density = job_value(job, "density_g_cm3")
    diameter = job_value(job, "filament_mm")
    per_mm = density / 1000 * math.pi * diameter**2 / 4
    if (density, diameter) == (1.24, 1.75):
        assert per_mm * 1000 == pytest.approx(2.98255, rel=1e-5)
    for plate in (one, three):
        assert plate["mass_g"] == pytest.approx(plate["filament_mm"] * per_mm, rel=1e-6)


def test_minimum_layer_time_from_the_material(columns):
    """t = (ρ c h / h_c) ln((T₀ − T_a)/(T_lim − T_a)), worked here from the job's own numbers; PLA at 0.2 mm with
    h_c 50 and air at 25 °C gives τ = 8.928 s and 8.928 ln(185/35) = 14.8652 s (worked by hand)."""
    one, _, job = columns
    keys = ("density_g_cm3", "heat_capacity_j_kg_k", "layer_height_mm", "film_w_m2_k", "deposit_c", "air_c", "limit_c")
    rho, c, h, film, t0, ta, tl = (job_value(job, k) for k in keys)
    minimum = rho * 1000 * c * h / 1000 / film * math.log((t0 - ta) / (tl - ta))
    if (rho, c, h, film, t0, ta, tl) == (1.24, 1800, 0.2, 50, 210, 25, 60):
        assert minimum == pytest.approx(14.8652, abs=5e-5)
    for layer in one["layers"][1:]:
        assert layer["minimum_s"] == pytest.approx(minimum, rel=1e-6)


def test_three_slowed_copies_take_the_time_of_one(columns):
    """Common practice, no source: a small part, alone slowed by the minimum layer time, takes the same time as three of it
    but for travel and first layers."""
    one, three, _ = columns
    assert one["items"]["slowing_s"] > 0
    both = [(a, b) for a, b in zip(one["layers"][2:], three["layers"][2:]) if a["unserved_s"] == b["unserved_s"] == 0]
    slowed = [(a, b) for a, b in both if b["natural_s"] < b["minimum_s"]]
    for a, b in slowed:
        assert a["time_s"] == pytest.approx(b["time_s"], rel=1e-6)
    # Where one alone cannot be slowed enough, it is told; then three are no slower than the minimum or their own time.
    for a, b in zip(one["layers"][2:], three["layers"][2:]):
        assert b["time_s"] <= max(b["minimum_s"], b["natural_s"]) + 1e-6
        assert a["time_s"] <= a["minimum_s"] + 1e-6 or a["natural_s"] > a["minimum_s"]
    assert three["layers"][5]["natural_s"] < 3.6 * one["layers"][5]["natural_s"]
    served = one["time_s"] + sum(layer["unserved_s"] for layer in one["layers"])
    first = three["layers"][0]["time_s"] - one["layers"][0]["time_s"]
    travel = three["items"]["travel_s"] + three["items"]["retraction_s"]
    over = sum(max(0.0, b["natural_s"] - b["minimum_s"]) for b in three["layers"])
    assert three["time_s"] <= served + max(0.0, first) + travel + over


def job_value(value, key):
    """The first value of a key in a job's JSON."""
    if isinstance(value, dict):
        if key in value:
            return value[key]
        value = list(value.values())
    if isinstance(value, list):
        for inner in value:
            found = job_value(inner, key)
            if found is not None:
                return found
    return None
