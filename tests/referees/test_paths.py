"""Paths of single parts, as `estimate --json` tells them, against shapely's insets and differences and scipy's integrals."""

import json
import math

import manifold3d
import numpy as np
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
# Solid layers alone are judged of these.
BARE = ("sphere", "star_prism", "overlapping_shells")
# Corners keep sharp down to 30° between the edges: 1 / sin 15°.
MITRE = 1 / math.sin(math.radians(15))


def prism(plan, low, high):
    mesh = trimesh.creation.extrude_polygon(plan, high - low, engine="earcut")
    mesh.apply_translation([0, 0, low])
    return mesh


def terraces():
    """Storeys of three slabs at random round one core: each leaves some of the one below bare and hangs over it elsewhere."""
    random = np.random.default_rng(11)
    whole, low = manifold3d.Manifold(), 0.0
    for _ in range(6):
        plan = shapely.box(-6, -5, 6, 5)
        for _ in range(3):
            x, y = random.uniform(-12, 4, 2)
            width, depth = random.uniform(5, 14, 2)
            plan = plan.union(shapely.box(x, y, x + width, y + depth))
        high = low + LAYER * int(random.integers(3, 9))
        storey = prism(plan, low, high)
        corners, faces = np.asarray(storey.vertices, np.float32), np.asarray(storey.faces, np.uint32)
        whole += manifold3d.Manifold(manifold3d.Mesh(corners, faces))
        low = high
    body = whole.to_mesh()
    return trimesh.Trimesh(body.vert_properties[:, :3], body.tri_verts)


def bowl():
    """A turned body with a bore that widens and narrows so flatly that rings lie bare, outside and in."""
    profile = [(2, 0), (6, 0), (14, 2.4), (14, 3.6), (7, 5.6), (7, 8), (5, 8), (5, 6), (2, 5), (2, 0)]
    return trimesh.creation.revolve(np.array(profile, float), sections=96)


# Made here and judged in every way.
MADE = {"terraces": terraces, "bowl": bowl}
# Walls thinner than the beads of all walls, 15 mm long.
BLADES = (0.15, 0.25, 0.35, 0.44, 0.6, 0.8, 1.0, 1.3, 2.0)
FINS = (0.25, 0.3, 0.4)
# Less than half a bead: not made.
SLIVER = 0.2


def fins():
    """A block with thin fins, 8 mm long."""
    plan = shapely.box(0, 0, 10, 10)
    for i, thick in enumerate(FINS):
        plan = plan.union(shapely.box(9, 2 + 3 * i, 18, 2 + 3 * i + thick))
    return prism(plan, 0, 2)


def sliver():
    """A block with a fin of less than half a bead, 8 mm long."""
    return prism(shapely.box(0, 0, 10, 10).union(shapely.box(9, 4, 18, 4 + SLIVER)), 0, 2)


def tube():
    """A wall of 0.3 mm round a bore."""
    disc = shapely.Point(0, 0)
    return prism(disc.buffer(6, quad_segs=90).difference(disc.buffer(5.7, quad_segs=90)), 0, 2)


def wedge():
    """From nothing to 3 mm over 30 mm."""
    return prism(shapely.Polygon([(0, 0), (30, -1.5), (30, 1.5)]), 0, 2)


# Laid solid throughout, so that all their volume is in the beads.
DENSE = {f"blade {t}": lambda t=t: trimesh.creation.box([15, t, 2]) for t in BLADES}
DENSE |= {f.__name__: f for f in (fins, sliver, tube, wedge, terraces, bowl, shapes.sphere, shapes.star_prism, shapes.overlapping_shells)}


def written(folder, made):
    """Generated bodies as files, name → file."""
    paths = {name: folder / f"{name.replace(' ', '-').replace('.', '_')}.stl" for name in made}
    for name, make in made.items():
        make().export(paths[name], file_type="stl")
    return paths


def laid(folder, name, mesh, **changes):
    """The layers of one copy and of its plate, in a recipe with these numbers."""
    told = laid_all(folder, name, [mesh], **changes)
    [part], [plate] = told["parts"], told["plates"]
    return part["layers"], plate["layers"]


