"""Labels of every table and dataset, datasets and long tables of whole results, and what a notebook shows."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from html.parser import HTMLParser

import brinefront as bf
import cf_units
import duckdb
import numpy as np
import pandas as pd
import polars
import pyarrow
import pytest
import xarray as xr
from brinefront.units import display
from brinefront.words.figures import figures
from brinefront.words.labels import udunits

SMALL = bf.default_case().replace({"cells": 10})
STEPS = bf.Recipe([bf.Brine(share=0.5), bf.Standby(20), bf.Brine(), bf.SlowRinse(), bf.FastRinse()])
CASES = {
    "built in": SMALL,
    "co-current": SMALL.mirrored(),
    "its own steps and a rest": SMALL.replace(
        {"recipe": STEPS, "service.standby_after_bv": 70.0, "service.standby_hours": 8.0}
    ),
    "uneven, with spaces": SMALL.replace(
        {"maldistribution": bf.Maldistribution(0.2, tubes=2), "bed.freeboard_l": 30.0, "bed.under_bed_l": 5.0}
    ),
    "reclaimed brine": SMALL.replace({"regeneration.reclaim_from_bv": 1.2, "regeneration.reclaim_to_bv": 1.7}),
    "never soft": SMALL.replace(
        {
            "water": bf.Water({"Ca": 600.0, "Mg": 200.0, "Na": 3000.0}),
            "regeneration.dose_g_per_l": 20.0,
            "service.limit_mg_per_l_caco3": 0.5,
            "regeneration.direction": "co-current",
            "regeneration.backwash_mixing": None,
        }
    ),
}
AXES = {"regeneration.dose_g_per_l": [80.0, -1.0], "cells": [10, 12]}


@pytest.fixture(scope="module")
def cycle() -> bf.Cycle:
    return SMALL.cycle()


@pytest.fixture(scope="module")
def both() -> bf.Comparison:
    return bf.compare(SMALL)


@pytest.fixture(scope="module")
def run() -> bf.Run:
    return SMALL.load({"Na": 1.0}, 50.0)


@pytest.fixture(scope="module")
def grid() -> xr.Dataset:
    return bf.sweep(SMALL, AXES)


@pytest.fixture(scope="module")
def frames(cycle: bf.Cycle, run: bf.Run, both: bf.Comparison, grid: xr.Dataset) -> dict[str, pd.DataFrame]:
    waves = bf.waves(SMALL, levels=10)
    return {
        "leakage": cycle.leakage(),
        "waste_curve": cycle.waste_curve(),
        "steps": cycle.steps(),
        "hydraulics": cycle.hydraulics(),
        "waste": cycle.waste(),
        "gypsum": cycle.gypsum(),
        "hydraulics of a case": bf.hydraulics(SMALL),
        "effluent": run.effluent(),
        "loading": run.loading(),
        "salt account": SMALL.salt_account().table(),
        "ceiling": bf.efficiency_ceiling(SMALL, [80.0]),
        "steps of waves": waves.steps(),
        "lines of waves": waves.lines(),
        "sweep": bf.sweep_table(grid),
    }


def test_every_column_of_every_frame_has_words_and_every_number_a_unit(frames: dict[str, pd.DataFrame]) -> None:
    counts = {"cells", "cells_used", "cycles_run", "wave", "step"}
    for where, frame in frames.items():
        attrs = frame.attrs
        assert attrs["title"], where
        assert set(attrs["long_names"]) == set(frame.columns), where
        assert all(attrs["long_names"].values()), where
        assert set(attrs["units"]) <= set(frame.columns), where
        bare = {name for name in frame.select_dtypes("number").columns if name not in attrs["units"]}
        assert {name for name in bare if not name.startswith("effort_")} <= counts, where
        json.dumps(attrs)


def test_a_frame_names_its_case(frames: dict[str, pd.DataFrame], both: bf.Comparison) -> None:
    assert {frame.attrs.get("case") for frame in frames.values()} == {SMALL.name}
    assert both.table().attrs["case"] == SMALL.name
    assert SMALL.replace({"name": None}).cycle().leakage().attrs["case"] == ""


def test_a_unit_is_what_the_name_of_its_column_says(frames: dict[str, pd.DataFrame], grid: xr.Dataset) -> None:
    """The end of a name and the unit beside it are written down in different places."""
    endings = {
        "_mg_per_l_caco3": "mg/L as CaCO3",
        "_mg_per_l": "mg/L",
        "_g_per_l": "g/L of resin",
        "_bv": "BV",
        "_l": "L",
        "_m": "m",
        "_kpa": "kPa",
        "_percent": "%",
        "_m_per_h": "m/h",
        "_bv_per_h": "BV/h",
        "_gr_per_lb": "gr/lb",
        "_kgr_per_ft3": "kgr/ft3",
        "_kg_per_m3": "kg/m3",
        "_mpa_s": "mPa s",
        "_kg": "kg",
        "_min": "min",
    }
    seen = set()
    units = [frame.attrs["units"] for frame in frames.values()]
    units.append({str(name): grid[name].attrs.get("units", "") for name in grid.variables})
    for name, unit in (item for one in units for item in one.items()):
        fits = [ending for ending in endings if f"_{name}".endswith(ending)]
        if fits and not name.endswith("_eq_per_l"):
            ending = max(fits, key=len)
            assert unit == endings[ending], name
            seen.add(ending)
        if name.endswith("_eq_per_l"):
            assert unit in ("eq/L", "eq/L of bed"), name
    assert seen == set(endings)


def test_a_comparison_is_labelled_by_row(both: bf.Comparison) -> None:
    table = both.table()
    assert set(table.attrs["long_names"]) == set(table.index) == set(table.attrs["units"])
    assert table.attrs["title"] == "strategies at equal dose"


def test_every_dataset_says_what_it_is_and_of_which_case(cycle: bf.Cycle, run: bf.Run, grid: xr.Dataset) -> None:
    account = SMALL.salt_account()
    for found in (cycle.profiles(), cycle.to_xarray(), grid, account.to_xarray()):
        assert bf.Case.from_json(found.attrs["case_json"]) in (SMALL, account.case)
        assert found.attrs["case"] == SMALL.name
    for found in (cycle.profiles(), cycle.to_xarray(), grid, account.to_xarray(), run.to_xarray()):
        assert found.attrs["Conventions"].startswith("CF-1.") and found.attrs["title"]
        assert found.attrs["source"] == f"brinefront {bf.__version__}"
        assert found.attrs["history"].startswith(found.attrs["source"])
        for name, variable in found.variables.items():
            assert variable.attrs["long_name"], name
            assert variable.attrs.get("units", "") or variable.dtype.kind in "OUib", name


def test_axes_of_a_sweep_have_words_and_units() -> None:
    axes = {
        "regeneration.dose_g_per_l": [80.0],
        "bed.depth_m": [0.9],
        "water.temperature_c": [15.0],
        "water.ions.Ca": [80.0],
        "resin.capacity_eq_per_l": [1.9],
        "regeneration.direction": ["co-current"],
    }
    found = bf.sweep(SMALL, axes)
    units = {name: found[name].attrs.get("units") for name in axes}
    assert units == dict(zip(axes, ["g/L of resin", "m", "degC", "mg/L", "eq/L of bed", None], strict=True))
    assert found["regeneration.dose_g_per_l"].attrs["long_name"] == "regeneration: dose"
    assert found["water.ions.Ca"].attrs["long_name"] == "water, ions: Ca"


def test_a_figure_does_not_take_the_place_of_an_axis(grid: xr.Dataset) -> None:
    """`cells` is a field and a figure: a sweep over it once lost its axis."""
    assert grid["cells"].dims == ("cells",) and grid["cells"].values.tolist() == [10, 12]
    assert grid["cells_used"].sel({"regeneration.dose_g_per_l": 80.0}).values.tolist() == [10, 12]
    assert bf.sweep_table(grid)["cells"].tolist() == [10, 12, 10, 12]
    rows = [point.row() for point in bf.sweep_stream(SMALL, AXES)]
    pd.testing.assert_frame_equal(pd.DataFrame(rows), bf.sweep_table(grid), check_exact=True)


def units_in_use(*found: xr.Dataset) -> set[str]:
    return {
        variable.attrs["units"] for one in found for variable in one.variables.values() if "units" in variable.attrs
    }


def test_udunits_reads_what_a_file_says(
    cycle: bf.Cycle, run: bf.Run, grid: xr.Dataset, frames: dict[str, pd.DataFrame]
) -> None:
    """Judge: the UDUNITS-2 library, through cf-units."""
    used = units_in_use(cycle.to_xarray(), run.to_xarray(), grid, SMALL.salt_account().to_xarray())
    used |= {unit for frame in frames.values() for unit in frame.attrs["units"].values()}
    assert len(used) > 20
    for unit in used | set(bf.units.names()) - {"mmol/L divalent", "degree French", "degree German"}:
        cf_units.Unit(udunits(unit))
    # What it would make of them as they are: a level over one volt, and nothing.
    assert "lg(re" in cf_units.Unit("BV").definition
    with pytest.raises(ValueError, match="eq/L"):
        cf_units.Unit("eq/L")


def test_the_spelling_for_udunits_measures_the_same() -> None:
    """Factors of UDUNITS's grains, pounds, feet and gallons against those of `units.convert`."""
    for source, target in (
        ("kgr/ft3", "gr/ft3"),
        ("lb/ft3", "g/L"),
        ("gpm/ft2", "m/h"),
        ("gal", "L"),
        ("gr/gal", "mg/L CaCO3"),
    ):
        ours = bf.units.convert(1.0, source, target)
        assert cf_units.Unit(udunits(source)).convert(1.0, udunits(target)) == pytest.approx(ours, rel=1e-7), source
    # An equivalent of CaCO3 weighs half of 100.087 g, a mole of charge weighs nothing: words tell these two apart.
    assert not cf_units.Unit(udunits("eq/L")).is_convertible(udunits("mg/L as CaCO3"))


