"""Pictures of results, one a file; :mod:`brinefront.plot` names the public ones.

Colours are in ``palette``, sizes of type and lines in ``style``, a cycle cut into its steps in ``passage``; ``registry`` has
what each file says of its picture.
"""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from brinefront.pictures.registry import Picture, registered


def every() -> dict[str, Picture]:
    """Every picture of the room by name."""
    for each in iter_modules(__path__, f"{__name__}."):
        import_module(each.name)
    return registered()
