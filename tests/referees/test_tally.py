"""What `tally --report --json` says, against scipy's beta, t, chi2, betabinom and fisher_exact; the table it writes is read by pandas, and one that pandas writes is
read by the program."""

import json
import math

import numpy as np
import pandas
import pytest
from scipy import optimize, stats

from program import SAMPLES, run


@pytest.fixture(scope="module")
def tallied(tmp_path_factory):
    """A job of three plates of two parts and two footings, each run several times; outcomes drawn at random, and written as a table by pandas."""
    folder = tmp_path_factory.mktemp("tally")
    job = folder / "job.stonehand"
    words = ["--bed", "150x130x150", "--bed", "150x130x150", "--gap", 8]
    run("new", "-o", job, *words, "--part", f"{SAMPLES / 'corner-bracket.stl'}:14", "--part", f"{SAMPLES / 'frame-spacer.obj'}:6", status=(0, 1))
    content = json.loads(job.read_text(encoding="utf-8"))
    assert len(content["plates"]) >= 2, "several plates"
    letters = {p["id"]: p["letter"] for p in content["parts"]}
    # Half of one part's copies stand on a brim; plates are on both machines.
    for i, plate in enumerate(content["plates"]):
        plate["machine"] = content["machines"][i % 2]["id"]
        for k, copy in enumerate(plate["copies"]):
            if k % 2:
                copy["footing"] = {"kind": "brim", "width_mm": 3.0}
    job.write_text(json.dumps(content), encoding="utf-8")
    estimate = json.loads(run("estimate", job, "--json", status=(0, 1)))
    rng = np.random.default_rng(7)
    rows = []
    for r in range(12):
        for i, plate in enumerate(content["plates"]):
            names = [f"{letters[c['part']]} {c['number']}" for c in plate["copies"]]
            lost = rng.random() < 0.08
            bad = names if lost else [n for n in names if rng.random() < (0.25 if n.startswith("A") else 0.05)]
            hours = estimate["plates"][i]["time_s"] / 3600 * math.exp(rng.normal(0.2, 0.06))
            rows.append({
                "plate": i + 1, "run": r + 1, "date": f"2026-10-{r + 1:02}T{8 + i:02}:00:00Z", "hours": round(hours, 4), "good": len(names) - len(bad),
                "bad": len(bad), "bad_copies": ", ".join(f"{n}:{'power' if lost else 'came-loose'}" for n in bad), "initials": "JK",
                "note": "=SUM(1)" if r == 0 else "",
            })  # fmt: skip
    table = folder / "in.csv"
    pandas.DataFrame(rows).to_csv(table, index=False)
    out, csv = folder / "tallied.stonehand", folder / "out.csv"
    run("tally", job, "-o", out, "--csv-in", table, "--csv-out", csv, status=(0, 1))
    report = json.loads(run("tally", out, "--report", "--json", status=(0, 1)))
    return rows, content, estimate, report, csv


def jeffreys(x, n):
    posterior = stats.beta(x + 0.5, n - x + 0.5)
    low, high = posterior.ppf([0.025, 0.975])
    return posterior.mean(), 0 if x == 0 else low, 1 if x == n else high


def check_rate(rate, x, n):
    assert (rate["failed"], rate["of"]) == (x, n)
    assert [rate["mean"], rate["low"], rate["high"]] == pytest.approx(jeffreys(x, n), rel=1e-8, abs=1e-12)


def is_lost(row):
    return row["good"] == 0 and "power" in row["bad_copies"]


def sound(tallied):
    rows, content, *_ = tallied
    return [(r, content["plates"][r["plate"] - 1]) for r in rows if not is_lost(r)]


def bad_names(row):
    return [entry.split(":")[0] for entry in row["bad_copies"].split(", ") if entry]


def test_rates_are_jeffreys(tallied):
    rows, content, _, report, _ = tallied
    lost = sum(is_lost(r) for r in rows)
    assert 0 < lost < len(rows), "the draw has some"
    check_rate(report["lost_plates"], lost, len(rows))
    check_rate(report["failing"], sum(r["bad"] for r, _ in sound(tallied)), sum(len(p["copies"]) for _, p in sound(tallied)))
    for part in content["parts"]:
        [group] = [g for g in report["failures"] if g["by"] == "part" and g["id"] == part["id"]]
        n = sum(c["part"] == part["id"] for _, p in sound(tallied) for c in p["copies"])
        x = sum(name.split()[0] == part["letter"] for r, _ in sound(tallied) for name in bad_names(r))
        check_rate(group["own"], x, n)


def test_the_next_plate_is_beta_binomial(tallied):
    report = tallied[3]
    n, rate = report["next_plate"], report["failing"]
    next_bad = stats.betabinom(n["copies"], rate["failed"] + 0.5, rate["of"] - rate["failed"] + 0.5)
    assert [n["mean_bad"], n["all_good"], n["at_most_one_bad"]] == pytest.approx([next_bad.mean(), next_bad.pmf(0), next_bad.cdf(1)], rel=1e-8)


