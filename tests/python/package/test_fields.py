"""What is said once of a field is what every reader has of it."""

from __future__ import annotations

import inspect
import json

import brinefront as bf
import pytest
from brinefront import _core
from brinefront.native import fields
from brinefront.units.fields import of_field

STRUCTS = {"Rinse": ("SlowRinse", "FastRinse"), "BeadSize": (), "": ()}
RECORDS = [
    (name, each) for each in _core.fields() for name in STRUCTS.get(each["owner"], (each["owner"],))
    if not each["name"].endswith(".*")
]  # fmt: skip


def parameter(owner: str, name: str) -> inspect.Parameter:
    return inspect.signature(getattr(bf, owner)).parameters[name.rpartition(".")[2]]


def test_every_argument_has_a_record() -> None:
    recorded = {(owner, each["name"].rpartition(".")[2]) for owner, each in RECORDS}
    # Of a mapping that must be given, its items have a record; parts of a case have records for their fields.
    recorded |= {("Water", "ions")}
    parts = {"water", "resin", "bed", "service", "regeneration", "rates", "maldistribution", "site", "display"}
    owners = {owner for owner, _ in RECORDS}
    wanted = {(owner, name) for owner in owners for name in inspect.signature(getattr(bf, owner)).parameters} - {
        (owner, "amounts") for owner in owners
    }
    assert wanted - {("Case", part) for part in parts} == recorded
    assert len(recorded) > 90


@pytest.mark.parametrize(("owner", "record"), RECORDS, ids=[f"{owner}-{each['name']}" for owner, each in RECORDS])
def test_a_default_is_the_same_in_the_signature_and_in_a_file(owner: str, record: dict[str, object]) -> None:
    said = parameter(owner, str(record["name"])).default
    if record["default"] is None:
        assert said in (None, inspect.Parameter.empty)
    else:
        assert said in (None, record["default"])
    if record["kind"] == "choice" and record["default"] is not None:
        assert said == record["default"]


def test_a_case_of_which_little_is_given_has_the_recorded_defaults() -> None:
    least = {
        "schema": 1,
        "water": {"ions": {"Ca": 80.0}},
        "bed": {"depth_m": 1.0, "diameter_m": 0.3},
        "service": {"flow_bv_per_h": 20.0, "volume_bv": 100.0},
        "regeneration": {"direction": "co-current", "dose_g_per_l": 80.0},
    }
    case, compared = bf.Case.from_json(json.dumps(least)), 0
    for name, facts in fields.every().items():
        if "default" not in facts or name.startswith(("recipe.", "maldistribution.", "site.")):
            continue
        found = case
        for part in name.split("."):
            found = getattr(found, part)
        assert (list(found) if isinstance(found, tuple) else found) == facts["default"], name
        compared += 1
    assert compared > 25


@pytest.mark.parametrize("name", ["recipe.3.flow_bv_per_h", "water.ions.Ca", "resin.bead_sizes.0.share"])
def test_a_record_is_found_by_a_field_of_a_case(name: str) -> None:
    found = fields.record(name)
    assert found is not None and "*" in found["name"]
    assert fields.record("regeneration.dosage") is None


def test_a_number_without_a_unit_in_its_name_is_bare() -> None:
    for name, facts in fields.every().items():
        if facts["kind"] == "number" and "unit_of" not in facts:
            assert of_field(name) is not None, name
