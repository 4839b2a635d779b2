"""Plates in time, judged from outside: calendar files by icalendar, tables by Python's csv, hours by zoneinfo, and sequences by OR-Tools CP-SAT,
which solves small problems exactly. All it knows of a problem comes from `shifts --json`."""

import copy
import csv
import datetime
import io
import itertools
import json
import random
import zoneinfo

import icalendar
import pytest
import trimesh
from ortools.sat.python import cp_model

import program

START = "2026-11-30T08:00:00Z"
# Sides of boxes, mm: different print times.
BOXES = [(8, 8, 3), (12, 10, 4), (16, 14, 5)]
DAY = 86_400


@pytest.fixture(scope="module")
def base(tmp_path_factory):
    """A job of three boxes on one machine, as JSON, and its folder."""
    folder = tmp_path_factory.mktemp("shifts")
    words = []
    for n, sides in enumerate(BOXES):
        path = folder / f"box-{n}.stl"
        trimesh.creation.box(sides).export(path)
        words += ["--part", f"{path}:1"]
    job = folder / "base.stonehand"
    program.run("new", "-o", job, "--bed", "200x200x150", *words, status=(0, 1))
    return json.loads(job.read_text(encoding="utf-8")), folder


def clock(minutes):
    return f"{minutes // 60:02}:{minutes % 60:02}"


def problem(base, seed):
    """A job made from the base: some machines with the same bed, plates of boxes in several colours, hours, hand work."""
    rng = random.Random(seed)
    job = copy.deepcopy(base)
    ids = itertools.count(1000)
    machine = job["machines"][0]
    count = rng.choice([2, 2, 3, 4])
    job["machines"] = [dict(machine, id=next(ids), name=f"Bench {n + 1}") for n in range(count)]
    # Hours rather than minutes.
    job["recipes"] = [dict(r, time_factor=rng.choice([20.0, 35.0, 60.0])) for r in job["recipes"]]
    plates = []
    for number in range(rng.randint(4, 6 if count < 4 else 5)):
        part = rng.choice(job["parts"])
        copies = [
            {"id": next(ids), "part": part["id"], "number": 100 * number + k + 1, "x_mm": 20.0 + 25.0 * k, "y_mm": 40.0,
             "turn_deg": 0.0, "locked": False}
            for k in range(rng.randint(1, 6))
        ]  # fmt: skip
        plates.append({
            "id": next(ids), "machine": rng.choice(job["machines"])["id"], "material": part["material"],
            "colour": rng.choice(["straw", "white"]), "recipe": part["recipe"], "copies": copies,
        })  # fmt: skip
    job["plates"] = plates
    for part in job["parts"]:
        part["next_number"] = 10_000
    job["next_id"] = next(ids)
    spans = rng.choice([[(480, 1020)], [(480, 720), (780, 1020)], [(360, 600)], [(420, 900), (1080, 1200)]])
    day = [{"from": clock(a), "to": clock(b)} for a, b in spans]
    job["shifts"] = {
        "hours": {"time_zone": "UTC", "week": [day] * 7, "people": rng.choice([1, 1, 2])},
        "changeover": {
            "removal_s": float(rng.choice([300, 600, 900])), "preparing_s": float(rng.choice([300, 900, 1500])),
            "colour_change_s": float(rng.choice([0, 600, 1800])), "material_change_s": 600.0, "change_waste_g": 5.0,
            "removal_c": 43.0,
        },
    }  # fmt: skip
    if seed % 5 == 3:
        down = {"from": "2026-11-30T11:00:00", "to": "2026-11-30T15:00:00", "why": "new nozzle"}
        job["machines"][0]["downtimes"] = [down]
    if seed % 4 == 2:
        job["parts"][0]["due"] = "2026-11-30T16:00"
    return job


def shifts(path, *words, status=(0, 1)):
    return json.loads(program.run("shifts", path, "--start", START, "--now", START, "--json", *words, status=status))


def change_s(told, loaded, load):
    """Time of a change of filament before a plate."""
    if loaded is None or loaded == load:
        return 0
    return told["hand_work"]["colour_change_s" if loaded["material"] == load["material"] else "material_change_s"]