def test_groups_are_drawn_together_by_a_beta_prior(tallied):
    report = tallied[3]
    for by in ("part", "machine", "material", "footing"):
        groups = [g for g in report["failures"] if g["by"] == by]
        counts = [(g["own"]["failed"], g["own"]["of"]) for g in groups]
        prior = groups[0]["prior"]
        x, n = np.sum(counts, axis=0)
        assert prior["mean"] == pytest.approx((x + 0.5) / (n + 1))
        if len(groups) >= 3:

            def cost(ln_s):
                s = math.exp(ln_s)
                return -sum(stats.betabinom.logpmf(x, n, prior["mean"] * s, (1 - prior["mean"]) * s) for x, n in counts)

            found = optimize.minimize_scalar(cost, bounds=(math.log(2), math.log(1e4)), method="bounded", options={"xatol": 1e-10})
            assert cost(math.log(prior["copies"])) <= found.fun + 1e-6
        else:
            assert prior["copies"] == 10
        for g, (x, n) in zip(groups, counts):
            a, b = x + prior["mean"] * prior["copies"], n - x + (1 - prior["mean"]) * prior["copies"]
            expected = jeffreys(x, n) if len(groups) == 1 else (a / (a + b), *stats.beta(a, b).ppf([0.025, 0.975]))
            assert [g["shrunk"][k] for k in ("mean", "low", "high")] == pytest.approx(expected, rel=1e-7, abs=1e-12)


def logarithms(tallied, machine=None):
    rows, content, estimate, *_ = tallied
    return [
        math.log(r["hours"] * 3600 / estimate["plates"][r["plate"] - 1]["time_s"])
        for r, p in sound(tallied)
        if machine is None or p["machine"] == machine
    ]


def test_time_factors_are_student(tallied):
    content, report = tallied[1], tallied[3]
    names = {m["name"]: m["id"] for m in content["machines"]}
    assert len(report["time_factors"]) >= 3
    for t in report["time_factors"]:
        y = np.array(logarithms(tallied, names.get(t["machine"])))
        n = len(y)
        assert t["plates"] == n
        assert math.log(t["measured"]) == pytest.approx(y.mean(), abs=1e-9)
        low, high = stats.t.interval(0.95, n - 1, loc=y.mean(), scale=stats.sem(y))
        assert [t["measured_low"], t["measured_high"]] == pytest.approx([math.exp(low), math.exp(high)], rel=1e-8)
        prior = t["prior"]
        k, freedom = prior["plates"] + n, prior["freedom"] + n
        mean = n * y.mean() / k
        squares = prior["freedom"] * prior["deviation"] ** 2 + ((y - y.mean()) ** 2).sum() + prior["plates"] * n * y.mean() ** 2 / k
        low, high = stats.t.interval(0.95, freedom, loc=mean, scale=math.sqrt(squares / freedom / k))
        assert [t["factor"], t["low"], t["high"]] == pytest.approx([math.exp(v) for v in (mean, low, high)], rel=1e-8)


def test_spread_of_times(tallied):
    content, report = tallied[1], tallied[3]
    groups = [np.array(logarithms(tallied, m["id"])) for m in content["machines"]]
    groups = [g for g in groups if len(g) > 1]
    freedom = sum(len(g) - 1 for g in groups)
    deviation = math.sqrt(sum(((g - g.mean()) ** 2).sum() for g in groups) / freedom)
    percent = lambda k: 100 * (math.exp(k * deviation) - 1)  # noqa: E731
    chi = stats.chi2(freedom)
    expected = [percent(stats.t.ppf(0.975, freedom)), *(percent(1.959964 * math.sqrt(freedom / chi.ppf(p))) for p in (0.975, 0.025))]
    told = report["time_spread"]
    assert told["freedom"] == freedom
    assert [told["percent"], told["low"], told["high"]] == pytest.approx(expected, rel=1e-6)


def test_places_are_fisher(tallied):
    report = tallied[3]
    assert [(t["one"]["side"], t["other"]["side"]) for t in report["places"]] == [("left", "right"), ("front", "back"), ("inside", "outside")]
    for t in report["places"]:
        (a, n), (b, m) = ((t[s]["failed"], t[s]["of"]) for s in ("one", "other"))
        assert n + m == sum(len(p["copies"]) for _, p in sound(tallied))
        assert t["p"] == pytest.approx(stats.fisher_exact([[a, n - a], [b, m - b]]).pvalue, rel=1e-6)
    assert sum(s["failed"] for s in report["spots"]) == sum(r["bad"] for r, _ in sound(tallied))


def test_the_table_is_read_by_pandas(tallied):
    rows, *_, csv = tallied
    read = pandas.read_csv(csv, keep_default_na=False)
    assert list(read["plate"]) == [r["plate"] for r in rows]
    assert list(read["good"]) == [r["good"] for r in rows]
    assert list(read["hours"]) == pytest.approx([r["hours"] for r in rows], abs=1e-4)
    assert list(pandas.to_datetime(read["date"], utc=True)) == list(pandas.to_datetime([r["date"] for r in rows], utc=True))
    assert [sorted(t.split(", ")) for t in read["bad_copies"]] == [sorted(r["bad_copies"].split(", ")) for r in rows]
    assert not any(str(v).startswith("=") for v in read["note"]), "no formula"