@pytest.mark.parametrize("name", CASES)
def test_a_dataset_holds_every_table_of_a_cycle(name: str) -> None:
    cycle = CASES[name].cycle()
    found = cycle.to_xarray()
    for each in figures():
        value = found[each.name].item()
        assert value == getattr(cycle, each.name) or (math.isnan(value) and math.isnan(getattr(cycle, each.name)))
    assert {count: int(found[f"effort_{count}"]) for count in cycle.effort} == cycle.effort
    for curve, frame in (("leakage", cycle.leakage()), ("waste", cycle.waste_curve())):
        ions = found["ion"].values.tolist()
        np.testing.assert_array_equal(found[f"{curve}_eq_per_l"].to_numpy(), frame[ions].to_numpy())
        np.testing.assert_array_equal(found[f"{curve}_bv"], frame["bv"])
        np.testing.assert_array_equal(found[f"{curve}_hardness_mg_per_l_caco3"], frame["hardness_mg_per_l_caco3"])
    assert found["waste_step"].values.tolist() == cycle.waste_curve()["step"].tolist()
    assert found["gypsum_step"].values.tolist() == cycle.gypsum()["step"].tolist()
    np.testing.assert_array_equal(found["gypsum_saturation_ratio"], cycle.gypsum()["saturation_ratio"])
    for prefix, frame in (("step_", cycle.steps()), ("hydraulics_", cycle.hydraulics())):
        assert found["step"].values.tolist() == frame["step"].tolist()
        for column in frame.columns.drop("step"):
            if frame[column].dtype.kind == "f":
                np.testing.assert_array_equal(found[prefix + column], frame[column])
            elif column != "notes":
                assert found[prefix + column].values.tolist() == frame[column].tolist()
    waste = cycle.waste()
    assert found["waste_ion"].values.tolist() == waste.index.tolist()
    np.testing.assert_array_equal(found["waste_mass_g"], waste["mass_g"])
    assert float(found["waste_peak_chloride_mg_per_l"]) == waste.attrs["peak_chloride_mg_per_l"]
    assert found.attrs["notes"] == "\n".join(cycle.notes)
    profiles = cycle.profiles()
    assert all(found[variable].identical(profiles[variable]) for variable in profiles.data_vars)


