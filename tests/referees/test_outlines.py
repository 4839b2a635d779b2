"""Shadows, contacts and rings against shapely."""

import pytest

import program
import shapes
from conftest import FAULTY, SAMPLE_MESHES

ALL = SAMPLE_MESHES + sorted(shapes.GENERATED)
FIRST_LAYER = 0.2


@pytest.fixture(scope="module")
def reports(files):
    """name → [(trimesh's object, the program's report)]."""
    return {
        name: list(zip(shapes.read(path), program.inspect(path, layer_height=FIRST_LAYER, layers=False, status=(0, 1))))
        for name, path in files.items()
    }


def same(mine, truth, corner=1e-6):
    """No more differs than corners moved by `corner` mm explain."""
    assert mine.symmetric_difference(truth).area <= corner * truth.length + 1e-9


@pytest.mark.parametrize("name", ALL)
def test_shadow(reports, name):
    """shapely: the union of all triangles seen from above."""
    for there, told in reports[name]:
        truth = shapes.in_plan(there.mesh.triangles)
        mine = shapes.polygons(told["shadow"]["polygons"])
        same(mine, truth)
        assert told["shadow"]["area_mm2"] == pytest.approx(truth.area, abs=1e-6 * truth.length)
        assert told["shadow"]["area_mm2"] == pytest.approx(mine.area, rel=1e-9)
        assert told["shadow"]["perimeter_mm"] == pytest.approx(mine.length, rel=1e-9)


@pytest.mark.parametrize("name", [n for n in ALL if n != FAULTY])
def test_contact(reports, name):
    """trimesh and shapely: the section at half the first layer."""
    for there, told in reports[name]:
        truth = shapes.section(there.mesh, there.mesh.bounds[0, 2] + FIRST_LAYER / 2)
        mine = shapes.polygons(told["contact"]["polygons"])
        same(mine, truth)
        assert told["contact"]["area_mm2"] == pytest.approx(truth.area, abs=1e-6 * truth.length + 1e-9)


@pytest.mark.parametrize(
    "name,width",
    [("l_prism", 5.0), ("l_prism", 0.45), ("torus", 3.0), ("star_prism", 4.0), ("corner-bracket.stl", 5.0), ("jar-lid-adapter.stl", 2.0)],
)
@pytest.mark.parametrize("kind", ["brim", "raft"])
def test_ring_round_a_contact(files, tmp_path, name, width, kind):
    """shapely: a footing's outline is the contact grown with round corners; what is off errs outward, by the stated tolerance."""
    job = tmp_path / "ring.stonehand"
    program.run("new", "-o", job, "--bed", "200x200x180", "--footing", f"{kind}:{width}", "--part", f"{files[name]}:1", status=(0, 1))
    placements, _ = program.export(job, tmp_path / "out", status=(0, 1))
    [plate] = placements["plates"]
    [copy] = plate["copies"]
    assert copy["footing"] == {"kind": kind, "width_mm": width}
    tolerance = placements["margins"]["tolerance_mm"]
    assert 0 < tolerance <= 0.05
    [there] = shapes.read(files[name])
    mesh = there.mesh.copy()
    mesh.apply_transform(shapes.transform(copy["matrix"]))
    contact = shapes.section(mesh, mesh.bounds[0, 2] + FIRST_LAYER / 2)
    footing = shapes.polygons(copy["footing_outline"])
    least = contact.buffer(width, quad_segs=720)
    most = contact.buffer(width + tolerance, quad_segs=720)
    # 720 chords a quarter turn: shapely's own error is below 1e-6 of the width.
    slack = 1e-5 * least.length
    assert least.difference(footing).area <= slack
    assert footing.difference(most).area <= slack


def test_ring_of_the_l(files, tmp_path):
    """Reference values for the L (0,0)(30,0)(30,10)(10,10)(10,30)(0,30) grown by 5 mm: 500 + 120·5 + 5 quarter discs − 25 =
    1173.17 mm², and shapely 2.2.0's 1173.165."""
    job = tmp_path / "l.stonehand"
    program.run("new", "-o", job, "--bed", "100x100x100", "--footing", "brim:5", "--part", f"{files['l_prism']}:1", status=(0, 1))
    placements, _ = program.export(job, tmp_path / "out", status=(0, 1))
    footing = shapes.polygons(placements["plates"][0]["copies"][0]["footing_outline"])
    tolerance = placements["margins"]["tolerance_mm"]
    assert 1173.17 - 0.01 <= footing.area <= 1173.17 + tolerance * footing.length + 0.01
