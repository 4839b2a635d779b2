"""Paths of single parts, as `estimate --json` tells them, against shapely's insets and differences and scipy's integrals."""

import json
import math

import pytest
import scipy.integrate
import shapely
import trimesh

import program
import shapes

LAYER, BEAD, WALLS, SOLID = 0.2, 0.45, 2, 3
NAMES = ("torus", "box", "l_prism", "cavity", "corner-bracket.stl", "jar-lid-adapter.stl")
# Two walls fill most of it: walls only.
NARROW = "queen-cage-peg.stl"
# Wall loops alone are judged of these.
WALLED = ("entrance-gate.stl", "feeder-float.stl", "feeder-funnel.stl", "frame-spacer.obj", "sphere", "star_prism")
# Corners keep sharp down to 30° between the edges: 1 / sin 15°.
MITRE = 1 / math.sin(math.radians(15))


def laid(folder, name, mesh, **changes):
    """The layers of one copy and of its plate, in a recipe with these numbers."""
    job = folder / f"{name}.stonehand"
    program.run("new", "-o", job, "--bed", "300x300x300", "--footing", "bare", "--part", f"{mesh}:1", status=(0, 1))
    text = json.loads(job.read_text(encoding="utf-8"))
    numbers = {"layer_height_mm": LAYER, "first_layer_mm": LAYER, "bead_width_mm": BEAD, "walls": WALLS,
               "solid_top": SOLID, "solid_bottom": SOLID, "infill": 0.15}
    for recipe in text["recipes"]:
        assert set(numbers | changes) <= set(recipe)
        recipe |= numbers | changes
    job.write_text(json.dumps(text), encoding="utf-8")
    told = json.loads(program.run("estimate", job, "--json", status=(0, 1)))
    [part], [plate] = told["parts"], told["plates"]
    return part["layers"], plate["layers"]


def inset(region, by):
    return region.buffer(-by, join_style="mitre", mitre_limit=MITRE)


@pytest.fixture(scope="module")
def parts(files, tmp_path_factory):
    """name → (its layers, its sections by trimesh and shapely)."""
    folder = tmp_path_factory.mktemp("paths")
    out = {}
    for name in (*NAMES, NARROW, *WALLED):
        layers, _ = laid(folder, name, files[name])
        mesh = trimesh.load_mesh(files[name])
        low = mesh.bounds[0, 2]
        sections = [shapes.section(mesh, low + (i + 0.5) * LAYER) for i in range(len(layers))]
        out[name] = (layers, sections)
    return out


def roomy(section, by):
    """Nothing in it is thinner than `by` on both sides of a middle line."""
    core = inset(section, by)
    return not core.is_empty and inset(core, -by).area > 0.999 * section.area


@pytest.mark.parametrize("name", (*NAMES, NARROW, *WALLED))
def test_wall_loops_are_insets(parts, name):
    """shapely: loop i's centre line is the section inset by (i + ½) beads, corners sharp; lengths within 0.1 % on every layer."""
    judged = 0
    for i, (mine, section) in enumerate(zip(*parts[name])):
        if roomy(section, WALLS * BEAD):
            truth = sum(inset(section, (k + 0.5) * BEAD).length for k in range(WALLS))
            assert mine["walls_mm"] == pytest.approx(truth, rel=1e-3), i
            judged += 1
    assert judged >= 10


@pytest.mark.parametrize("name", NAMES)
def test_solid_layers_are_what_lies_bare(parts, name):
    """shapely: solid lines fill what lies inside the walls and not in all of the sections above and below. What is under half a
    bead wide is left to the sparse infill, so pieces are compared with such strips taken off and left on."""
    layers, sections = parts[name]
    solid = 0
    for i, mine in enumerate(layers):
        if not roomy(sections[i], WALLS * BEAD):
            continue
        bare = inside = inset(sections[i], WALLS * BEAD)
        if SOLID <= i < len(layers) - SOLID:
            around = sections[i - SOLID : i] + sections[i + 1 : i + SOLID + 1]
            bare = inside - shapely.intersection_all(around)
        least = bare.buffer(-BEAD / 2).buffer(BEAD / 2).area
        slack = 0.02 * inside.area + 1.0
        assert least - slack <= mine["solid_mm"] * BEAD <= bare.area + slack, i
        solid += mine["solid_mm"] > 0
    assert solid >= 2 * SOLID or name == "torus"


@pytest.mark.parametrize("name", NAMES)
def test_volume_closes_on_solid_layers(parts, name):
    """Length × bead area is section area × layer height within 0.5 %, on solid layers at least a bead wide."""
    judged = 0
    for mine, section in zip(*parts[name]):
        if mine["infill_mm"] == 0 and mine["solid_mm"] > 0 and roomy(section, BEAD / 2):
            assert mine["volume_mm3"] == pytest.approx(section.area * LAYER, rel=5e-3)
            judged += 1
    assert judged >= 2


def test_planner_against_an_integral(files, tmp_path):
    """scipy: the time of a square loop is ∫ ds / v(s) over the fastest speed that keeps to acceleration, cap and corner speed
    (the circle that stays δ from the corner: v² = a δ s/(1 − s), s = sin 45°)."""
    speed, push, deviation, change = 80.0, 900.0, 0.03, 0.5
    _, layers = laid(
        tmp_path, "loop", files["column"], walls=1, infill=0.0, solid_top=0, solid_bottom=0, wall_mm_s=speed,
        acceleration_mm_s2=push, junction_deviation_mm=deviation, layer_change_s=change, flow_mm3_s=1000.0, time_factor=1.0,
    )
    side, s = 6.0 - BEAD, math.sin(math.pi / 4)
    corner = math.sqrt(push * deviation * s / (1 - s))

    def time(entry, leave):
        def slowness(x):
            up, down = math.sqrt(entry**2 + 2 * push * x), math.sqrt(leave**2 + 2 * push * (side - x))
            return 1 / min(speed, up, down)

        # Kinks where one limit takes over from another.
        kinks = [(speed**2 - entry**2) / (2 * push), side - (speed**2 - leave**2) / (2 * push)]
        kinks.append((leave**2 - entry**2 + 2 * push * side) / (4 * push))
        within = [k for k in kinks if 0 < k < side]
        return scipy.integrate.quad(slowness, 0, side, points=within, limit=200)[0]

    truth = time(0, corner) + 2 * time(corner, corner) + time(corner, 0)
    for layer in layers[1:]:
        assert layer["natural_s"] == pytest.approx(truth + change, rel=1e-3)
