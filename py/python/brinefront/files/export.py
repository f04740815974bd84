"""Results to files and back: CSV, Parquet, NetCDF and Zarr, with units, words and the case beside the numbers.

What is in memory is in the file, but for two things that a file's readers expect otherwise. In NetCDF and Zarr
``units`` is what UDUNITS reads, for it takes "BV" for bels of volts and knows no equivalents: our unit is in
``unit_words`` beside it, and at the end of ``long_name``, so that nobody takes mg/L as CaCO3 for mg/L. :func:`read`
puts both back. And ``history`` has when the file was written.
"""

from __future__ import annotations

import shutil
from datetime import datetime, timezone
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brinefront._core import VERSION
from brinefront.errors import FileError, InputError, MissingPackageError
from brinefront.files import csv as csv_files
from brinefront.files import manifest
from brinefront.files.whole import whole
from brinefront.native import optional
from brinefront.native.optional import need
from brinefront.tables.datasets import frame_dataset
from brinefront.tables.long_table import LongColumns, long_columns, sweep_table
from brinefront.words.labels import udunits

if TYPE_CHECKING:
    from collections.abc import Callable
    from os import PathLike

    import pandas as pd
    import xarray as xr

__all__ = ["read", "save"]

TABLES, GRIDS = (".csv", ".parquet"), (".nc", ".zarr")
# What makes a directory a Zarr store, of either format.
STORE = (".zgroup", ".zmetadata", "zarr.json")


def save(found: Any, path: str | PathLike[str]) -> None:
    """Write a result, a dataset or a table to a file, in the format that its suffix names.

    Parameters
    ----------
    found : Cycle, Run, Comparison, SaltAccount, LongTable, xarray.Dataset, xarray.DataTree or pandas.DataFrame
        A table goes into a NetCDF or Zarr file as a dataset along its rows. Into CSV or Parquet, cycles, runs and
        comparisons go as their long table, a salt account as its table, and a sweep as one row for each point.
    path : str or path
        - ``.csv``: UTF-8; the first line is the names of the columns alone, numbers have all their digits.
          Units, words and kinds of columns are in ``NAME.csv-metadata.json`` beside it, as W3C's "CSV on the Web" has
          them: every reader would have to strip them from headers, and a line of them turns numbers into texts.
        - ``.parquet``: with ``attrs`` where pandas looks for them; null where a number does not exist.
        - ``.nc``: NetCDF 4, and ``.zarr``: a Zarr store of format 2; CF conventions, with the case as JSON.

        What is there under that name is replaced, once the new file is whole; a directory only if it is a Zarr store that
        was written here and has nothing else in it.

    Raises
    ------
    InputError
        For another suffix, a thing that is no result, or a directory in the way that is no Zarr store or holds something
        that was not written here.
    MissingPackageError
        Without the packages of the extra "export"; CSV needs none.

    See Also
    --------
    read : The file as a dataset or a frame again.
    """
    path = Path(path)
    kind = _kind(path)
    table = _as_table(found) if kind in TABLES else None
    grid = _as_grid(found) if kind in GRIDS else None
    if path.is_dir() and not (kind == ".zarr" and any((path / name).exists() for name in STORE)):
        raise InputError("path", str(path), "is a directory that is no Zarr store, and stays")
    foreign = manifest.foreign_in(path) if path.is_dir() else None
    if foreign is not None:
        raise InputError("path", str(path), f"holds {foreign}, which brinefront did not write, and stays")
    # A name of its own until it is whole: whoever is interrupted keeps what was there.
    with whole(path) as half:
        if table is not None:
            (csv_files.write if kind == ".csv" else _write_parquet)(table, half, path)
        elif grid is not None:
            (_write_netcdf if kind == ".nc" else _write_zarr)(grid, half, path)


def read(path: str | PathLike[str]) -> pd.DataFrame | xr.Dataset | xr.DataTree:
    """Read what :func:`save` has written, labels and all.

    Parameters
    ----------
    path : str or path
        A file of one of :func:`save`'s formats.

    Returns
    -------
    pandas.DataFrame, xarray.Dataset or xarray.DataTree
        A frame from CSV and Parquet, a tree for a comparison, a dataset for everything else, all of it in memory.
        ``Case.from_json(found.attrs["case_json"])`` is the case of a cycle, a run, a salt account or a sweep; a comparison's
        are those of its groups, and ``attrs["cases_json"]`` of its long table.

    Raises
    ------
    InputError
        For another suffix.
    FileError
        For a file that is damaged or holds something else.
    FileNotFoundError
        For a file that does not exist.
    MissingPackageError
        Without the packages of the extra "export".
    """
    need("xarray", "datasets")
    path = Path(path)
    kind = _kind(path)
    if not path.exists():
        raise FileNotFoundError(f"{path}: no such file")
    _need_for(kind)
    try:
        return _read(path, kind)
    except (MissingPackageError, FileError):
        raise
    # Whatever the library that reads the format makes of a damaged file.
    except Exception as error:
        raise FileError(
            f"{path}: {type(error).__name__}: {' '.join(str(error).split()) or 'it cannot be read'}"
        ) from error


