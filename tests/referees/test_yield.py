"""Good copies, losses and plates to start, as `study copies --json` says them, against scipy's binomial and negative binomial distributions
(scipy.stats.binom, nbinom) over a range of chances, numbers and confidences. A failure within reach of others is drawn at random here, from the
program's own means."""

import json

import numpy as np
import pytest
from scipy.stats import binom, nbinom

from program import SAMPLES, run

JOB = SAMPLES / "hive-fittings.stonehand"


def job_with(folder, failing_percent, common_percent, wanted, part, gap=40):
    """The sample order with other assumptions; the gap keeps the number of copies, and so of rows, small."""
    job = json.loads(JOB.read_text(encoding="utf-8"))
    job["assumptions"] = {
        "sideways_n": 0.0, "safety_factor": 1.0, "failing_percent": failing_percent, "common_cause_percent": common_percent,
    }  # fmt: skip
    job["margins"]["gap_mm"] = gap
    for mesh in job["meshes"]:
        mesh["file"] = str(SAMPLES / mesh["file"])
    for p in job["parts"]:
        if p["name"] == part:
            p["wanted"] = wanted
    file = folder / "job.stonehand"
    file.write_text(json.dumps(job), encoding="utf-8")
    return file


def study(job, part, spoils, confidence):
    words = ("study", "copies", job, "--part", part, "--spoils", spoils, "--confidence", confidence, "--rounds", 0, "--json")
    return json.loads(run(*words, status=(0, 1)))


def plates_alone(n, p, q, wanted, confidence):
    """Fewest plates: those that no common cause spoils are binomial, and so are the good copies on them."""
    for m in range(1, 100_000):
        k = np.arange(m + 1)
        if (binom.pmf(k, m, 1 - q) * binom.sf(wanted - 1, k * n, p)).sum() >= confidence:
            return m
    raise AssertionError("no number of plates is enough")


def plates_spoilt(n, p, q, wanted, confidence):
    """Fewest plates where each is good as a whole or bad: the quantile of the negative binomial distribution."""
    good = -(-wanted // n)
    return int(nbinom.ppf(confidence, good, (1 - q) * p**n)) + good


def plates_in_turn(n, p, q, wanted, confidence):
    """Fewest plates where the first failure ends a plate: k good before it with chance p^k (1 - p), summed plate by plate by numpy.convolve."""
    one = np.array([p**k * (1 - p) for k in range(n)] + [p**n]) * (1 - q)
    one[0] += q
    total = np.array([1.0])
    for m in range(1, 100_000):
        total = np.convolve(total, one)
        if 1 - total[:wanted].sum() >= confidence:
            return m
    raise AssertionError("no number of plates is enough")


def ways(told):
    """Rows of copies together, and one after another."""
    rows = told["rows"]
    return [r for r in rows if r["way"] == "together"], [r for r in rows if r["way"] == "in-turn"]


CASES = [(2.0, 1.0, 12, 0.9), (0.5, 0.0, 40, 0.95), (10.0, 5.0, 7, 0.8), (30.0, 2.0, 25, 0.99)]


@pytest.mark.parametrize("failing, common, wanted, confidence", CASES)
def test_each_number_of_copies(tmp_path, failing, common, wanted, confidence):
    part, p, q = "corner bracket", 1 - failing / 100, common / 100
    job = job_with(tmp_path, failing, common, wanted, part)
    alone, plate = (study(job, part, s, confidence) for s in ("copy", "plate"))
    assert alone["assumed"] == {"failing_percent": failing, "common_cause_percent": common}
    (together, in_turn), (together_plate, _) = ways(alone), ways(plate)
    assert len(together) == len(together_plate) >= 3 and in_turn
    for a, b in zip(together, together_plate):
        n = a["copies"]
        # Nothing pushes the parts over: every copy fails as assumed, each by itself.
        assert a["expected_good"]["copy"] == pytest.approx(binom.mean(n, p), rel=1e-9)
        assert a["expected_good"]["plate"] == pytest.approx(n * binom.pmf(n, n, p), rel=1e-9)
        assert a["expected_good"]["plate"] - 1e-9 <= a["expected_good"]["reach"] <= a["expected_good"]["copy"] + 1e-9
        for kind in ("copy", "reach", "plate"):
            assert a["lost"][kind] == pytest.approx(n - a["expected_good"][kind], abs=1e-9)
        assert a["all_good"] == pytest.approx((1 - q) * binom.pmf(n, n, p), rel=1e-9)
        assert a["good"] == pytest.approx((1 - q) * n * p, rel=1e-9)
        assert b["good"] == pytest.approx((1 - q) * n * p**n, rel=1e-9)
        assert a["lost"]["common_causes"] == pytest.approx(q * n * p, rel=1e-9, abs=1e-12)
        assert a["plates_to_start"] == plates_alone(n, p, q, wanted, confidence), a
        assert b["plates_to_start"] == plates_spoilt(n, p, q, wanted, confidence), b
        assert a["good_per_day"] == pytest.approx(a["changeovers_per_day"] * a["good"], rel=1e-9)
        assert a["time_s"] == b["time_s"]
    for r in in_turn:
        n = r["copies"]
        # Good copies before the first failure, at most n: the sum of the chances that at least k are.
        good = sum(p**k for k in range(1, n + 1))
        assert r["expected_good"]["copy"] == pytest.approx(good, rel=1e-9)
        assert r["good"] == pytest.approx((1 - q) * good, rel=1e-9)
        assert r["plates_to_start"] == plates_in_turn(n, p, q, wanted, confidence), r
    best = max(alone["rows"], key=lambda r: r["good_per_day"])
    told = next(r for r in alone["rows"] if r["best"])
    assert told["good_per_day"] == pytest.approx(best["good_per_day"], rel=1.1e-3)


def test_reach_lies_between(tmp_path):
    """Plates to start where a failure takes its neighbours along: no fewer than where it spoils itself alone, no more than where it spoils the plate."""
    part = "queen-cage peg"
    job = job_with(tmp_path, 5.0, 1.0, 30, part, gap=25)
    told = [ways(study(job, part, s, 0.9))[0] for s in ("copy", "reach", "plate")]
    assert len(told[0]) >= 5
    for alone, reach, plate in zip(*told):
        assert alone["plates_to_start"] <= reach["plates_to_start"] <= plate["plates_to_start"]
        assert plate["good"] - 1e-9 <= reach["good"] <= alone["good"] + 1e-9
