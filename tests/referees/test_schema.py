"""placements.json against assets/placements.schema.json, by jsonschema."""

import copy
import json

import jsonschema
import pytest

import program
from conftest import JOBS


@pytest.fixture(scope="module")
def validator():
    schema = json.loads((program.ROOT / "assets/placements.schema.json").read_text(encoding="utf-8"))
    kind = jsonschema.validators.validator_for(schema)
    kind.check_schema(schema)
    return kind(schema)


@pytest.mark.parametrize("move", ["placed", "pack", "top-up"])
@pytest.mark.parametrize("name", JOBS)
def test_placements_are_valid(results, validator, name, move):
    validator.validate(results[name, move][0])


def test_what_pack_tells_is_valid(jobs, validator, tmp_path):
    told = program.run("pack", jobs["round"], "-o", tmp_path / "p.stonehand", "--rounds", 2, "--seed", 1, "--json", status=(0, 1))
    validator.validate(json.loads(told))


@pytest.mark.parametrize(
    "path",
    [
        ("version",), ("unit",), ("origin",), ("margins",), ("margins", "gap_mm"), ("margins", "tolerance_mm"), ("plates",),
        ("unplaced",), ("plates", 0, "machine"), ("plates", 0, "bed"), ("plates", 0, "bed", "outline"), ("plates", 0, "density"),
        ("plates", 0, "time_s"), ("plates", 0, "mass_g"), ("plates", 0, "items"), ("plates", 0, "items", "walls_s"),
        ("plates", 0, "copies"), ("plates", 0, "copies", 0, "copy"), ("plates", 0, "copies", 0, "matrix"),
        ("plates", 0, "copies", 0, "sha256"), ("plates", 0, "copies", 0, "mirrored"), ("plates", 0, "copies", 0, "shadow"),
        ("plates", 0, "copies", 0, "footing_outline"), ("plates", 0, "copies", 0, "pose"),
    ],
)  # fmt: skip
def test_the_schema_misses_a_key(results, validator, path):
    """A schema that accepts anything is none: each of these keys must be asked for."""
    value = copy.deepcopy(results["rectangle", "pack"][0])
    inner = value
    for step in path[:-1]:
        inner = inner[step]
    del inner[path[-1]]
    with pytest.raises(jsonschema.ValidationError):
        validator.validate(value)


def test_the_schema_misses_a_kind(results, validator):
    """Nor may a number be a word, a matrix have eleven numbers, or a unit be another."""
    for change in (
        lambda v: v["plates"][0]["copies"][0].update(x_mm="12,5"),
        lambda v: v["plates"][0]["copies"][0]["matrix"].pop(),
        lambda v: v["plates"][0]["copies"][0]["pose"].pop(),
        lambda v: v.update(unit="inch"),
        lambda v: v["margins"].update(gap_mm=None),
    ):
        value = copy.deepcopy(results["rectangle", "pack"][0])
        change(value)
        with pytest.raises(jsonschema.ValidationError):
            validator.validate(value)
