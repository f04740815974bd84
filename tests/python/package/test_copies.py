"""Everything public can be copied and sent to another process, and comes out as it went in."""

from __future__ import annotations

import copy
import inspect
import multiprocessing
import pickle
import subprocess
import sys
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path
from types import ModuleType
from typing import Any

import brinefront as bf
import numpy as np
import pandas as pd
import pytest
import xarray as xr
from brinefront.results import Figures

SMALL = bf.default_case().replace({"cells": 10})
UNEVEN = SMALL.replace({"maldistribution": bf.Maldistribution(0.2, tubes=2)})


def caught(attempt: Any) -> BaseException:
    with pytest.raises(bf.BrinefrontError) as found:
        attempt()
    return found.value


def missing() -> bf.MissingPackageError:
    from brinefront.native import optional

    found = caught(lambda: optional.need("no_such_package", "tables", "export"))
    assert isinstance(found, bf.MissingPackageError)
    return found


@pytest.fixture(scope="module")
def things(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """One thing at least of every public class, by its name; further ones after a stroke."""
    typo = tmp_path_factory.mktemp("cases") / "typo.toml"
    typo.write_text(SMALL.to_toml().replace("dose_g_per_l", "dose_g_per_litre"), encoding="utf-8")
    both = bf.compare(SMALL)
    good, failed = list(bf.sweep_stream(SMALL, {"regeneration.dose_g_per_l": [80.0, -1.0]}))
    account = SMALL.salt_account()
    recipe = bf.Recipe(
        [bf.Brine(share=0.5), bf.Standby(5.0), bf.Brine(), bf.SlowRinse(), bf.FastRinse(), bf.Backwash()]
    )
    steps = {type(step).__name__: step for step in recipe.steps}
    return {
        **steps,
        **{
            name: next(iter(each))
            for name, each in vars(bf).items()
            if inspect.isclass(each) and issubclass(each, Enum)
        },
        "Recipe": recipe,
        "Water": SMALL.water,
        "Resin": SMALL.resin,
        "Bed": SMALL.bed,
        "Rates": SMALL.rates,
        "Service": SMALL.service,
        "Regeneration": SMALL.regeneration,
        "Maldistribution": UNEVEN.maldistribution,
        "Site": SMALL.site,
        "Display": bf.Display("us"),
        "Case": SMALL,
        "Cycle": both.cycles[0],
        "Cycle/uneven": UNEVEN.cycle(),
        "Run": SMALL.load({"Na": 1.0}, 20.0),
        "Comparison": both,
        "Point": good,
        "Point/failed": failed,
        "SaltAccount": account,
        "SaltShare": account.shares[0],
        "Waves": bf.waves(SMALL, levels=10),
        "LongTable": both.long_table(),
        "Note": both.cycles[0].notes[0],
        "DesignRule": both.cycles[0].design_rules[0],
        "SiteTarget": both.cycles[0].site_targets[0],
        "LeakageBound": bf.LeakageBound.LIMIT,
        "LeakageTarget": bf.LeakageTarget("mean", 1.0, None),
        "Outcome": both.cycles[0].outcome,
        "SearchEnd": both.cycles[0].search_end,
        "StopReason": both.cycles[0].stop_reason,
        "BrinefrontError": bf.BrinefrontError("in general"),
        "InputError": caught(lambda: SMALL.replace({"bed.depth_m": -1.0})),
        "CaseFileError": caught(lambda: bf.Case.from_toml(typo)),
        "CaseFileNotFoundError": caught(lambda: bf.Case.from_toml("nowhere.toml")),
        "FileError": bf.FileError("cycle.csv: 3 rows where 4 were written"),
        "CaseFileAccessError": caught(lambda: bf.Case.from_toml(typo.parent)),
        "MissingPackageError": missing(),
        "SolverError": bf.SolverError("brine, 12 s, cell 3: no step is small enough"),
    }


def contents(thing: Any) -> Any:
    """What a thing holds, down to numbers and texts: two things are the same if this is, to the bit."""
    if is_dataclass(thing) and not isinstance(thing, type):
        return type(thing), {each.name: contents(getattr(thing, each.name)) for each in fields(thing)}
    if isinstance(thing, BaseException):
        return type(thing), str(thing), contents(thing.args), contents(vars(thing)), getattr(thing, "name", None)
    if isinstance(thing, dict):
        return {key: contents(value) for key, value in thing.items()}
    if isinstance(thing, (list, tuple)):
        return type(thing), [contents(value) for value in thing]
    if isinstance(thing, np.ndarray):
        return thing.dtype, thing.shape, thing.tobytes() if thing.dtype != object else thing.tolist()
    if isinstance(thing, (bf.Note, bf.SearchEnd, bf.DesignRule, bf.SiteTarget)):
        return type(thing), str(thing), thing.kind, contents(dict(thing.values))
    # nan is not itself, but its text is; and the text of a number gives its bits back.
    return repr(thing) if isinstance(thing, float) else thing


def shown(thing: Any) -> Any:
    """What a result's methods make of it: tables with their labels, words, plain data."""
    made = {}
    for name in (
        "leakage",
        "waste_curve",
        "steps",
        "hydraulics",
        "waste",
        "gypsum",
        "profiles",
        "effluent",
        "loading",
        "table",
        "lines",
        "to_xarray",
        "to_pandas",
        "summary",
        "sentence",
        "to_dict",
        "row",
        "_repr_html_",
    ):
        method = getattr(thing, name, None)
        if callable(method):
            made[name] = method()
    return made | {"repr": repr(thing), "str": str(thing)}


def assert_same(again: Any, thing: Any) -> None:
    assert type(again) is type(thing)
    assert contents(again) == contents(thing)
    ours, theirs = shown(thing), shown(again)
    assert set(ours) == set(theirs)
    for name, one in ours.items():
        if isinstance(one, pd.DataFrame):
            pd.testing.assert_frame_equal(theirs[name], one, check_exact=True)
            assert repr(theirs[name].attrs) == repr(one.attrs)
        elif isinstance(one, (xr.Dataset, xr.DataTree)):
            assert theirs[name].identical(one), name
        else:
            assert contents(theirs[name]) == contents(one), name


def public_classes() -> set[str]:
    return {name for name in bf.__all__ if inspect.isclass(getattr(bf, name))}


def test_every_public_class_is_here(things: dict[str, Any]) -> None:
    assert {name.partition("/")[0] for name in things} == public_classes() - {"PointStream"}
    assert all(type(thing).__name__ == name.partition("/")[0] for name, thing in things.items())


def test_the_rest_of_the_public_names_pickle_by_name() -> None:
    for name in set(bf.__all__) - public_classes():
        thing = getattr(bf, name)
        if not isinstance(thing, ModuleType):
            assert pickle.loads(pickle.dumps(thing)) == thing, name


@pytest.mark.parametrize("name", sorted(public_classes() - {"PointStream"}))
def test_a_copy_is_the_same(things: dict[str, Any], name: str) -> None:
    for key in (key for key in things if key.partition("/")[0] == name):
        thing = things[key]
        for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
            again = pickle.loads(pickle.dumps(thing, protocol))
            assert contents(again) == contents(thing)
        assert_same(again, thing)
        assert_same(copy.deepcopy(thing), thing)
        assert contents(copy.copy(thing)) == contents(thing)


def test_a_deep_copy_shares_no_numbers(things: dict[str, Any]) -> None:
    table = things["LongTable"]
    assert not np.shares_memory(copy.deepcopy(table)["value"], table["value"])
    cycle = things["Cycle"]
    again = copy.deepcopy(cycle)
    assert not np.shares_memory(again._tables["leakage"]["bv"], cycle._tables["leakage"]["bv"])
    assert again.effort is not cycle.effort


def test_errors_keep_what_they_say(things: dict[str, Any]) -> None:
    for name in ("InputError", "MissingPackageError", "CaseFileNotFoundError"):
        for again in (pickle.loads(pickle.dumps(things[name])), copy.deepcopy(things[name])):
            assert str(again) == str(things[name]) and again.args == things[name].args
    again = pickle.loads(pickle.dumps(things["InputError"]))
    assert (again.field, again.value, again.limits) == ("bed.depth_m", -1.0, things["InputError"].limits)
    assert pickle.loads(pickle.dumps(things["MissingPackageError"])).name == "no_such_package"


def test_figures_alone_are_copied(things: dict[str, Any]) -> None:
    found = things["Point"].figures
    assert type(found) is Figures
    for again in (pickle.loads(pickle.dumps(found)), copy.deepcopy(found)):
        assert repr(again.figures()) == repr(found.figures())


def test_a_stream_of_points_says_why_not() -> None:
    with bf.sweep_stream(SMALL, {"regeneration.dose_g_per_l": [80.0]}) as points:
        for attempt in (pickle.dumps, copy.copy, copy.deepcopy):
            with pytest.raises(TypeError, match="threads at work.*its points can"):
                attempt(points)
        assert len(list(points)) == 1


def test_results_cross_to_another_process_and_back(things: dict[str, Any], tmp_path: Path) -> None:
    """Another interpreter reads them, works with them, and hands them back."""
    sent = tmp_path / "sent.pickle"
    sent.write_bytes(pickle.dumps(things))
    script = (
        "import pickle, sys; things = pickle.load(open(sys.argv[1], 'rb')); "
        "things['words'] = things['Cycle'].summary(); "
        "things['again'] = things['Case'].cycle(); "
        "pickle.dump(things, open(sys.argv[2], 'wb'))"
    )
    back = tmp_path / "back.pickle"
    subprocess.run([sys.executable, "-c", script, str(sent), str(back)], check=True, timeout=120)
    found = pickle.loads(back.read_bytes())
    assert found.pop("words") == things["Cycle"].summary()
    assert_same(found.pop("again"), SMALL.cycle())
    for name, thing in things.items():
        assert_same(found[name], thing)


def cycle_at(dose_g_per_l: float) -> bf.Cycle:
    return SMALL.replace({"regeneration.dose_g_per_l": dose_g_per_l}).cycle()


def test_a_pool_of_new_processes_runs_cases() -> None:
    doses = [80.0, 120.0]
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        found = pool.map(cycle_at, doses)
        with pytest.raises(bf.InputError) as refused:
            pool.map(cycle_at, [-1.0])
    assert refused.value.field == "regeneration.dose_g_per_l" and refused.value.value == -1.0
    for dose, cycle in zip(doses, found, strict=True):
        assert_same(cycle, cycle_at(dose))


def test_what_can_be_made_by_hand_shows_how(things: dict[str, Any]) -> None:
    names = {**vars(bf), "nan": float("nan")}
    assert contents(eval(repr(things["InputError"]), names)) == contents(things["InputError"])
    assert contents(eval(repr(things["SaltShare"]), names)) == contents(things["SaltShare"])
    for name in ("Cycle", "Run", "Comparison", "SaltAccount", "Waves", "LongTable", "Point", "Point/failed"):
        text = repr(things[name])
        assert text.startswith(f"<{name.partition('/')[0]}") and text.endswith(">") and len(text) < 250, text
    assert "dose_g_per_l=80.0" in repr(things["Point"]) and "must be" in repr(things["Point/failed"])