def judge(told):
    """Is the plan one that can be carried out? Everything as the words beside the command say it."""
    windows = [(w["from_s"], w["to_s"]) for w in told["attended"]]
    work = []
    assert told["plates"], "there is something to judge"
    for machine in told["machines"]:
        on = sorted((p for p in told["plates"] if p["machine"] == machine["machine"]), key=lambda p: p["print"]["from_s"])
        assert [p["plate"] for p in on] == machine["plates"]
        free, loaded = machine["free_s"], machine["load"]
        for p in on:
            [takes] = [o for o in p["on"] if o["machine"] == machine["machine"]]
            a, b, c = p["preparing"], p["print"], p["removal"]
            assert a["from_s"] >= free and a["to_s"] == b["from_s"], "prepared, and started at once"
            assert a["to_s"] - a["from_s"] == told["hand_work"]["preparing_s"] + change_s(told, loaded, p["load"])
            assert b["to_s"] - b["from_s"] == takes["print_s"]
            assert p["cool"]["to_s"] == b["to_s"] + takes["cool_s"] and c["from_s"] >= p["cool"]["to_s"]
            assert c["to_s"] - c["from_s"] == told["hand_work"]["removal_s"]
            for down in machine["down"]:
                assert a["from_s"] >= down["to_s"] or b["to_s"] <= down["from_s"], "no downtime cuts it"
            late = max(0, c["to_s"] - p["due_s"]) if p["due_s"] is not None else 0
            assert p["late_s"] == late
            work += [(a["from_s"], a["to_s"]), (c["from_s"], c["to_s"])]
            free, loaded = c["to_s"], p["load"]
    for from_s, to_s in work:
        assert any(w[0] <= from_s and to_s <= w[1] for w in windows), "hand work while somebody is there"
        assert sum(f <= from_s < t for f, t in work) <= told["people"], "one person at one machine at a time"
    assert told["cost"]["finish_s"] == max(p["print"]["to_s"] for p in told["plates"])
    assert told["cost"]["late_s"] == sum(p["late_s"] for p in told["plates"])
    assert told["bound"]["finish_s"] <= told["cost"]["finish_s"]


def exact(told):
    """The least lateness, and with it the least finish, that any plan can have (CP-SAT): (late_s, finish_s)."""
    m = cp_model.CpModel()
    # What the program found can be had, so nothing better needs more time; a day for the last removal.
    horizon = told["cost"]["finish_s"] + 2 * DAY
    windows = [(w["from_s"], w["to_s"]) for w in told["attended"] if w["from_s"] < horizon]
    hand = told["hand_work"]
    plates, machines = told["plates"], told["machines"]
    n = len(plates)
    time = lambda name: m.new_int_var(0, horizon, name)  # noqa: E731
    prep, start, end, cool, off, size = ([time(f"{w}{i}") for i in range(n)] for w in ("a", "b", "c", "d", "e", "s"))

    def within(from_, to, name):
        """Hand work lies in one of the windows."""
        here = [m.new_bool_var(f"{name}{k}") for k in range(len(windows))]
        m.add_exactly_one(here)
        for literal, (a, b) in zip(here, windows):
            m.add(from_ >= a).only_enforce_if(literal)
            m.add(to <= b).only_enforce_if(literal)

    hands, present = [], {}
    for i, plate in enumerate(plates):
        off_end = time(f"f{i}")
        m.add(start[i] == prep[i] + size[i])
        m.add(off_end == off[i] + hand["removal_s"])
        m.add(off[i] >= cool[i])
        within(prep[i], start[i], f"wa{i}_")
        within(off[i], off_end, f"we{i}_")
        hands.append(m.new_interval_var(prep[i], size[i], start[i], f"ha{i}"))
        hands.append(m.new_interval_var(off[i], hand["removal_s"], off_end, f"he{i}"))
        by_name = {o["machine"]: o for o in plate["on"]}
        literals = []
        for b, machine in enumerate(machines):
            if machine["machine"] not in by_name:
                continue
            o = by_name[machine["machine"]]
            literal = present[i, b] = m.new_bool_var(f"on{i}_{b}")
            literals.append(literal)
            m.add(end[i] == start[i] + o["print_s"]).only_enforce_if(literal)
            m.add(cool[i] == end[i] + o["cool_s"]).only_enforce_if(literal)
            for k, down in enumerate(machine["down"]):
                before = m.new_bool_var(f"down{i}_{b}_{k}")
                m.add(end[i] <= down["from_s"]).only_enforce_if([literal, before])
                m.add(prep[i] >= down["to_s"]).only_enforce_if([literal, ~before])
        m.add_exactly_one(literals)
    m.add_cumulative(hands, [1] * len(hands), told["people"])
    for b, machine in enumerate(machines):
        arcs = []
        empty = m.new_bool_var(f"empty{b}")
        arcs.append((0, 0, empty))
        for i, plate in enumerate(plates):
            if (i, b) not in present:
                continue
            arcs.append((i + 1, i + 1, ~present[i, b]))
            m.add_implication(empty, ~present[i, b])
            first, last = m.new_bool_var(f"first{i}_{b}"), m.new_bool_var(f"last{i}_{b}")
            arcs += [(0, i + 1, first), (i + 1, 0, last)]
            m.add(size[i] == hand["preparing_s"] + change_s(told, machine["load"], plate["load"])).only_enforce_if(first)
            m.add(prep[i] >= machine["free_s"]).only_enforce_if(first)
            for j, other in enumerate(plates):
                if i == j or (j, b) not in present:
                    continue
                arc = m.new_bool_var(f"arc{i}_{j}_{b}")
                arcs.append((i + 1, j + 1, arc))
                m.add(size[j] == hand["preparing_s"] + change_s(told, plate["load"], other["load"])).only_enforce_if(arc)
                m.add(prep[j] >= off[i] + hand["removal_s"]).only_enforce_if(arc)
        m.add_circuit(arcs)
    late = []
    for i, plate in enumerate(plates):
        if plate["due_s"] is not None:
            by = time(f"late{i}")
            m.add(by >= off[i] + hand["removal_s"] - plate["due_s"])
            late.append(by)
    finish = time("finish")
    m.add_max_equality(finish, end)

    def solve(objective):
        m.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = 60
        assert solver.solve(m) == cp_model.OPTIMAL, "it is small enough to be solved exactly"
        return round(solver.objective_value)

    least_late = solve(sum(late)) if late else 0
    if late:
        m.add(sum(late) <= least_late)
    return least_late, solve(finish)


