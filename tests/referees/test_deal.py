"""The order dealt out over plates, machines and days. OR-Tools CP-SAT puts the plates that `deal` made in sequence by itself, shapely measures that
nothing overlaps (plates.py), and every copy that is wanted is counted."""

import datetime
import json
import math

import pytest
from ortools.sat.python import cp_model

import program
from plates import judge

START = "2026-12-01T08:00"
OPEN_H, CLOSE_H = 8, 17
# Minutes: what the model counts in. Our seconds are rounded up, so its plan is no shorter than a real one by more than a tick a plate.
TICK_S = 60


def order(folder, name, machines, parts, footing="bare", **hours):
    """A job of sample meshes over equal machines, with nothing on plates yet: who deals it, deals all of it."""
    job = folder / f"{name}.stonehand"
    words = ["new", "-o", job, "--seconds", "0", "--footing", footing]
    for _ in range(machines):
        words += ["--bed", "240x200x190"]
    for mesh, count in parts:
        words += ["--part", f"{program.SAMPLES / mesh}:{count}"]
    program.run(*words, status=(0, 1))
    text = json.loads(job.read_text(encoding="utf-8"))
    day = [{"from": f"{OPEN_H:02}:00", "to": f"{CLOSE_H:02}:00"}]
    inner = text.get("job", text)
    inner["plates"] = []
    shifts = {
        "hours": {"time_zone": "Europe/Lisbon", "week": [day] * 7, "people": hours.get("people", 1)},
        "changeover": {"removal_s": 300.0, "preparing_s": 300.0, "colour_change_s": 300.0, "material_change_s": 600.0,
                       "change_waste_g": 5.0, "removal_c": 43.0},
    }
    inner["shifts"] = shifts
    job.write_text(json.dumps(text), encoding="utf-8")
    return job


def deal(job, *words, status=(0, 1)):
    out = job.with_name(job.stem + "-dealt.stonehand")
    told = program.run("deal", job, "-o", out, "--start", START, "--json", *words, status=status)
    return json.loads(told), out


def seconds(text):
    start = datetime.datetime.fromisoformat(START + "+00:00")
    return (datetime.datetime.fromisoformat(text) - start).total_seconds()


def prints(told):
    """Print time of each plate, s, and how long it lies on its machine after that until it is taken off, at the least."""
    return [seconds(row["end"]) - seconds(row["start"]) for row in told["timeline"]]


def attended(days):
    return [(d * 86_400, d * 86_400 + (CLOSE_H - OPEN_H) * 3600) for d in range(days)]


def timely(told, removal_s=300, preparing_s=300):
    """The timeline keeps the rules: hand work inside hours, one person at one machine, one plate at a time on a machine."""
    busy = []
    machines = {}
    for row in told["timeline"]:
        start, end, ready = (seconds(row[k]) for k in ("start", "end", "ready"))
        assert start <= end <= ready
        for work in ((start - preparing_s, start), (ready - removal_s, ready)):
            inside = any(a <= work[0] and work[1] <= b for a, b in attended(60))
            assert inside, f"{row} outside hours"
            busy.append(work)
        machines.setdefault(row["machine"], []).append((start - preparing_s, ready))
    for all_of_one in [busy, *machines.values()]:
        all_of_one.sort()
        for one, other in zip(all_of_one, all_of_one[1:]):
            assert one[1] <= other[0] + 1e-6, (one, other)


def best_finish(times_s, machines, cool_s, days, limit_s=60):
    """The earliest end of the last print of plates of these times on equal machines, one person; CP-SAT. Returns the value and its bound, s."""
    up = lambda s: math.ceil(s / TICK_S)
    down = lambda s: math.floor(s / TICK_S)
    model = cp_model.CpModel()
    horizon = down(days * 86_400)
    hours = [(up(a), down(b)) for a, b in attended(days)]
    hand, cool = up(300), down(cool_s)
    inside = lambda length: cp_model.Domain.from_intervals([[a, b - length] for a, b in hours if b - length >= a])
    finish = model.new_int_var(0, horizon, "finish")
    person, on = [], [[] for _ in range(machines)]
    for n, s in enumerate(times_s):
        length = down(s)
        begin = model.new_int_var_from_domain(inside(hand), f"begin {n}")
        off = model.new_int_var_from_domain(inside(hand), f"off {n}")
        model.add(off >= begin + hand + length + cool)
        person += [model.new_fixed_size_interval_var(begin, hand, f"prepare {n}"),
                   model.new_fixed_size_interval_var(off, hand, f"remove {n}")]
        model.add(finish >= begin + hand + length)
        whole = model.new_int_var(0, horizon, f"whole {n}")
        here = [model.new_bool_var(f"{n} on {m}") for m in range(machines)]
        model.add_exactly_one(here)
        for m in range(machines):
            on[m].append(model.new_optional_interval_var(begin, whole, off + hand, here[m], f"run {n} {m}"))
    model.add_no_overlap(person)
    for intervals in on:
        model.add_no_overlap(intervals)
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return solver.objective_value * TICK_S, solver.best_objective_bound * TICK_S