def test_without_an_activity_law_there_is_no_gypsum_and_everything_else(cycle: bf.Cycle) -> None:
    # Every ion of today has a law or a stand-in for it; the native half may still hand over none.
    without = replace(cycle, _tables={**cycle._tables, "gypsum": None})
    with pytest.raises(bf.SolverError):
        without.gypsum()
    found = without.to_xarray()
    assert "gypsum_sample" not in found.dims
    assert set(cycle.to_xarray().data_vars) - set(found.data_vars) == {
        "gypsum_saturation_index",
        "gypsum_saturation_ratio",
    }


def test_a_comparison_is_a_tree(both: bf.Comparison) -> None:
    tree = both.to_xarray()
    assert [str(name) for name in tree.children] == ["figures", "1-counter-current", "2-co-current"]
    assert tree["figures/run_length_bv"].values.tolist() == [cycle.run_length_bv for cycle in both.cycles]
    assert tree.attrs["sentence"] == both.sentence and json.loads(tree.attrs["effort"]) == both.effort
    for name, cycle in zip(tree["figures"]["group"].values, both.cycles, strict=True):
        here = tree[str(name)].to_dataset()
        assert here.drop_attrs().identical(cycle.to_xarray().drop_attrs())
        assert bf.Case.from_json(here.attrs["case_json"]) == cycle.case


