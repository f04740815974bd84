"""One long table of whatever a dataset holds: a row for each value, with where it is and its unit beside it.

The table keeps its columns as arrays and hands them to any program that reads Arrow's C stream, without a copy.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError
from brinefront.native import optional
from brinefront.native.optional import need

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    import numpy as np
    import pandas as pd
    import xarray as xr

__all__ = ["LongColumns", "long_columns", "sweep_table"]

# Dimensions that the table calls by another name: a column carries its unit in its name, and an ion is an ion.
RENAMED: Mapping[str, str] = {"depth": "depth_m", "waste_ion": "ion"}
# Columns in the order a reader follows them; what a dataset does not have is left out. Swept fields come first.
ORDER = ("strategy", "quantity", "step", "bv", "depth_m", "height_m", "tube", "ion", "value", "text", "unit")


@dataclass(frozen=True, eq=False)
class Words:
    """A column of texts: the different ones, and for each row which of them; -1 where there is none."""

    codes: np.ndarray
    words: tuple[str, ...]

    @classmethod
    def of(cls, values: Iterable[Any]) -> Words:
        """The texts in the order in which they first occur."""
        import numpy as np

        places: dict[str, int] = {}
        codes = [-1 if value is None else places.setdefault(str(value), len(places)) for value in values]
        return cls(np.array(codes, dtype=np.int32), tuple(places))

    def __getitem__(self, rows: Any) -> Words:
        return Words(self.codes[rows], self.words)

    def __len__(self) -> int:
        return len(self.codes)

    def texts(self) -> np.ndarray:
        """Each row's text, None where there is none."""
        import numpy as np

        found: np.ndarray = np.array([*self.words, None], dtype=object)[self.codes]
        return found