CASES = {
    "one machine": (1, [("frame-spacer.obj", 30), ("corner-bracket.stl", 12)]),
    "two machines": (2, [("frame-spacer.obj", 40), ("entrance-gate.stl", 14), ("jar-lid-adapter.stl", 8)]),
    "three machines": (3, [("entrance-gate.stl", 30), ("corner-bracket.stl", 20), ("queen-cage-peg.stl", 14)]),
}


@pytest.fixture(scope="module", params=CASES)
def dealt(request, tmp_path_factory):
    machines, parts = CASES[request.param]
    job = order(tmp_path_factory.mktemp("deal"), "order", machines, parts)
    told, out = deal(job, "--rounds", "10")
    return machines, parts, told, out


def test_nothing_overlaps_and_every_copy_is_dealt_once(dealt):
    _, parts, told, out = dealt
    assert told["unplaced"] == []
    assert judge(told, out) == sum(n for _, n in parts)
    counts = {}
    for plate in told["plates"]:
        for copy in plate["copies"]:
            counts[copy["part"]] = counts.get(copy["part"], 0) + 1
    assert sorted(counts.values()) == sorted(n for _, n in parts)
    names = [c["copy"] for p in told["plates"] for c in p["copies"]]
    assert len(set(names)) == len(names)


def test_the_timeline_keeps_the_rules(dealt):
    machines, _, told, _ = dealt
    timely(told)
    assert len({row["machine"] for row in told["timeline"]}) <= machines
    assert [row["plate"] for row in told["timeline"]] == list(range(1, len(told["plates"]) + 1))
    finish = max(seconds(row["end"]) for row in told["timeline"])
    assert seconds(told["finish"]) == finish
    assert seconds(told["bound"]) <= finish
    assert told["gap"] == pytest.approx(finish / seconds(told["bound"]) - 1, abs=1e-9)


def test_no_much_better_sequence_of_these_plates(dealt):
    """Within 5 % of what CP-SAT finds for the same plates, whichever machine they go to."""
    machines, _, told, _ = dealt
    finish = seconds(told["finish"])
    # Newton's law of cooling, as models.md has it: 900 s · ln((60 − 25)/(43 − 25)) and the like; the bed's own numbers are in the job.
    rows = told["timeline"]
    cool_s = min(seconds(r["ready"]) - seconds(r["end"]) - 300 for r in rows)
    days = math.ceil(finish / 86_400) + 2
    value, bound = best_finish(prints(told), machines, max(cool_s, 0), days)
    print(f"{len(rows)} plates on {machines}: ours {finish / 3600:.2f} h, CP-SAT {value / 3600:.2f} h, its bound {bound / 3600:.2f} h")
    assert finish <= 1.05 * value + TICK_S * len(rows)
    assert finish >= bound - TICK_S * 2 * len(rows)


def test_same_seed_and_rounds_same_plates(tmp_path):
    job = order(tmp_path, "again", 2, CASES["two machines"][1])
    assert deal(job, "--rounds", "3")[0] == deal(job, "--rounds", "3")[0]


def unserved(job):
    estimate = json.loads(program.run("estimate", job, "--json", status=(0, 1)))
    return sum(layer["unserved_s"] for plate in estimate["plates"] for layer in plate["layers"])


def test_tall_pegs_share_a_plate(tmp_path):
    """Common practice, no source: tall parts cool well in company. 14 tall pegs among low parts, over two machines: dealt, less cooling is left
    unserved than packed on as few plates as possible."""
    parts = [("queen-cage-peg.stl", 14), ("entrance-gate.stl", 6), ("frame-spacer.obj", 10), ("corner-bracket.stl", 10), ("jar-lid-adapter.stl", 5)]
    job = order(tmp_path, "pegs", 2, parts, footing="brim:5")
    packed = tmp_path / "packed.stonehand"
    program.run("pack", job, "-o", packed, "--rounds", "4", status=(0, 1))
    told, out = deal(job, "--rounds", "10")
    before, after = unserved(packed), unserved(out)
    print(f"unserved: packed {before / 60:.1f} min, dealt {after / 60:.1f} min")
    assert after <= before + 1
    pegs = [sum(c["copy"].startswith("A ") for c in p["copies"]) for p in told["plates"]]
    assert sum(pegs) == 14 and min(n for n in pegs if n) >= 3


@pytest.mark.parametrize(
    "change, says",
    [
        (lambda job: job["shifts"]["hours"].update(week=[[]] * 7), "nobody is ever there"),
        (lambda job: job["shifts"]["changeover"].update(preparing_s=40_000.0), "nobody is there for longer than"),
        (lambda job: job["shifts"]["changeover"].update(removal_s=40_000.0), "nobody is there for longer than"),
        (lambda job: [p.update(wanted=0) for p in job["parts"]], "there is nothing to deal out"),
    ],
)
def test_what_cannot_be_dealt_is_told(tmp_path, change, says):
    job = order(tmp_path, "bad", 1, [("entrance-gate.stl", 2)])
    text = json.loads(job.read_text(encoding="utf-8"))
    change(text.get("job", text))
    job.write_text(json.dumps(text), encoding="utf-8")
    import subprocess

    words = [str(program.BINARY), "deal", str(job), "-o", str(tmp_path / "out.stonehand"), "--start", START, "--rounds", "1"]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 2 and says in done.stderr, done
    assert not (tmp_path / "out.stonehand").exists()