SEEDS = list(range(32))


@pytest.fixture(scope="module")
def solved(base):
    """seed → (the plan as it stood, the plan improved, the optimum)."""
    job, folder = base
    out = {}
    for seed in SEEDS:
        path, better = folder / f"p{seed}.stonehand", folder / f"p{seed}-better.stonehand"
        path.write_text(json.dumps(problem(job, seed)), encoding="utf-8")
        before = shifts(path)
        told = shifts(path, "--improve", "--rounds", 60, "-o", better)
        # What was written says the same as what was told.
        again = shifts(better)
        assert [p["print"] for p in again["plates"]] == [p["print"] for p in told["plates"]]
        out[seed] = before, told, exact(told)
    return out


@pytest.mark.parametrize("seed", SEEDS)
def test_plans_can_be_carried_out(solved, seed):
    before, told, _ = solved[seed]
    judge(before)
    judge(told)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_plan_beats_the_optimum_and_no_bound_does(solved, seed):
    before, told, (late, finish) = solved[seed]
    cost = told["cost"]
    assert (late, finish) <= (cost["late_s"], cost["finish_s"]) <= (before["cost"]["late_s"], before["cost"]["finish_s"])
    if late == cost["late_s"] == 0 and not any(p["due_s"] for p in told["plates"]):
        assert told["bound"]["finish_s"] <= finish


def test_most_sequences_are_optimal_and_the_others_are_near(solved):
    """OR-Tools CP-SAT, each problem solved to optimality."""
    gaps = []
    for _, told, (late, finish) in solved.values():
        cost = told["cost"]
        assert cost["late_s"] <= late + 900, "within a quarter of an hour of the least lateness"
        if cost["late_s"] == late:
            gaps.append(cost["finish_s"] / finish - 1)
    exactly = sum(gap == 0 for gap in gaps)
    print(f"{exactly} of {len(solved)} optimal, worst {max(gaps):.4f}")
    assert exactly >= 0.9 * len(solved) and max(gaps) <= 0.02


def test_more_machines_and_people_are_used(solved):
    """The problems are not all alike: some improve, some have several machines busy, some are late, some change filament."""
    told = [t for _, t, _ in solved.values()]
    assert sum(t["cost"] != b["cost"] for b, t, _ in solved.values()) >= 10
    assert any(t["people"] == 2 for t in told) and any(t["cost"]["changes"] for t in told)
    assert any(t["cost"]["late_s"] for t in told) and any(m["down"] for t in told for m in t["machines"])
    assert max(sum(bool(m["plates"]) for m in t["machines"]) for t in told) >= 3


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    """The sample order planned from half past four on a Monday: JSON, calendar and table."""
    folder = tmp_path_factory.mktemp("plan")
    ics, table = folder / "plan.ics", folder / "plan.csv"
    when = ["--start", "2027-03-27T16:30", "--now", "2027-03-27T16:30"]
    order = program.SAMPLES / "hive-fittings.stonehand"
    told = json.loads(program.run("shifts", order, *when, "--json", "--calendar", ics, "--csv", table, status=(0, 1)))
    again = folder / "again.ics"
    program.run("shifts", order, *when, "--calendar", again, status=(0, 1))
    assert ics.read_bytes() == again.read_bytes(), "the same plan and time give the same bytes"
    return told, ics, table


def instant(text):
    return datetime.datetime.fromisoformat(text)


