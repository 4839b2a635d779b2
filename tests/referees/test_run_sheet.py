"""Run sheets, the week, labels for bins: read by poppler. The manifest: read by coreutils' sha256sum."""

import json
import pathlib
import re
import shutil
import subprocess

import pytest

import program

# ISO 216: A4 is 210 × 297 mm. ASME/ANSI Y14.1: size A is 8.5 × 11 inches. A point is 1/72 inch.
SIZES_PT = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (8.5 * 72, 11 * 72)}


def tool(*words, cwd=None):
    done = subprocess.run([*map(str, words)], check=False, capture_output=True, timeout=300, cwd=cwd)
    assert done.returncode == 0, f"{words}: {done.stderr.decode(errors='replace')}"
    return done.stdout


def text(path):
    # In the order in which it was written: labels that stand close together are not run into one line.
    return tool("pdftotext", "-raw", path, "-").decode()


def info(path):
    lines = tool("pdfinfo", path).decode().splitlines()
    return {k.strip(): v.strip() for k, _, v in (line.partition(":") for line in lines)}


def exported(tmp, paper):
    """The sample order, packed, exported on a paper: its folder and its placements."""
    for file in program.SAMPLES.iterdir():
        if file.is_file():
            shutil.copy(file, tmp)
    folder = tmp / "out"
    program.run("export", tmp / "hive-fittings.stonehand", "-o", folder, "--paper", paper, status=(0, 1))
    return folder, json.loads((folder / "placements.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module", params=list(SIZES_PT))
def out(request, tmp_path_factory):
    folder, placements = exported(tmp_path_factory.mktemp(f"printed-{request.param}"), request.param)
    return request.param, folder, placements


def printed(folder):
    found = sorted(folder.glob("*.pdf"))
    assert {"run-sheets.pdf", "bin-labels.pdf", "timeline.pdf"} <= {p.name for p in found}
    return found


def test_size_title_and_tags(out):
    paper, folder, _ = out
    for path in printed(folder):
        about = info(path)
        assert about["Tagged"] == "yes", path
        assert "Hive fittings" in about["Title"], path
        width, height = map(float, re.match(r"([\d.]+) x ([\d.]+) pts", about["Page size"]).groups())
        size = (height, width) if path.name == "timeline.pdf" else (width, height)
        assert size == pytest.approx(SIZES_PT[paper], abs=0.01), path
        # Deterministic: no time of making in the file.
        assert "CreationDate" not in about and "ModDate" not in about, path


def test_all_fonts_are_embedded(out):
    _, folder, _ = out
    for path in printed(folder):
        lines = tool("pdffonts", path).decode().splitlines()[2:]
        assert lines, path
        for line in lines:
            # … emb sub uni object ID
            emb, _, uni = line.split()[-5:-2]
            assert (emb, uni) == ("yes", "yes") and "Inter" in line, f"{path}: {line}"


def test_every_copy_is_named_and_every_plate_has_a_sheet(out):
    _, folder, placements = out
    everything = text(folder / "run-sheets.pdf")
    for plate in placements["plates"]:
        [sheet] = folder.glob(f"*-plate-{plate['plate']}-*.run-sheet.pdf")
        said = text(sheet)
        assert f"Plate {plate['plate']} of {len(placements['plates'])} on {plate['machine']}" in said
        for copy in plate["copies"]:
            assert re.search(rf"(?<!\w){copy['copy']}(?!\w)", said), f"{copy['copy']} is not on {sheet.name}"
            assert copy["copy"] in everything
        for words in ("Start", "End", "Watch the first layer until", "Where to look first", "Least headroom", "Checklist",
                      "Initials", "Real hours", "fire authority", "12 °C", "43 °C"):  # fmt: skip
            assert words in said, f"{words} is not on {sheet.name}"


def test_structure(out):
    """Headings, lists, a figure with its words, a table: as poppler sees the tree."""
    _, folder, _ = out
    tree = tool("pdfinfo", "-struct", folder / "run-sheets.pdf").decode()
    for kind in ("H1", "H2", "P", "Figure", "L", "LI", "Table", "TR", "TH", "TD"):
        assert re.search(rf"^\s*{kind}\b", tree, re.MULTILINE), f"no {kind}"
    described = tool("pdfinfo", "-struct-text", folder / "run-sheets.pdf").decode()
    assert "Bench" in described


def grey(path, page, dpi=72):
    """A page as rows of grey values."""
    picture = tool("pdftoppm", "-gray", "-r", dpi, "-f", page, "-l", page, path)
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", picture)
    width, height = map(int, head.groups())
    pixels = picture[head.end() :]
    assert len(pixels) == width * height
    return [pixels[y * width : (y + 1) * width] for y in range(height)]


def test_pages_are_drawn_and_keep_to_their_margins(out):
    _, folder, _ = out
    for path in printed(folder):
        for page in range(1, int(info(path)["Pages"]) + 1):
            rows = grey(path, page)
            dark = sum(v < 128 for row in rows for v in row)
            assert dark > 0.003 * len(rows) * len(rows[0]), f"{path.name}, page {page} is nearly blank"
            # 8 mm at 72 dots an inch: what office printers leave white is less (common practice, no source).
            edge = int(8 / 25.4 * 72)
            inked = [row for row in (*rows[:edge], *rows[-edge:]) if min(row) < 128]
            assert not inked and all(min(*row[:edge], *row[-edge:]) >= 128 for row in rows), f"{path.name}, page {page}"


def test_manifest_is_what_sha256sum_reads(out):
    _, folder, _ = out
    said = tool("sha256sum", "-c", "--strict", "manifest.sha256", cwd=folder).decode().splitlines()
    named = {line.rsplit(":", 1)[0] for line in said}
    there = {p.name for p in folder.iterdir()} - {"manifest.sha256", "stonehand-export.list"}
    assert named == there and all(line.endswith(": OK") for line in said)
    program.run("check-export", folder)


def test_check_export_names_what_differs(tmp_path):
    folder, _ = exported(tmp_path, "a4")
    stl = next(folder.glob("*.stl"))
    stl.write_bytes(stl.read_bytes() + b"\0")
    png = next(folder.glob("*.png"))
    png.unlink()
    told = json.loads(program.run("check-export", folder, "--json", status=(1,)))
    assert {d["file"] for d in told["differs"]} == {stl.name, png.name}
    differs = subprocess.run(["sha256sum", "-c", "manifest.sha256"], cwd=folder, capture_output=True, text=True, check=False)
    failed = {line.split(":")[0] for line in differs.stdout.splitlines() if "FAILED" in line}
    assert failed == {stl.name, png.name}


def test_what_has_not_changed_stays_untouched(tmp_path):
    folder, _ = exported(tmp_path, "a4")
    before = {p.name: p.stat().st_mtime_ns for p in folder.iterdir()}
    program.run("export", tmp_path / "hive-fittings.stonehand", "-o", folder, status=(0, 1))
    after = {p.name: p.stat().st_mtime_ns for p in folder.iterdir()}
    assert before.keys() == after.keys()
    changed = {name for name in before if before[name] != after[name]}
    # The calendar says when it was made, to the minute.
    assert changed <= {"stonehand-export.list", "timeline.ics", "manifest.sha256"}, changed


def test_one_plate_beside_the_others(tmp_path):
    folder, _ = exported(tmp_path, "a4")
    job = tmp_path / "hive-fittings.stonehand"
    before = {p.name for p in folder.iterdir()}
    made = json.loads(program.run("export", job, "-o", folder, "--plate", 2, "--json", status=(0, 1)))
    assert made and all("-plate-2-" in name or name == "manifest.sha256" for name in made)
    assert before <= {p.name for p in folder.iterdir()}
    tool("sha256sum", "-c", "--strict", "manifest.sha256", cwd=folder)
    # All of it again: what was of one plate alone goes.
    program.run("export", job, "-o", folder, status=(0, 1))
    assert {p.name for p in folder.iterdir()} == before
    assert pathlib.Path(folder / "contents.txt").read_text(encoding="utf-8").count("Plate ") == 7