def _read(path: Path, kind: str) -> pd.DataFrame | xr.Dataset | xr.DataTree:
    import xarray as xr

    if kind == ".csv":
        return csv_files.read(path)
    if kind == ".parquet":
        return _read_parquet(path)
    engine = "h5netcdf" if kind == ".nc" else "zarr"
    with xr.open_datatree(path, engine=engine) as tree:
        back: xr.DataTree = _each(tree.load(), _from_file)
    return back if back.children else back.to_dataset()


def _need_for(kind: str) -> None:
    if kind == ".nc":
        _need_netcdf()
    elif kind == ".zarr":
        optional.need("zarr", "Zarr stores", "export")


def _kind(path: Path) -> str:
    kind = path.suffix.lower()
    if kind not in (*TABLES, *GRIDS):
        raise InputError("path", str(path), f"must end in {', '.join((*TABLES, *GRIDS))}")
    return kind


def _need_netcdf() -> None:
    for package in ("h5netcdf", "h5py"):
        optional.need(package, "NetCDF files", "export")


def _as_grid(found: Any) -> xr.Dataset | xr.DataTree:
    need("pandas", "tables")
    import pandas as pd

    need("xarray", "datasets")
    import xarray as xr

    if isinstance(found, LongColumns):
        found = found.to_pandas()
    if isinstance(found, pd.DataFrame):
        return frame_dataset(found)
    if hasattr(found, "to_xarray"):
        found = found.to_xarray()
    if isinstance(found, xr.Dataset) or hasattr(found, "subtree"):
        grid: xr.Dataset | xr.DataTree = found
        return grid
    raise _no_result(found)


def _as_table(found: Any) -> pd.DataFrame | LongColumns:
    need("pandas", "tables")
    import pandas as pd

    need("xarray", "datasets")
    import xarray as xr

    if isinstance(found, (pd.DataFrame, LongColumns)):
        return found
    if isinstance(found, xr.Dataset):
        return sweep_table(found) if "error" in found else long_columns(found)
    if hasattr(found, "subtree"):
        return long_columns(found)
    for name in ("long_table", "table"):
        if hasattr(found, name):
            table: pd.DataFrame | LongColumns = getattr(found, name)()
            return table
    raise _no_result(found)


def _no_result(found: Any) -> InputError:
    return InputError("found", type(found).__name__, "must be a result of brinefront, a dataset or a frame")


def _write_parquet(table: pd.DataFrame | LongColumns, half: Path, _: Path) -> None:
    parquet = optional.need("pyarrow.parquet", "Parquet files", "export")
    if isinstance(table, LongColumns):
        parquet.write_table(table.to_arrow(), half)
    else:
        csv_files.plain(table).to_parquet(half, engine="pyarrow")


def _write_netcdf(grid: xr.Dataset | xr.DataTree, half: Path, _: Path) -> None:
    _need_netcdf()
    _each(grid, _for_files).to_netcdf(half, engine="h5netcdf")


def _write_zarr(grid: xr.Dataset | xr.DataTree, half: Path, path: Path) -> None:
    optional.need("zarr", "Zarr stores", "export")
    _each(grid, _for_files).to_zarr(half, zarr_format=2, consolidated=True)
    written = [file.relative_to(half).as_posix() for file in half.rglob("*") if file.is_file()]
    manifest.record(half, written)
    # A directory is not replaced by another unless it is empty.
    if path.is_dir():
        shutil.rmtree(path)


def _read_parquet(path: Path) -> pd.DataFrame:
    need("pandas", "tables")
    import pandas as pd

    optional.need("pyarrow", "Parquet files", "export")
    return csv_files.as_given(pd.read_parquet(path, engine="pyarrow"))


def _each(found: Any, change: Callable[[xr.Dataset], xr.Dataset]) -> Any:
    """The same dataset, or tree, with each of its datasets changed, those without data too."""
    need("xarray", "datasets")
    import xarray as xr

    if isinstance(found, xr.Dataset):
        return change(found)
    return xr.DataTree.from_dict({node.path: change(node.to_dataset(inherit=False)) for node in found.subtree})


def _for_files(data: xr.Dataset) -> xr.Dataset:
    """The same with units that UDUNITS reads, and a line of history."""
    data = data.copy()
    for name in data.variables:
        attrs = data[name].attrs
        words = attrs.get("units", "")
        if udunits(words) != words:
            long_name = f"{attrs.get('long_name', name)}, in {words}"
            data[name].attrs |= {"units": udunits(words), "unit_words": words, "long_name": long_name}
    if "history" in data.attrs:
        now = datetime.now(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")
        data.attrs["history"] = f"{now} brinefront {VERSION}: written to a file\n{data.attrs['history']}"
    return data


def _from_file(data: xr.Dataset) -> xr.Dataset:
    """Our own units and words where a file has UDUNITS's beside them."""
    for name in data.variables:
        attrs = data[name].attrs
        if "unit_words" in attrs:
            words = attrs.pop("unit_words")
            attrs |= {"units": words, "long_name": attrs["long_name"].removesuffix(f", in {words}")}
    return data
