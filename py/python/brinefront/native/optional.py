"""Packages that only a part of brinefront needs, loaded when that part is used."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from brinefront.errors import MissingPackageError

__all__ = ["need"]


def need(module: str, purpose: str, extra: str | None = None) -> Any:
    """Import a module, or report which package is missing, for what, and how to get it.

    Where a type checker should know the module, call this for its message and import by a statement in the line after.

    Parameters
    ----------
    module : str
        Its name, such as ``"pint"`` or ``"matplotlib.pyplot"``.
    purpose : str
        What it is needed for, as the subject of a sentence: "quantities", "the report".
    extra : str, optional
        The extra of brinefront that installs it; the package by itself if None.

    Raises
    ------
    MissingPackageError
        If the package is not installed.
    """
    try:
        return import_module(module)
    except ModuleNotFoundError as error:
        package = module.partition(".")[0]
        if error.name is None or error.name.partition(".")[0] != package:
            raise
        whole = f', or brinefront with its extra "{extra}"' if extra else ""
        message = f"{purpose} need the package {package}, which is not installed: pip install {package}{whole}"
        raise MissingPackageError(message, name=package) from error
