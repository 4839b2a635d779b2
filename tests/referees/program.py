"""The program under test, from outside: its words, its exit status, its JSON."""

import json
import os
import pathlib
import subprocess

ROOT = pathlib.Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "samples"
BINARY = pathlib.Path(os.environ.get("STONEHAND", ROOT / "target/debug/stonehand")).resolve()


def run(*words, status=(0,), cwd=None):
    """Runs the program; its exit status must be one of `status`. Returns what it wrote on standard output."""
    done = subprocess.run(
        [str(BINARY), *map(str, words)],
        check=False, capture_output=True, text=True, timeout=600, cwd=cwd, stdin=subprocess.DEVNULL,
    )
    said = f"{' '.join(map(str, words))}\nstatus {done.returncode}\n{done.stdout[-2000:]}\n{done.stderr[-2000:]}"
    assert done.returncode in status, said
    return done.stdout


def inspect(*paths, layer_height=0.2, layers=True, status=(0,)):
    """One report an object."""
    words = ["inspect", *paths, "--layer-height", layer_height, "--json"] + (["--layers"] if layers else [])
    return json.loads(run(*words, status=status))


def export(job, folder, status=(0,)):
    """Exports a job; the placements as JSON, and the files written."""
    run("export", job, "-o", folder, status=status)
    files = sorted(p for p in pathlib.Path(folder).rglob("*") if p.is_file())
    [placements] = [p for p in files if p.suffix == ".json"]
    return json.loads(placements.read_text(encoding="utf-8")), files
