"""A million triangles: trimesh and shapely doing what the benches `mesh` and `profile` do, in the same run.

    target/referees/bin/python tests/benches/beside_trimesh.py target/release/deps/mesh-HASH [target/release/deps/profile-HASH]

Reads the same binary STL, welds, reports (watertight, consistent winding, shells, volume, bounds) and takes the shadow; then, for
the second binary, cuts the mesh at the middles of the same 500 layers. Paths have no counterpart here.
"""

import os
import re
import subprocess
import sys
import tempfile
import time

import numpy as np
import trimesh
from trimesh.path.polygons import projected

AROUND, ABOUT = 1000, 500
LAYERS = 500


def ring():
    """The waved torus of tests/benches/mesh.rs."""
    u = 2 * np.pi * np.arange(AROUND)[:, None] / AROUND
    v = 2 * np.pi * np.arange(ABOUT)[None, :] / ABOUT
    minor = 10 + 0.6 * np.sin(20 * u) * np.cos(7 * v)
    r = 40 + minor * np.cos(v)
    p = np.stack([r * np.cos(u), r * np.sin(u), minor * np.sin(v)], axis=-1).astype(np.float32)
    a, b = p, np.roll(p, -1, axis=0)
    d, c = np.roll(p, -1, axis=1), np.roll(np.roll(p, -1, axis=0), -1, axis=1)
    return np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2).reshape(-1, 3, 3)


def stl(path, triangles):
    facets = np.zeros(len(triangles), dtype=[("normal", "<3f4"), ("corners", "<9f4"), ("attribute", "<u2")])
    facets["corners"] = triangles.reshape(-1, 9)
    with open(path, "wb") as f:
        f.write(bytes(80) + np.uint32(len(triangles)).tobytes() + facets.tobytes())


def once(binary):
    """What a bench says when it runs once."""
    return subprocess.run([binary], env={**os.environ, "STONEHAND_ONCE": "1"}, capture_output=True, text=True).stderr.strip()


def sections(mesh, binary):
    low, high = mesh.bounds[:, 2]
    heights = low + (np.arange(LAYERS) + 0.5) * (high - low) / LAYERS
    begun = time.perf_counter()
    cuts = mesh.section_multiplane([0, 0, 0], [0, 0, 1], heights)
    area = sum(c.area for c in cuts if c is not None)
    theirs = time.perf_counter() - begun
    said = once(binary)
    ours = float(re.search(r"sections in ([\d.]+) s", said).group(1))
    print(f"trimesh: {LAYERS} sections {theirs:.2f} s, area {area:.3f}")
    print(f"stonehand: {said}")
    both = float(re.search(r"with paths in ([\d.]+) s", said).group(1))
    print(f"ratio of the sections {theirs / ours:.1f}, with our paths {theirs / both:.1f}")


def main():
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "ring.stl")
        stl(path, ring())
        begun = time.perf_counter()
        mesh = trimesh.load_mesh(path, process=True)
        report = (mesh.is_watertight, mesh.is_winding_consistent, mesh.body_count, mesh.volume, mesh.bounds)
        read = time.perf_counter() - begun
        area = projected(mesh, normal=[0, 0, 1], precise=True).area
        whole = time.perf_counter() - begun
    said = once(sys.argv[1])
    ours = float(re.search(r"in ([\d.]+) s", said).group(1))
    print(f"trimesh: read, weld, report {read:.2f} s, with the shadow {whole:.2f} s, area {area:.3f}, {report[:3]}")
    print(f"stonehand: {said}")
    print(f"ratio {whole / ours:.1f}; without the shadow on trimesh's side {read / ours:.1f}")
    if len(sys.argv) > 2:
        sections(mesh, sys.argv[2])


main()
