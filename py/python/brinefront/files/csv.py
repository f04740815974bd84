"""Tables as CSV with what the columns are in a file beside it, after "CSV on the Web" of W3C (2015)."""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING, Any

from brinefront.errors import FileError
from brinefront.native.optional import need
from brinefront.tables.datasets import plain_text
from brinefront.tables.long_table import LongColumns

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd

__all__ = ["as_given", "plain", "read", "write"]

# How the standard calls the kinds of columns, and texts without an end mark for a null among them.
KINDS = {"f": "double", "i": "integer", "u": "integer", "b": "boolean"}
TRUTHS = {"base": "boolean", "format": "True|False"}
# Where a frame's attrs say which of its columns hold more than a file can tell: several texts, cells of any kind.
GIVEN = "kinds"


def beside(path: Path) -> Path:
    """The file that describes the columns of a CSV file."""
    return path.with_name(path.name + "-metadata.json")


def write(table: pd.DataFrame | LongColumns, half: Path, path: Path) -> None:
    """Write the columns to `half`, which becomes `path` later on, and what they are to the file beside `path`."""
    frame = plain(table.to_pandas() if isinstance(table, LongColumns) else table)
    named = frame.index.name is not None
    whole = frame.reset_index() if named else frame
    for name in whole.columns:
        if whole[name].dtype.kind not in KINDS:
            whole = whole.assign(**{str(name): whole[name].astype(object)})
    # Floats as Python's own: NumPy's are written as its print options say, which may be fewer digits than there are.
    floats = {str(name): whole[name].astype(object) for name in whole.columns if whole[name].dtype.kind == "f"}
    whole.assign(**floats).to_csv(half, index=False, encoding="utf-8", lineterminator="\n")
    attrs = dict(frame.attrs) | ({"index": frame.index.name} if named else {})
    units, words = attrs.get("units", {}), attrs.get("long_names", {})
    known = {
        "@context": ["http://www.w3.org/ns/csvw", {"@language": "en"}],
        "url": path.name,
        "dc:title": attrs.get("title", path.stem),
        "tableSchema": {
            "columns": [_column(whole[name], str(name), units, words) for name in whole.columns],
        },
        "notes": [{"attrs": attrs, "rows": len(whole)}],
    }
    text = json.dumps(known, indent=2, ensure_ascii=False) + "\n"
    part = beside(path).with_name(f"{half.name}-metadata.json")
    part.write_text(text, encoding="utf-8")
    os.replace(part, beside(path))


def read(path: Path) -> pd.DataFrame:
    """The table with its kinds and ``attrs``; without the file beside it, as pandas takes it."""
    need("pandas", "tables")
    import pandas as pd

    if not beside(path).exists():
        return pd.read_csv(path)
    known = json.loads(beside(path).read_text(encoding="utf-8"))
    texts = pd.read_csv(path, dtype=str, keep_default_na=False, encoding="utf-8")
    rows = known["notes"][0].get("rows", len(texts))
    if len(texts) != rows:
        raise FileError(
            f"{path}: {len(texts)} rows where {rows} were written: a part of the file is missing, or rows were added"
        )
    frame = pd.DataFrame(
        {column["titles"]: _values(texts[column["titles"]], column) for column in known["tableSchema"]["columns"]}
    )
    frame.attrs |= known["notes"][0]["attrs"]
    index = frame.attrs.pop("index", None)
    return as_given(frame if index is None else frame.set_index(index))


def plain(frame: pd.DataFrame) -> pd.DataFrame:
    """The same table with columns of one plain kind each; ``attrs`` say what the others were."""
    need("pandas", "tables")
    import pandas as pd

    given = {}
    for name in frame.columns:
        if frame[name].dtype == object:
            kinds = {type(value) for value in frame[name]}
            if kinds <= {tuple, list}:
                given[str(name)] = "texts"
            elif not kinds <= {str, type(None)}:
                given[str(name)] = "mixed"
        elif isinstance(frame[name].dtype, pd.CategoricalDtype):
            given[str(name)] = "category"
    if not given:
        return frame
    # Categories stay: a file of any kind takes them.
    found = frame.assign(**{name: frame[name].map(plain_text) for name, kind in given.items() if kind != "category"})
    found.attrs[GIVEN] = given
    return found


def as_given(frame: pd.DataFrame) -> pd.DataFrame:
    """A table out of a file with its columns as they were before :func:`plain`."""
    need("pandas", "tables")
    import pandas as pd

    for name, kind in frame.attrs.pop(GIVEN, {}).items():
        if kind == "category":
            # In the order in which they occur, as they were.
            frame[name] = pd.Categorical(frame[name], categories=list(frame[name].dropna().unique()))
        else:
            back = _texts if kind == "texts" else _cell
            frame[name] = frame[name].map(back).astype(object)
    return frame


def _column(column: pd.Series, name: str, units: dict[str, str], words: dict[str, str]) -> dict[str, Any]:
    kind: Any = KINDS.get(column.dtype.kind, "string")
    described = {"titles": name, "datatype": TRUTHS if kind == "boolean" else kind}
    if kind == "double" or (kind == "string" and bool(column.isna().any())):
        described["null"] = ""
    elif kind == "string":
        # An empty text is a text here; no text in a file is this.
        described["null"] = "\N{REPLACEMENT CHARACTER}"
    return described | _if("dc:description", words.get(name)) | _if("schema:unitText", units.get(name))


def _if(key: str, value: str | None) -> dict[str, str]:
    return {key: value} if value else {}


def _values(texts: pd.Series, column: dict[str, Any]) -> Any:
    """The cells of a column in the kind of its description; numbers to the last bit."""
    import numpy as np

    kind, null = column["datatype"], column.get("null")
    if kind == TRUTHS:
        return texts.to_numpy() == "True"
    if kind == "integer":
        return np.array([int(text) for text in texts], dtype=np.int64)
    if kind == "double":
        return np.array([float(text) if text != null else np.nan for text in texts])
    return [text if text != null else None for text in texts]


def _texts(cell: str) -> tuple[str, ...]:
    return tuple(json.loads(cell))


def _cell(text: str) -> Any:
    """A cell of a column of different kinds: yes or no, a whole number, a number, else a text."""
    if text in ("True", "False"):
        return text == "True"
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