def test_a_long_table_has_every_value_of_a_comparison(both: bf.Comparison) -> None:
    table = both.long_table()
    assert table.columns == (
        "strategy",
        "quantity",
        "step",
        "bv",
        "depth_m",
        "height_m",
        "ion",
        "value",
        "text",
        "unit",
    )
    frame = table.to_pandas()
    assert (
        len(frame)
        == len(table)
        == sum(cycle.to_xarray().map(lambda one: one.size).to_array().sum() for cycle in both.cycles)
    )
    for cycle in both.cycles:
        here = frame[frame["strategy"] == cycle.direction]
        calcium = here[(here["quantity"] == "leakage_eq_per_l") & (here["ion"] == "Ca")]
        np.testing.assert_array_equal(calcium["value"], cycle.leakage()["Ca"])
        np.testing.assert_array_equal(calcium["bv"], cycle.leakage()["bv"])
        assert set(calcium["step"]) == {"service"} and set(calcium["unit"]) == {"eq/L"}
        assert calcium["depth_m"].isna().all() and calcium["text"].isna().all()
        loading = here[(here["quantity"] == "loading_eq_per_l") & (here["step"] == "brine") & (here["ion"] == "Mg")]
        profile = cycle.profiles()["loading_eq_per_l"].sel(step="brine", ion="Mg")
        np.testing.assert_array_equal(loading["value"], profile)
        np.testing.assert_array_equal(loading["depth_m"], profile["depth"])
        assert here.loc[here["quantity"] == "run_length_bv", "value"].item() == cycle.run_length_bv
        assert here.loc[here["quantity"] == "stop_reason", "text"].item() == cycle.stop_reason
        assert here.loc[here["quantity"] == "settled", "value"].item() == 1.0
        chloride = here[(here["quantity"] == "waste_mass_g") & (here["ion"] == "Cl")]
        assert chloride["value"].item() == cycle.waste().loc["Cl", "mass_g"]
    assert {name: bf.Case.from_json(text) for name, text in table.attrs["cases_json"].items()} == {
        cycle.direction: cycle.case for cycle in both.cycles
    }


def test_uneven_flow_numbers_its_tubes() -> None:
    cycle = CASES["uneven, with spaces"].cycle()
    frame = cycle.long_table().to_pandas()
    second = frame[(frame["quantity"] == "tube_loading_eq_per_l") & (frame["tube"] == 2) & (frame["ion"] == "Ca")]
    given = cycle.profiles()["tube_loading_eq_per_l"].isel(tube=1).sel(ion="Ca")
    np.testing.assert_array_equal(second["value"], given.to_numpy().ravel())


def test_a_sweep_is_wide_or_long(grid: xr.Dataset) -> None:
    wide, long = bf.sweep_table(grid), bf.long_table(grid)
    assert long.columns == ("regeneration.dose_g_per_l", "cells", "quantity", "value", "text", "unit")
    assert len(wide) == 4 and len(long) == 4 * len(grid.data_vars)
    assert wide["settled"].dtype == bool and wide["effort_steps"].dtype == np.int64
    frame = long.to_pandas()
    length = frame[frame["quantity"] == "run_length_bv"]
    np.testing.assert_array_equal(length["value"], wide["run_length_bv"])
    assert np.isnan(length["value"]).tolist() == [False, False, True, True]
    assert length["cells"].tolist() == [10, 12, 10, 12] and frame["cells"].dtype == np.int64
    assert frame.loc[frame["quantity"] == "error", "text"].tolist() == wide["error"].tolist()
    assert wide["error"].iloc[0] == "" and "must be" in wide["error"].iloc[2]
    for wrong in (grid.drop_vars("error"), SMALL.cycle().profiles()):
        with pytest.raises(bf.InputError, match="sweep"):
            bf.sweep_table(wrong)
    with pytest.raises(bf.InputError, match="strategy"):
        bf.long_table(xr.DataTree())


def address(numbers: np.ndarray) -> int:
    return int(numbers.__array_interface__["data"][0])


def test_arrow_reads_a_long_table_where_it_is(both: bf.Comparison) -> None:
    table = both.long_table()
    arrow = pyarrow.table(table)
    for name in ("value", "bv", "depth_m"):
        (chunk,) = arrow.column(name).chunks
        assert chunk.buffers()[1].address == address(table[name]), name
        assert chunk.null_count == int(np.isnan(table[name]).sum())
    # A second reader gets the same memory, not one it has to share.
    assert pyarrow.table(table).column("value").chunk(0).buffers()[1].address == address(table["value"])
    assert arrow.column("step").to_pylist() == table["step"].tolist()
    assert not table["value"].flags.writeable
    codes = arrow.column("quantity").chunk(0).indices
    assert codes.buffers()[1].address == address(table._columns["quantity"].codes)


