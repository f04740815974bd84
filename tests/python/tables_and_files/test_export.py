"""Results to files and back: values to the last bit, labels, kinds, and what stands in the way."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import brinefront as bf
import cf_units
import duckdb
import numpy as np
import pandas as pd
import pyarrow.parquet
import pytest
import xarray as xr
from brinefront.native import optional

SMALL = bf.default_case().replace({"cells": 10, "name": 'a name, with "marks" and é'})
AXES = {"regeneration.dose_g_per_l": [80.0, -1.0], "regeneration.direction": ["co-current", "counter-current"]}


@pytest.fixture(scope="module")
def results() -> dict[str, Any]:
    both = bf.compare(SMALL)
    return {
        "cycle": both.cycles[0],
        "comparison": both,
        "run": SMALL.elute("feed", 1.0, 1.2),
        "account": SMALL.salt_account(),
        "sweep": bf.sweep(SMALL, AXES),
        "profiles": both.cycles[0].profiles(),
        "steps": both.cycles[0].steps(),
        "hydraulics": both.cycles[0].hydraulics(),
        "waste": both.cycles[0].waste(),
        "gypsum": both.cycles[0].gypsum(),
        "table": both.table(),
        "long table": both.long_table(),
    }


NAMES = (
    *("cycle", "comparison", "run", "account", "sweep", "profiles"),
    *("steps", "hydraulics", "waste", "gypsum", "table", "long table"),
)


def bits(values: Any) -> Any:
    """Numbers as their bits, so that nan equals itself and 0 is not -0; what is no number as it is."""
    values = np.asarray(values)
    return values.view(np.int64) if values.dtype == np.float64 else values.astype(object)


def as_frame(found: Any) -> pd.DataFrame:
    """What a table file should hold of a result."""
    if isinstance(found, pd.DataFrame):
        return found
    if isinstance(found, bf.LongTable):
        return found.to_pandas()
    if isinstance(found, xr.Dataset):
        return bf.sweep_table(found) if "error" in found else bf.long_table(found).to_pandas()
    return found.table() if isinstance(found, bf.SaltAccount) else found.long_table().to_pandas()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("suffix", [".csv", ".parquet"])
def test_a_table_comes_back_from_its_file(results: dict[str, Any], name: str, suffix: str, tmp_path: Path) -> None:
    path, given = tmp_path / f"found{suffix}", as_frame(results[name])
    bf.save(results[name], path)
    back = bf.read(path)
    assert isinstance(back, pd.DataFrame)
    pd.testing.assert_frame_equal(back, given, check_exact=True)
    for column in given.columns:
        if given[column].dtype == np.float64:
            np.testing.assert_array_equal(bits(back[column].to_numpy()), bits(given[column].to_numpy()))
        if given[column].dtype == object:
            assert [type(cell) for cell in back[column]] == [type(cell) for cell in given[column]]
    assert back.attrs == json.loads(json.dumps(given.attrs))


def same_dataset(back: xr.Dataset, given: xr.Dataset) -> None:
    assert set(back.variables) == set(given.variables) and dict(back.sizes) == dict(given.sizes)
    for name, variable in given.variables.items():
        assert back[name].dims == variable.dims and back[name].attrs == variable.attrs, name
        np.testing.assert_array_equal(bits(back[name].to_numpy()), bits(variable.to_numpy()), err_msg=str(name))
        if variable.dtype.kind in "bif":
            assert back[name].dtype == variable.dtype, name
    written, _, before = back.attrs["history"].partition("\n")
    assert written.endswith(f"brinefront {bf.__version__}: written to a file")
    assert back.attrs | {"history": before} == given.attrs
    assert set(back.indexes) == set(given.indexes)


@pytest.mark.parametrize("name", ["cycle", "run", "account", "sweep", "profiles"])
@pytest.mark.parametrize("suffix", [".nc", ".zarr"])
def test_a_dataset_comes_back_from_its_file(results: dict[str, Any], name: str, suffix: str, tmp_path: Path) -> None:
    path, found = tmp_path / f"found{suffix}", results[name]
    bf.save(found, path)
    same_dataset(bf.read(path), found if isinstance(found, xr.Dataset) else found.to_xarray())


@pytest.mark.parametrize("suffix", [".nc", ".zarr"])
def test_a_comparison_comes_back_as_a_tree(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    results["comparison"].save(tmp_path / f"found{suffix}")
    back, given = bf.read(tmp_path / f"found{suffix}"), results["comparison"].to_xarray()
    assert isinstance(back, xr.DataTree)
    assert {node.path for node in back.subtree} == {node.path for node in given.subtree}
    for path in ("1-counter-current", "2-co-current"):
        same_dataset(back[path].to_dataset(), given[path].to_dataset())
    assert back["figures"].to_dataset().identical(given["figures"].to_dataset())
    # A Zarr store hands its variables over by their names, not in their order.
    first, second = (
        table.to_pandas()
        .astype({"strategy": str, "quantity": str})
        .sort_values(["strategy", "quantity"], kind="stable")
        for table in (bf.long_table(back), results["long table"])
    )
    np.testing.assert_array_equal(bits(first["value"].to_numpy()), bits(second["value"].to_numpy()))
    for name in ("strategy", "quantity", "step", "ion", "text", "unit"):
        assert first[name].astype(object).fillna("").tolist() == second[name].astype(object).fillna("").tolist(), name


@pytest.mark.parametrize("suffix", [".nc", ".zarr"])
def test_a_frame_becomes_a_dataset_along_its_rows(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    for name, dim in (("steps", "row"), ("waste", "ion")):
        frame, path = results[name], tmp_path / f"{name}{suffix}"
        bf.save(frame, path)
        back = bf.read(path)
        for column in frame.columns:
            assert back[column].dims == (dim,)
            np.testing.assert_array_equal(bits(back[column].to_numpy()), bits(frame[column].to_numpy()))
            assert back[column].attrs["long_name"] == frame.attrs["long_names"][column]
            assert back[column].attrs.get("units") == frame.attrs["units"].get(column)
    assert back["ion"].values.tolist() == frame.index.tolist()
    assert back.attrs["volume_l"] == frame.attrs["volume_l"]
    bf.save(results["hydraulics"], tmp_path / f"hydraulics{suffix}")
    notes = bf.read(tmp_path / f"hydraulics{suffix}")["notes"].values.tolist()
    assert [tuple(json.loads(cell)) for cell in notes] == results["hydraulics"]["notes"].tolist()


@pytest.mark.parametrize("suffix", [".nc", ".zarr", ".parquet", ".csv"])
def test_a_file_leads_back_to_its_case(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    for name in ("account" if suffix in (".nc", ".zarr") else "cycle", "sweep"):
        bf.save(results[name], tmp_path / f"{name}{suffix}")
        case = bf.Case.from_json(bf.read(tmp_path / f"{name}{suffix}").attrs["case_json"])
        assert case == (results["account"].case if name == "account" else SMALL)
    assert (
        case.replace({"regeneration.dose_g_per_l": 80.0}).cycle().run_length_bv
        == (results["sweep"]["run_length_bv"].values[0, 1])
    )


@pytest.mark.parametrize("suffix", [".nc", ".zarr"])
def test_a_stranger_reads_units_that_udunits_knows(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    """What xarray alone makes of a file; judge of the units: UDUNITS-2 through cf-units."""
    path = tmp_path / f"cycle{suffix}"
    results["cycle"].save(path)
    with xr.open_dataset(path, engine={".nc": "h5netcdf", ".zarr": "zarr"}[suffix]) as found:
        assert found.attrs["Conventions"] == "CF-1.11"
        for variable in found.variables.values():
            cf_units.Unit(variable.attrs.get("units", "1"))
        length = found["run_length_bv"]
        assert (length.attrs["units"], length.attrs["unit_words"]) == ("1", "BV")
        assert found["capacity_eq_per_l"].attrs["long_name"] == "operating capacity, in eq/L of bed"
        assert found["leakage_mean_mg_per_l_caco3"].attrs["long_name"].endswith("as CaCO3")
        assert "unit_words" not in found["depth"].attrs and found["depth"].attrs["units"] == "m"
        assert float(length) == results["cycle"].run_length_bv
        assert str(found["stop_reason"].values) == results["cycle"].stop_reason
        assert bool(found["settled"]) is results["cycle"].settled


def test_strangers_read_csv_and_parquet(results: dict[str, Any], tmp_path: Path) -> None:
    """pandas, pyarrow and DuckDB, without this package."""
    results["cycle"].save(tmp_path / "cycle.parquet")
    results["cycle"].save(tmp_path / "cycle.csv")
    expected = results["cycle"].leakage()["Ca"]
    for reader in ("read_parquet", "read_csv"):
        query = f"""select value from {reader}('{tmp_path}/cycle.{reader[5:]}')
                    where quantity = 'leakage_eq_per_l' and ion = 'Ca' order by bv"""
        values = [value for (value,) in duckdb.sql(query).fetchall()]
        assert sorted(values) == sorted(expected.tolist())
    plain = pd.read_csv(tmp_path / "cycle.csv")
    assert list(plain.columns) == ["quantity", "step", "bv", "depth_m", "height_m", "ion", "value", "text", "unit"]
    assert plain["value"].dtype == np.float64
    assert pd.read_parquet(tmp_path / "cycle.parquet").attrs["case"] == SMALL.name
    nulls = pyarrow.parquet.read_table(tmp_path / "cycle.parquet").column("depth_m").null_count
    assert nulls == int(plain["depth_m"].isna().sum()) > 0


def test_the_file_beside_a_csv_describes_it(results: dict[str, Any], tmp_path: Path) -> None:
    """The keys are those of W3C (2015), Metadata Vocabulary for Tabular Data, sections 5.3 to 5.6; from memory."""
    bf.save(results["steps"], tmp_path / "steps.csv")
    known = json.loads((tmp_path / "steps.csv-metadata.json").read_text(encoding="utf-8"))
    assert known["@context"][0] == "http://www.w3.org/ns/csvw" and known["url"] == "steps.csv"
    columns = known["tableSchema"]["columns"]
    assert [column["titles"] for column in columns] == (tmp_path / "steps.csv").read_text().splitlines()[0].split(",")
    minutes = next(column for column in columns if column["titles"] == "minutes")
    assert (minutes["datatype"], minutes["schema:unitText"]) == ("double", "min")
    # Without it the file is a CSV file like any other.
    (tmp_path / "steps.csv-metadata.json").unlink()
    assert bf.read(tmp_path / "steps.csv")["minutes"].tolist() == pytest.approx(results["steps"]["minutes"].tolist())


def test_numbers_that_are_none_survive(tmp_path: Path) -> None:
    frame = pd.DataFrame(
        {
            "number": [0.1 + 0.2, -0.0, math.nan, math.inf, -math.inf, 5e-324, 1.7976931348623157e308],
            "count": np.arange(7) * 2**53,
            "yes": [True, False] * 3 + [True],
            "text": ["", "a,b", 'say "x"', "two\nlines", "nan", "NA", "é"],
        }
    )
    for suffix in (".csv", ".parquet"):
        bf.save(frame, tmp_path / f"odd{suffix}")
        back = bf.read(tmp_path / f"odd{suffix}")
        pd.testing.assert_frame_equal(back, frame, check_exact=True)
        np.testing.assert_array_equal(bits(back["number"].to_numpy()), bits(frame["number"].to_numpy()))
    for suffix in (".nc", ".zarr"):
        bf.save(frame, tmp_path / f"odd{suffix}")
        back = bf.read(tmp_path / f"odd{suffix}")
        for name in frame.columns:
            np.testing.assert_array_equal(bits(back[name].to_numpy()), bits(frame[name].to_numpy()))


def test_a_file_has_every_digit_however_numpy_prints(tmp_path: Path) -> None:
    # Some libraries set this when they are imported; NumPy then writes 12 digits of 17.
    at = pd.Index([0.7, 0.1, 1 / 3], name="at")
    frame = pd.DataFrame({"number": [0.1 + 0.2, 2.59064636589123e-07, math.nan]}, index=at)
    with np.printoptions(legacy="1.13"):
        assert str(np.float64(0.1 + 0.2)) == "0.3"
        bf.save(frame, tmp_path / "all.csv")
    pd.testing.assert_frame_equal(bf.read(tmp_path / "all.csv"), frame, check_exact=True)


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".nc"])
def test_a_damaged_file_is_refused_by_its_name(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"found{suffix}"
    bf.save(results["cycle"], path)
    content = path.read_bytes()
    # Half of it, at the end of a line where it has lines; then nothing; then something else.
    half = content[: content.index(b"\n", len(content) // 2) + 1] if suffix == ".csv" else content[: len(content) // 2]
    for damaged in (half, b"", b"\x00\xff no file of this kind\n"):
        path.write_bytes(damaged)
        with pytest.raises(bf.FileError, match="found"):
            bf.read(path)


def test_a_csv_file_without_a_count_is_read_as_it_is(results: dict[str, Any], tmp_path: Path) -> None:
    path = tmp_path / "found.csv"
    bf.save(results["steps"], path)
    beside = path.with_name("found.csv-metadata.json")
    known = json.loads(beside.read_text(encoding="utf-8"))
    assert known["notes"][0].pop("rows") == len(results["steps"])
    beside.write_text(json.dumps(known), encoding="utf-8")
    assert len(bf.read(path)) == len(results["steps"])


def test_another_suffix_is_refused_with_those_that_are_not(results: dict[str, Any], tmp_path: Path) -> None:
    for path in (tmp_path / "found.xlsx", tmp_path / "found"):
        for attempt in (lambda path=path: results["cycle"].save(path), lambda path=path: bf.read(path)):
            with pytest.raises(bf.InputError) as caught:
                attempt()
            assert caught.value.field == "path" and caught.value.value == str(path)
            assert all(suffix in caught.value.limits for suffix in (".csv", ".parquet", ".nc", ".zarr"))
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(bf.InputError, match="list"):
        bf.save([1.0], tmp_path / "found.csv")
    with pytest.raises(bf.InputError, match="int"):
        bf.save(1, tmp_path / "found.nc")
    with pytest.raises(FileNotFoundError, match="nowhere"):
        bf.read(tmp_path / "nowhere.nc")


@pytest.mark.parametrize(
    ("suffix", "package"), [(".parquet", "pyarrow"), (".nc", "h5netcdf"), (".nc", "h5py"), (".zarr", "zarr")]
)
def test_a_missing_package_is_named_with_its_extra(
    results: dict[str, Any], suffix: str, package: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = optional.import_module

    def without(name: str) -> Any:
        if name.partition(".")[0] == package:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
        return whole(name)

    monkeypatch.setattr(optional, "import_module", without)
    with pytest.raises(bf.MissingPackageError, match='extra "export"') as caught:
        results["run"].save(tmp_path / f"found{suffix}")
    assert caught.value.name == package
    assert list(tmp_path.iterdir()) == []
    results["run"].save(tmp_path / "found.csv")


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".nc", ".zarr"])
def test_a_file_is_replaced_by_the_next(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"found{suffix}"
    results["account"].save(path)
    results["run"].save(str(path))
    back = bf.read(path)
    expected = results["run"].to_xarray() if suffix in (".nc", ".zarr") else results["run"].long_table().to_pandas()
    assert len(back) == len(expected) and back.attrs["title"] == expected.attrs["title"]
    assert {each.name for each in tmp_path.iterdir()} <= {path.name, f"{path.name}-metadata.json"}


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".nc", ".zarr"])
def test_a_directory_in_the_way_stays(results: dict[str, Any], suffix: str, tmp_path: Path) -> None:
    path = tmp_path / f"found{suffix}"
    path.mkdir()
    (path / "thesis.txt").write_text("years of work", encoding="utf-8")
    with pytest.raises(bf.InputError, match="no Zarr store"):
        results["run"].save(path)
    assert (path / "thesis.txt").read_text(encoding="utf-8") == "years of work"


def test_what_was_there_stays_if_writing_fails(
    results: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "found.nc"
    results["run"].save(path)
    before = path.read_bytes()

    def broken(self: xr.Dataset, path: Path, **_: Any) -> None:
        Path(path).write_bytes(b"half of it")
        raise OSError("no space left")

    monkeypatch.setattr(xr.Dataset, "to_netcdf", broken)
    with pytest.raises(OSError, match="no space"):
        results["account"].save(path)
    assert path.read_bytes() == before and [each.name for each in tmp_path.iterdir()] == ["found.nc"]


def test_the_command_writes_a_sweep_for_other_programs(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(SMALL.to_toml(), encoding="utf-8")
    command = [sys.executable, "-m", "brinefront", "sweep", "case.toml", "--set", "regeneration.dose_g_per_l=80,100"]
    done = subprocess.run(
        [*command, "--out", "out"], cwd=tmp_path, capture_output=True, check=False, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    expected = bf.sweep(SMALL, {"regeneration.dose_g_per_l": [80, 100]})
    same_dataset(bf.read(tmp_path / "out" / "sweep.nc"), expected)
    for name in ("sweep.parquet", "sweep.csv"):
        pd.testing.assert_frame_equal(bf.read(tmp_path / "out" / name), bf.sweep_table(expected), check_exact=True)


def test_importing_the_package_loads_none_of_it() -> None:
    heavy = ("pandas", "xarray", "pyarrow", "h5netcdf", "h5py", "zarr")
    command = f"import brinefront, sys; print([name for name in {heavy} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", command], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "[]"
