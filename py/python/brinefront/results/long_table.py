"""The long table as users hold it: to be written to a file, and shown in a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brinefront.files import export
from brinefront.tables.long_table import LongColumns, long_columns
from brinefront.words import notebook

if TYPE_CHECKING:
    from os import PathLike

    import xarray as xr

__all__ = ["LongTable", "long_table"]


class LongTable(LongColumns):
    """A tidy table: one row for each value, with what it is, where it is, and its unit.

    Columns of a cycle are `quantity`, `step`, `bv`, `depth_m`, `height_m`, `ion`, `value`, `text` and `unit`, with `strategy` ahead
    of them in a comparison and `tube` where flow is uneven; of a sweep, the swept fields instead of the places. What
    does not apply to a row is null. `text` has what is no number, such as why service ended; yes and no are 1 and 0.

    The table offers Arrow's C stream, which needs pyarrow (the extra "export"): ``polars.DataFrame(table)``,
    ``pyarrow.table(table)`` and ``duckdb.sql("select ... from table")`` read its arrays where they are.

    Attributes
    ----------
    attrs : mapping of str to object
        Title, source and the cases as JSON, as the dataset had them; they go into a Parquet file with the table.
    """

    def save(self, path: str | PathLike[str]) -> None:
        """Write the table to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix names the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        export.save(self, path)

    def _repr_html_(self) -> str:
        return notebook.long_table(self)


def long_table(found: xr.Dataset | xr.DataTree) -> LongTable:
    """Every value of a dataset as a row of one long table.

    Parameters
    ----------
    found : xarray.Dataset or xarray.DataTree
        A sweep, or what ``to_xarray()`` of a cycle, a run or a comparison gives; of a tree, the groups that hold a
        strategy.

    Returns
    -------
    LongTable
        Figures first, then what is along steps, curves and the bed, in the dataset's order.

    Raises
    ------
    InputError
        For a tree without a strategy.

    See Also
    --------
    sweep_table : One row for each point of a sweep.

    Examples
    --------
    >>> import brinefront as bf
    >>> table = bf.long_table(bf.default_case().replace({"cells": 10}).cycle().to_xarray())
    >>> table.columns
    ('quantity', 'step', 'bv', 'depth_m', 'height_m', 'ion', 'value', 'text', 'unit')
    """
    columns = long_columns(found)
    return LongTable(columns._columns, columns.attrs)