def laid_all(folder, name, meshes, **changes):
    """What is told of a job with one copy of each mesh, in a recipe with these numbers."""
    job = folder / f"{name}.stonehand"
    parts = [word for mesh in meshes for word in ("--part", f"{mesh}:1")]
    program.run("new", "-o", job, "--bed", "300x300x300", "--footing", "bare", *parts, status=(0, 1))
    text = json.loads(job.read_text(encoding="utf-8"))
    numbers = {"layer_height_mm": LAYER, "first_layer_mm": LAYER, "bead_width_mm": BEAD, "walls": WALLS,
               "solid_top": SOLID, "solid_bottom": SOLID, "infill": 0.15}
    for recipe in text["recipes"]:
        assert set(numbers | changes) <= set(recipe)
        recipe |= numbers | changes
    job.write_text(json.dumps(text), encoding="utf-8")
    return json.loads(program.run("estimate", job, "--json", status=(0, 1)))


def cut(file, count):
    """The sections of a mesh at the middles of so many layers, by trimesh and shapely."""
    mesh = trimesh.load_mesh(file)
    low = mesh.bounds[0, 2]
    return [shapes.section(mesh, low + (i + 0.5) * LAYER) for i in range(count)]


def inset(region, by):
    return region.buffer(-by, join_style="mitre", mitre_limit=MITRE)


@pytest.fixture(scope="module")
def parts(files, tmp_path_factory):
    """name → (its layers, its sections by trimesh and shapely)."""
    folder = tmp_path_factory.mktemp("paths")
    files = files | written(folder, MADE)
    out = {}
    for name in (*NAMES, NARROW, *WALLED, *MADE, "overlapping_shells"):
        layers, _ = laid(folder, name, files[name])
        out[name] = (layers, cut(files[name], len(layers)))
    return out


@pytest.fixture(scope="module")
def dense(tmp_path_factory):
    """name → (its layers, its sections by trimesh and shapely), all of it laid solid."""
    folder = tmp_path_factory.mktemp("dense")
    files = written(folder, DENSE)
    parts = laid_all(folder, "dense", files.values(), infill=1.0)["parts"]
    assert len(parts) == len(files)
    return {name: (part["layers"], cut(file, len(part["layers"]))) for (name, file), part in zip(files.items(), parts)}


def roomy(section, by):
    """Nothing in it is thinner than `by` on both sides of a middle line."""
    core = inset(section, by)
    return not core.is_empty and inset(core, -by).area > 0.999 * section.area


def sharp_tips(section):
    """Corners of outer borders sharper than 30°."""
    count = 0
    for part in shapely.get_parts(section):
        points = np.array(part.exterior.coords[:-1])
        before, after = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
        lengths = np.linalg.norm(before, axis=1) * np.linalg.norm(after, axis=1)
        count += int(((before * after).sum(axis=1) > math.cos(math.radians(30)) * lengths).sum())
    return count


@pytest.mark.parametrize("name", (*NAMES, NARROW, *WALLED, *MADE))
def test_wall_loops_are_insets(parts, name):
    """shapely: loop i's centre line is the section inset by (i + ½) beads, corners sharp; lengths within 0.1 % on every layer. A tip
    sharper than 30° is a thin place, with one bead for both sides of the loops: shorter by less than a bead a tip."""
    judged = 0
    for i, (mine, section) in enumerate(zip(*parts[name])):
        if roomy(section, WALLS * BEAD):
            truth = sum(inset(section, (k + 0.5) * BEAD).length for k in range(WALLS))
            assert truth * 0.999 - sharp_tips(section) * BEAD <= mine["walls_mm"] <= truth * 1.001, i
            judged += 1
    assert judged >= 10


@pytest.mark.parametrize("name", (*NAMES, *BARE, *MADE))
def test_solid_layers_are_what_lies_bare(parts, name):
    """shapely: solid beads fill what lies inside the walls and not in all of the sections above and below. What is under half a
    bead wide is left to the sparse infill, so pieces are compared with such strips taken off and left on."""
    layers, sections = parts[name]
    solid = partly = 0
    for i, mine in enumerate(layers):
        if not roomy(sections[i], WALLS * BEAD):
            continue
        bare = inside = inset(sections[i], WALLS * BEAD)
        if SOLID <= i < len(layers) - SOLID:
            around = sections[i - SOLID : i] + sections[i + 1 : i + SOLID + 1]
            bare = inside - shapely.intersection_all(around)
        least = bare.buffer(-BEAD / 2).buffer(BEAD / 2).area
        slack = 0.02 * inside.area + 1.0
        assert least - slack <= mine["solid_mm3"] / LAYER <= bare.area + slack, i
        solid += mine["solid_mm"] > 0
        partly += 2 * slack < least < inside.area - 2 * slack
    assert solid >= 2 * SOLID or name == "torus"
    assert partly >= 6 or name not in MADE


