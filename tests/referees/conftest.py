"""Meshes and jobs that several referees judge."""

import shutil

import pytest

import program
import shapes


def pytest_sessionstart(session):
    if not program.BINARY.is_file():
        pytest.exit(f"no program at {program.BINARY}: build it, or name it in STONEHAND", returncode=2)


SAMPLE_MESHES = sorted(p.name for form in ("*.stl", "*.obj", "*.3mf") for p in program.SAMPLES.glob(form))
FAULTY = "faulty-clip.stl"


@pytest.fixture(scope="session")
def generated(tmp_path_factory):
    """The shapes made here, name → file."""
    return shapes.write(tmp_path_factory.mktemp("shapes"))


@pytest.fixture(scope="session")
def files(generated):
    """All mesh files under judgement, name → file."""
    return {name: program.SAMPLES / name for name in SAMPLE_MESHES} | generated


def scene(folder, name, *words):
    """A job of generated meshes and samples, made by `new`."""
    job = folder / f"{name}.stonehand"
    program.run("new", "-o", job, *words, status=(0, 1))
    return job


@pytest.fixture(scope="session")
def jobs(generated, tmp_path_factory):
    """Jobs before anything is packed: name → (file, its meshes)."""
    folder = tmp_path_factory.mktemp("jobs")
    shutil.copytree(program.SAMPLES, folder / "samples", ignore=shutil.ignore_patterns("workshop", "*.rs", "*.sh"))
    samples = folder / "samples"
    spacer, bracket, ring, gate = (
        samples / n for n in ("frame-spacer.obj", "corner-bracket.stl", "jar-lid-adapter.stl", "entrance-gate.stl")
    )
    peg, funnel = samples / "queen-cage-peg.stl", samples / "feeder-funnel.stl"
    star, l_prism = generated["star_prism"], generated["l_prism"]
    return {
        "order": samples / "hive-fittings.stonehand",
        "rectangle": scene(
            folder, "rectangle", "--bed", "240x200x190", "--gap", "3", "--edge", "2", "--footing-gap", "1", "--footing", "brim:4",
            "--part", f"{bracket}:5", "--part", f"{ring}:2", "--part", f"{spacer}:4", "--part", f"{peg}:6",
        ),
        "round": scene(
            folder, "round", "--round", "200x180", "--gap", "2.5", "--edge", "3", "--footing", "bare",
            "--part", f"{bracket}:6", "--part", f"{star}:5", "--part", f"{l_prism}:8",
        ),
        "edge-to-edge": scene(
            folder, "edge", "--bed", "150x110x100", "--gap", "0.5", "--edge", "0", "--footing", "bare",
            "--part", f"{l_prism}:9", "--part", f"{gate}:1",
        ),
        "rafts": scene(
            folder, "rafts", "--bed", "180x180x120", "--gap", "4", "--footing-gap", "0.8", "--footing", "raft:4",
            "--part", f"{funnel}:3", "--part", f"{l_prism}:6",
        ),
    }  # fmt: skip


JOBS = ["order", "rectangle", "round", "edge-to-edge", "rafts"]


@pytest.fixture(scope="session")
def results(jobs, tmp_path_factory):
    """(job, move) → placements."""
    out = {}
    for name, job in jobs.items():
        packed = job.with_name(f"{name}-packed.stonehand")
        topped = job.with_name(f"{name}-topped.stonehand")
        program.run("pack", job, "-o", packed, "--rounds", 12, "--seed", 7, status=(0, 1))
        program.run("top-up", packed, "-o", topped, "--keep", "--rounds", 12, "--seed", 7, status=(0, 1))
        for move, file in (("placed", job), ("pack", packed), ("top-up", topped)):
            folder = tmp_path_factory.mktemp(f"{name}-{move}")
            placements, written = program.export(file, folder, status=(0, 1))
            out[name, move] = placements, written, file
    return out
