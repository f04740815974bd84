"""Published figures that pictures and tests are set against, read from one table with its sources."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

__all__ = ["co_current_capacity"]


@cache
def co_current_capacity() -> dict[float, tuple[float, float]]:
    """Operating capacity of co-current softeners, low and high [kgr/ft3] at a salt dose [lb/ft3].

    ``published_capacity.json`` beside this file has the conditions and the ratings that the band is the envelope of, each
    with its source.
    """
    table = json.loads(files(__package__).joinpath("published_capacity.json").read_text(encoding="utf-8"))
    return {row["dose"]: (row["low"], row["high"]) for row in table["band"]}