def test_calendar(sample):
    """PyPI icalendar reads the file strictly: RFC 5545."""
    told, ics, _ = sample
    calendar = icalendar.Calendar.from_ical(ics.read_bytes())
    events = [e for e in calendar.walk("VEVENT")]
    assert not calendar.errors and all(not e.errors for e in events)
    stamp = {e["DTSTAMP"].dt for e in events}
    assert stamp == {instant("2027-03-27T16:30:00+00:00")}
    assert len({e["UID"] for e in events}) == len(events) == 3 * len(told["plates"])
    kinds = {"prepare": "preparing", "print": "print", "removal": "removal"}
    for plate in told["plates"]:
        for kind, key in kinds.items():
            [event] = [e for e in events if f"-plate-{plate['id']}-{kind}@" in e["UID"]]
            assert event["DTSTART"].dt == instant(plate[key]["from"]) and event["DTEND"].dt == instant(plate[key]["to"])
            assert event["DTSTART"].dt.utcoffset() == datetime.timedelta(0)
            assert event["LOCATION"] == plate["machine"] and f"plate {plate['plate']}" in event["SUMMARY"]
            if kind == "print":
                # The range of the end in the shop's time, which is named.
                local = [instant(plate["end_range"][k]).astimezone(zoneinfo.ZoneInfo(told["time_zone"])) for k in ("from", "to")]
                first, last = (f"{t:%a} {t.day} {t:%b %Y %H:%M}" for t in local)
                last = last if local[0].date() != local[1].date() else f"{local[1]:%H:%M}"
                assert f"between {first} and {last} ({told['time_zone']})" in event["DESCRIPTION"]


def test_table(sample):
    told, _, table = sample
    rows = list(csv.DictReader(io.StringIO(table.read_bytes().decode("utf-8"), newline="")))
    assert table.read_bytes().count(b"\r\n") == len(rows) + 1 == len(told["plates"]) + 1
    zone = zoneinfo.ZoneInfo(told["time_zone"])
    for row in rows:
        [plate] = [p for p in told["plates"] if p["plate"] == int(row["plate"])]
        names = {part["letter"]: part["name"] for part in json.loads((program.SAMPLES / "hive-fittings.stonehand").read_text(encoding="utf-8"))["parts"]}
        assert row["part_names"] == ", ".join(names[letter] for letter in row["parts"].split(", "))
        assert row["machine"] == plate["machine"] and int(row["copies"]) == plate["copies"]
        for key, (part, end) in {"preparing_from": ("preparing", "from"), "print_to": ("print", "to"), "removal_to": ("removal", "to")}.items():
            told_at = instant(plate[part][end])
            assert instant(row[key]) == told_at
            assert instant(row[key]).utcoffset() == told_at.astimezone(zone).utcoffset(), "local time with its offset"
        assert instant(row["print_end_latest"]) == instant(plate["end_range"]["to"])


def test_hours_by_the_time_zone_database(sample):
    """zoneinfo, over the night of 28 March 2027 in which clocks go forward: every stretch begins and ends at the hours of its weekday."""
    told, *_ = sample
    hours = json.loads((program.SAMPLES / "hive-fittings.stonehand").read_text(encoding="utf-8"))["shifts"]["hours"]
    assert hours["time_zone"] == told["time_zone"]
    zone = zoneinfo.ZoneInfo(told["time_zone"])
    start = instant(told["start"])
    assert len(told["attended"]) > 3
    for window in told["attended"]:
        for key in ("from", "to"):
            at = instant(window[key])
            assert (at - start).total_seconds() == window[f"{key}_s"]
            local = at.astimezone(zone)
            ends = {span[key] for span in hours["week"][local.weekday()]}
            assert window["from_s"] == 0 or local.strftime("%H:%M") in ends, (window, ends)


def test_figures(sample):
    """Names after ISO 22400-2: what they are made of, and their ratios."""
    told, *_ = sample
    for machine in told["machines"]:
        f = machine["figures"]
        on = [p for p in told["plates"] if p["machine"] == machine["machine"]]
        assert f["production_s"] == sum(p["print"]["to_s"] - p["print"]["from_s"] for p in on)
        hand = sum(w["to_s"] - w["from_s"] for p in on for w in (p["preparing"], p["removal"]))
        assert f["setup_s"] == hand
        assert f["delay_s"] == sum(p["removal"]["from_s"] - p["print"]["to_s"] for p in on)
        assert f["busy_s"] == f["production_s"] + f["setup_s"] + f["delay_s"]
        if on:
            assert f["availability"] == pytest.approx(f["production_s"] / f["planned_busy_s"])
            assert f["utilisation_efficiency"] == pytest.approx(f["production_s"] / f["busy_s"])
            assert f["allocation_efficiency"] == pytest.approx(f["busy_s"] / f["planned_busy_s"])