def test_polars_and_duckdb_read_a_long_table(both: bf.Comparison, grid: xr.Dataset) -> None:
    table = both.long_table()
    expected = table.to_pandas().groupby("quantity", observed=True)["value"].sum()
    frame = polars.DataFrame(table)
    assert frame.shape == (len(table), len(table.columns))
    sums = dict(frame.group_by("quantity").agg(polars.col("value").sum()).iter_rows())
    assert sums == pytest.approx(expected.to_dict(), rel=1e-12)
    assert polars.from_arrow(table.to_arrow()).equals(frame)
    # Without nulls the address can be read off a series: the memory is still ours.
    swept = bf.long_table(grid)
    column = polars.DataFrame(swept)["regeneration.dose_g_per_l"]
    assert address(column.to_numpy(allow_copy=False)) == address(swept["regeneration.dose_g_per_l"])
    rows = duckdb.sql("select quantity, sum(value) from swept where value is not null group by quantity").fetchall()
    given = swept.to_pandas().dropna(subset="value").groupby("quantity", observed=True)["value"].sum()
    assert len(rows) > 50 and dict(rows) == pytest.approx(given.to_dict(), rel=1e-12)


def test_a_long_table_names_its_columns(both: bf.Comparison) -> None:
    table = both.long_table()
    assert repr(table).startswith(f"<LongTable of {len(table)} rows")
    with pytest.raises(KeyError, match="colour.*strategy"):
        table["colour"]


class Page(HTMLParser):
    """What a browser finds in a piece of HTML: its tags, its text, and whether all that is opened is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.open: list[str] = []
        self.text = ""
        self.cells: list[list[str]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert not any(name.startswith("on") or name in ("src", "href") for name, _ in attrs)
        self.tags.append(tag)
        self.open.append(tag)
        if tag == "tr":
            self.cells.append([])
        if tag in ("td", "th"):
            self.cells[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "style":
            assert "url(" not in data and "@import" not in data
            return
        self.text += data
        if self.open and self.open[-1] in ("td", "th"):
            self.cells[-1][-1] += data


def test_a_notebook_shows_the_figures_and_the_cautions(both: bf.Comparison) -> None:
    for found, cycles in ((both, both.cycles), (both.cycles[0], both.cycles[:1])):
        page = Page(found._repr_html_())
        assert not page.open and not {"script", "link", "img", "iframe"} & set(page.tags)
        row = next(cells for cells in page.cells if cells[:2] == ["run length", "BV"])
        assert [float(cell) for cell in row[2:]] == pytest.approx([one.run_length_bv for one in cycles], rel=5e-3)
        for words in ("septic", "sodium-restricted", "lead", "Boilers", "Pressure", "codes"):
            assert words in page.text, words
    assert display.typeset(both.sentence) in Page(both._repr_html_()).text


def test_a_notebook_shows_warnings_first() -> None:
    page = Page(CASES["never soft"].cycle()._repr_html_())
    assert page.text.index("NEVER SOFT") < page.text.index("salt dose")


def test_a_notebook_escapes_what_a_user_named() -> None:
    case = SMALL.replace({"name": '<script>alert(1)</script> & "co"'})
    page = Page(case.cycle()._repr_html_())
    assert "script" not in page.tags and "<script>alert(1)</script>" in page.text


def test_every_result_has_its_table(run: bf.Run, grid: xr.Dataset, both: bf.Comparison) -> None:
    account, waves = SMALL.salt_account(), bf.waves(SMALL, levels=10)
    good, failed = list(bf.sweep_stream(SMALL, {"regeneration.dose_g_per_l": [80.0, -1.0]}))
    shown = {
        "eq/L of bed": run,
        "film and bead": account,
        "separation factor in the brine": waves,
        "salt efficiency": good,
        "must be a number from": failed,
        "duration of the regeneration": good.figures,
        f"{len(both.long_table())} rows": both.long_table(),
    }
    for words, found in shown.items():
        page = Page(found._repr_html_())
        assert not page.open and words in page.text, words
    shares = [float(cells[1]) for cells in Page(account._repr_html_()).cells[1:]]
    assert sum(shares[:-1]) == pytest.approx(shares[-1], abs=0.03)
    assert shares[-1] == account.dose_g_per_l
    assert re.search(r"run length *BV", Page(good._repr_html_()).text)