@pytest.mark.parametrize("name", (*NAMES, *MADE))
def test_volume_closes_on_solid_layers(parts, name):
    """Length × bead area is section area × layer height within 0.5 %, on solid layers at least a bead wide."""
    judged = 0
    for mine, section in zip(*parts[name]):
        if mine["infill_mm"] == 0 and mine["solid_mm"] > 0 and roomy(section, BEAD / 2):
            assert mine["volume_mm3"] == pytest.approx(section.area * LAYER, rel=5e-3)
            judged += 1
    assert judged >= 2


@pytest.mark.parametrize("name", DENSE)
def test_volume_closes_whatever_is_thin(dense, name):
    """Length × the bead's own width × layer height is section area × layer height within 0.5 %, on every layer of a body laid
    solid; a crumb of a tenth of a bead's square may be left out."""
    layers, sections = dense[name]
    assert len(layers) >= 10
    for i, (mine, section) in enumerate(zip(layers, sections)):
        assert mine["volume_mm3"] == pytest.approx(section.area * LAYER, rel=5e-3, abs=0.1 * BEAD**2 * LAYER), i
        kinds = ("walls", "solid", "infill", "support")
        assert mine["volume_mm3"] == pytest.approx(sum(mine[f"{kind}_mm3"] for kind in kinds), rel=1e-9), i
        assert mine["infill_mm"] == mine["support_mm"] == 0


def blade_beads(thick, long=15.0):
    """By hand: lengths and widths of the beads across a rectangle. Their number is the thickness in bead widths, rounded, and no
    less than one: pairs are loops half a bead from the border, the innermost as wide as what is left; an odd one is as long and as
    wide as what the loops leave."""
    out = []
    for count in range(max(1, round(thick / BEAD)), 0, -2):
        if count == 1:
            out.append((long, thick))
            break
        around = 2 * (long - BEAD + thick - BEAD)
        rest = (thick - 2 * BEAD) * (long - 2 * BEAD) if count > 2 else 0.0
        out.append((around, (thick * long - rest) / around))
        thick, long = thick - 2 * BEAD, long - 2 * BEAD
    return out


@pytest.mark.parametrize("thick", BLADES)
def test_thin_walls_get_beads_of_their_own_width(dense, thick):
    """As many beads across as the thickness is nearest to, as wide as makes up the thickness."""
    layers, _ = dense[f"blade {thick}"]
    beads = blade_beads(thick)
    for mine in layers:
        told = mine["walls_mm"] + mine["solid_mm"]
        assert told == pytest.approx(sum(long for long, _ in beads), rel=2e-3)
        width = mine["volume_mm3"] / told / LAYER
        assert width == pytest.approx(sum(long * wide for long, wide in beads) / sum(long for long, _ in beads), rel=5e-3)
        if thick < 1.5 * BEAD:
            assert width == pytest.approx(thick, rel=5e-3)
        assert thick < BEAD / 2 or BEAD / 2 <= width <= 2 * BEAD


def test_a_thin_tube_is_one_bead_round(dense):
    """shapely: the bead's length is the mean of both borders."""
    for mine, section in zip(*dense["tube"]):
        assert mine["walls_mm"] == pytest.approx(section.length / 2, rel=1e-3)
        assert mine["solid_mm"] == 0


def test_fins_of_a_block_are_beads_of_their_own(dense):
    """shapely: the block's loops by inset, which the fins do not change, and a bead as long as each fin."""
    for mine, section in zip(*dense["fins"]):
        loops = sum(inset(section, (k + 0.5) * BEAD).length for k in range(WALLS))
        assert loops == pytest.approx(4 * (10 - BEAD) + 4 * (10 - 3 * BEAD), rel=1e-6)
        assert mine["walls_mm"] == pytest.approx(loops + 8 * len(FINS), rel=0.01)


def test_a_sliver_adds_to_the_loop_beside_it(dense):
    """shapely: no bead in it; the block's loops by inset, the volume that of the whole section."""
    for mine, section in zip(*dense["sliver"]):
        assert mine["walls_mm"] == pytest.approx(sum(inset(section, (k + 0.5) * BEAD).length for k in range(WALLS)), rel=1e-4)
        assert mine["volume_mm3"] == pytest.approx(section.area * LAYER, rel=1e-4)


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
