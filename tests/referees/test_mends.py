"""Mended meshes as they are handed over, judged by trimesh and manifold3d."""

import json

import manifold3d
import numpy as np
import pytest
import trimesh

import program


def soup(mesh):
    """Every triangle with corners of its own."""
    return mesh.vertices[mesh.faces].copy()


def inside_out_box():
    mesh = trimesh.creation.box([20.0, 10.0, 5.0])
    mesh.invert()
    return soup(mesh), ["flip-inside-out"], 1000.0


def hollow_inside_out():
    """A box with a ball-shaped cavity, all of it inside out."""
    hole = trimesh.creation.icosphere(subdivisions=3, radius=7.0)
    hole.invert()
    mesh = trimesh.util.concatenate([trimesh.creation.box([20.0, 18.0, 16.0]), hole])
    sound = mesh.volume
    mesh.invert()
    return soup(mesh), ["flip-inside-out"], sound


def some_turned():
    """A torus of which one triangle in nine faces the wrong way."""
    mesh = trimesh.creation.torus(18.0, 6.0, major_sections=48, minor_sections=24)
    turned = soup(mesh)
    turned[::9] = turned[::9, ::-1]
    return turned, ["flip-inside-out"], mesh.volume


def duplicated():
    """One triangle in seven is there two or three times."""
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=12.0)
    triangles = soup(mesh)
    return np.concatenate([triangles, triangles[::7], triangles[::14]]), ["drop-duplicates"], mesh.volume


def slivers():
    """Needles between one long edge and its two halves: each closes the surface, none has an area."""
    mesh = trimesh.creation.box([20.0, 10.0, 5.0])
    triangles = []
    for n, (a, b, c) in enumerate(soup(mesh)):
        if n % 3 == 0:
            middle = (a + b) / 2
            triangles += [[a, middle, c], [middle, b, c], [a, b, middle]]
        else:
            triangles.append([a, b, c])
    return np.array(triangles), ["drop-zero-area"], 1000.0


def split_vertices():
    """Every corner of every triangle up to 5 µm from where it belongs."""
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=12.0)
    triangles = soup(mesh)
    away = np.random.default_rng(5).normal(size=triangles.shape)
    away *= (0.0025 * np.random.default_rng(6).random(triangles.shape[:2]) / np.linalg.norm(away, axis=2))[..., None]
    return triangles + away, [{"weld_um": 5}], mesh.volume


def everything():
    """Inside out, torn, repeated."""
    triangles, _, volume = split_vertices()
    triangles = np.concatenate([triangles, triangles[::5]])[:, ::-1]
    return triangles, [{"weld_um": 5}, "drop-duplicates", "flip-inside-out"], volume


CASES = [inside_out_box, hollow_inside_out, some_turned, duplicated, slivers, split_vertices, everything]


def written(triangles, path):
    """A binary STL of loose triangles. numpy's own bytes, no library's."""
    facets = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("rest", "<u2")])
    facets["corners"] = triangles
    path.write_bytes(b"\0" * 80 + np.uint32(len(triangles)).tobytes() + facets.tobytes())


@pytest.fixture(params=CASES, ids=lambda c: c.__name__)
def case(request, tmp_path):
    triangles, mends, volume = request.param()
    path = tmp_path / "part.stl"
    written(triangles, path)
    return path, mends, volume


def handed_over(path, mends):
    """The one body that is handed over of a job in which the part has these mends."""
    job = path.with_suffix(".stonehand")
    program.run("new", "-o", job, "--bed", "200x200x200", "--part", f"{path}:1", status=(0, 1))
    text = json.loads(job.read_text(encoding="utf-8"))
    if mends:
        text["parts"][0]["mends"] = mends
    job.write_text(json.dumps(text), encoding="utf-8")
    before = path.read_bytes()
    placements, files = program.export(job, path.parent / "out", status=(0, 1))
    assert path.read_bytes() == before, "the file stays as it is"
    assert placements["plates"][0]["copies"][0].get("mends", []) == mends
    [package] = [f for f in files if f.suffix == ".3mf" and "body" not in f.stem]
    [body] = trimesh.load_scene(package, process=False).dump()
    return body


def sound(mesh):
    """trimesh: closed, and each edge run through both ways."""
    return mesh.is_watertight and mesh.is_winding_consistent


def least_height(mesh):
    """numpy: twice the area over the longest side, of the lowest triangle."""
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    sides = np.max([np.linalg.norm(a - b, axis=1), np.linalg.norm(b - c, axis=1), np.linalg.norm(c - a, axis=1)], axis=0)
    return (np.linalg.norm(np.cross(b - a, c - a), axis=1) / sides).min()


def test_mended_bodies_are_sound(case):
    """trimesh: watertight and consistent. manifold3d takes it; both give the volume of the body that was broken."""
    path, mends, volume = case
    filed = trimesh.load_mesh(path)
    assert not sound(filed) or filed.volume < 0 or least_height(filed) < 1e-4, "it is broken"
    body = handed_over(path, mends)
    assert sound(body)
    # 32-bit numbers in the file, and 5 µm of 12 mm on the surface.
    assert body.volume == pytest.approx(volume, rel=1e-3)
    judged = manifold3d.Manifold(manifold3d.Mesh(np.asarray(body.vertices, np.float32), np.asarray(body.faces, np.uint32)))
    assert judged.status() == manifold3d.Error.NoError
    assert judged.volume() == pytest.approx(volume, rel=1e-3)


def test_no_triangle_without_area_is_left(case):
    """numpy: the least height over the longest side."""
    path, mends, _ = case
    if "drop-zero-area" not in mends:
        pytest.skip("not this mend")
    assert least_height(handed_over(path, [])) < 1e-4 < least_height(handed_over(path, mends))


def test_inspect_names_the_mend(case):
    """What would help, as `inspect` says it, is what was broken."""
    path, mends, _ = case
    [told] = program.inspect(path, layers=False, status=(0, 1))
    named = [m["mend"] for m in told["mends"]]
    if len(mends) == 1:
        assert named == mends
    else:
        # One after another: a torn surface shows only once it is welded what else is wrong.
        assert mends[0] in named