@dataclass(frozen=True, eq=False, repr=False)
class LongColumns:
    """The columns of a long table by name; :class:`brinefront.LongTable` is what users hold.

    Attributes
    ----------
    attrs : mapping of str to object
        Title, source and the cases as JSON, as the dataset had them.
    """

    _columns: Mapping[str, np.ndarray | Words] = field(repr=False)
    attrs: Mapping[str, Any]

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of the columns."""
        return tuple(self._columns)

    def __len__(self) -> int:
        return len(self._columns["quantity"])

    def __getitem__(self, name: str) -> np.ndarray:
        """A column: numbers as they are held, not to be written to, nan for null; texts as objects, None for null."""
        if name not in self._columns:
            raise KeyError(f"{name!r}: not a column of this table; its columns: {', '.join(self.columns)}")
        column = self._columns[name]
        return column.texts() if isinstance(column, Words) else column

    def to_pandas(self) -> pd.DataFrame:
        """The table as a frame.

        Returns
        -------
        pandas.DataFrame
            Texts as categories, ``attrs`` with it.
        """
        need("pandas", "tables")
        import pandas as pd

        columns = {
            name: pd.Categorical.from_codes(column.codes, list(column.words)) if isinstance(column, Words) else column
            for name, column in self._columns.items()
        }
        frame = pd.DataFrame(columns)
        frame.attrs |= dict(self.attrs)
        return frame

    def to_arrow(self) -> Any:
        """The table as Arrow has it.

        Returns
        -------
        pyarrow.Table
            Over the same memory, with ``attrs`` where pandas looks for them.

        Raises
        ------
        MissingPackageError
            Without pyarrow.
        """
        pyarrow = optional.need("pyarrow", "Arrow tables", "export")
        columns = {name: _arrow(pyarrow, column) for name, column in self._columns.items()}
        return pyarrow.table(columns).replace_schema_metadata({"PANDAS_ATTRS": json.dumps(dict(self.attrs))})

    def __arrow_c_stream__(self, requested_schema: object | None = None) -> object:
        return self.to_arrow().__arrow_c_stream__(requested_schema)

    def __repr__(self) -> str:
        return f"<LongTable of {len(self)} rows: {', '.join(self.columns)}>"


def long_columns(found: xr.Dataset | xr.DataTree) -> LongColumns:
    """Every value of a dataset as a row: see :func:`brinefront.long_table`."""
    need("xarray", "datasets")
    import xarray as xr

    if not isinstance(found, xr.Dataset):
        parts = [(node.attrs["strategy"], node.to_dataset()) for node in found.subtree if "strategy" in node.attrs]
        if not parts:
            raise InputError("found", "a tree", "none of its groups is a strategy")
        blocks = [block | {"strategy": name} for name, data in parts for block in _blocks(data)]
        cases = {name: data.attrs["case_json"] for name, data in parts}
        attrs: dict[str, Any] = {**{str(name): value for name, value in found.attrs.items()}, "cases_json": cases}
        swept: tuple[str, ...] = ()
    else:
        blocks = list(_blocks(found))
        attrs = {str(name): value for name, value in found.attrs.items()}
        swept = tuple(map(str, found["error"].dims)) if "error" in found else ()
    names = {name for block in blocks for name in block}
    order = [*swept, *ORDER, *sorted(names - {*swept, *ORDER})]
    columns = {name: _joined([block.get(name) for block in blocks], blocks) for name in order if name in names}
    return LongColumns(columns, attrs)


def sweep_table(found: xr.Dataset) -> pd.DataFrame:
    """Give one row for each point of a sweep: the swept values, every figure, the counts of effort, the error.

    Parameters
    ----------
    found : xarray.Dataset
        As :func:`brinefront.sweep` returns it.

    Returns
    -------
    pandas.DataFrame
        The last axis varies fastest. Units, long names, title and the case are in ``attrs``.

    Raises
    ------
    InputError
        For a dataset that is no sweep.
    """
    import numpy as np

    need("pandas", "tables")
    import pandas as pd

    if "error" not in found:
        raise InputError("found", "a dataset", "must be what brinefront.sweep returns")
    dims = found["error"].dims
    places = np.indices([found.sizes[name] for name in dims]).reshape(len(dims), found["error"].size)
    columns = {str(name): found[name].to_numpy()[place] for name, place in zip(dims, places, strict=True)}
    columns |= {str(name): found[name].to_numpy().ravel() for name in found.data_vars}
    frame = pd.DataFrame(columns)
    frame.attrs |= found.attrs
    frame.attrs["units"] = {name: found[name].attrs["units"] for name in columns if "units" in found[name].attrs}
    frame.attrs["long_names"] = {name: found[name].attrs.get("long_name", name) for name in columns}
    return frame


def _blocks(found: xr.Dataset) -> Iterator[dict[str, Any]]:
    """The rows of each variable: arrays of one length, texts that hold for all of them as they are."""
    import numpy as np

    along = {str(dim): dict(_along(found, str(dim))) for dim in found.dims}
    for name, variable in found.data_vars.items():
        values = variable.to_numpy()
        rows = np.indices(values.shape).reshape(values.ndim, values.size)
        block: dict[str, Any] = {"quantity": str(name), "unit": variable.attrs.get("units")}
        for dim, place in zip(variable.dims, rows, strict=True):
            block |= {column: given[place] for column, given in along[str(dim)].items()}
        if values.dtype.kind in "biuf":
            yield block | {"value": values.ravel().astype(float)}
        else:
            yield block | {"value": np.full(values.size, np.nan), "text": Words.of(values.ravel())}


def _along(found: xr.Dataset, dim: str) -> Iterator[tuple[str, np.ndarray | Words]]:
    """What distinguishes the rows along a dimension."""
    import numpy as np

    curve, _, kind = dim.rpartition("_")
    if kind == "sample":
        for name in ("bv", "step"):
            if f"{curve}_{name}" in found.coords:
                yield name, _column(found.coords[f"{curve}_{name}"].to_numpy())
    elif dim in found.coords:
        yield RENAMED.get(dim, dim), _column(found.coords[dim].to_numpy())
        # The height of a cell stands beside its depth.
        if dim == "depth" and "height_m" in found.coords:
            yield "height_m", _column(found.coords["height_m"].to_numpy())
    else:
        # Rows, tubes: by number, from 1.
        yield dim, np.arange(1, found.sizes[dim] + 1)


def _column(values: np.ndarray) -> np.ndarray | Words:
    return values if values.dtype.kind in "iuf" else Words.of(values)


def _joined(parts: Sequence[Any], blocks: Sequence[Mapping[str, Any]]) -> np.ndarray | Words:
    """One column out of the blocks' parts: arrays, one text for all rows of a block, or None."""
    import numpy as np

    sizes = [len(block["value"]) for block in blocks]
    numbers = [part for part in parts if isinstance(part, np.ndarray)]
    if numbers:
        kind = np.result_type(*numbers) if len(numbers) == len(parts) else np.float64
        whole = np.concatenate(
            [np.full(size, np.nan) if part is None else part for part, size in zip(parts, sizes, strict=True)],
            dtype=kind,
        )
        whole.setflags(write=False)
        return whole
    places: dict[str, int] = {}
    codes = np.full(sum(sizes), -1, dtype=np.int32)
    start = 0
    for part, size in zip(parts, sizes, strict=True):
        of = part if isinstance(part, Words) else Words(np.zeros(size, np.int32), () if part is None else (part,))
        if of.words:
            known = np.array([*(places.setdefault(word, len(places)) for word in of.words), -1], dtype=np.int32)
            codes[start : start + size] = known[of.codes]
        start += size
    codes.setflags(write=False)
    return Words(codes, tuple(places))


def _arrow(pyarrow: Any, column: np.ndarray | Words) -> Any:
    """A column as an Arrow array over its memory; null where it is nan or has no text."""
    if isinstance(column, Words):
        codes = _over(pyarrow, column.codes, column.codes < 0)
        return pyarrow.DictionaryArray.from_arrays(codes, pyarrow.array(column.words, pyarrow.string()))
    import numpy as np

    return _over(pyarrow, column, np.isnan(column))


def _over(pyarrow: Any, numbers: np.ndarray, missing: np.ndarray) -> Any:
    import numpy as np

    valid = pyarrow.py_buffer(np.packbits(~missing, bitorder="little")) if missing.any() else None
    kind = pyarrow.from_numpy_dtype(numbers.dtype)
    return pyarrow.Array.from_buffers(kind, len(numbers), [valid, pyarrow.py_buffer(numbers)])
