"""Which files of a folder this package wrote: their names with a digest, in a small file beside them.

A file counts as written here while it is as it was written: one that somebody has changed since is theirs.
"""

from __future__ import annotations

import hashlib
import json
from typing import TYPE_CHECKING

from brinefront.files.whole import write_text

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

__all__ = ["NAME", "foreign_in", "is_ours", "record"]

NAME = ".brinefront-files.json"


def is_ours(path: Path) -> bool:
    """Whether a file is one that was written here and is as it was then."""
    return path.is_file() and _listed(path.parent).get(path.name) == _digest(path)


def record(folder: Path, names: Iterable[str]) -> None:
    """Note files of a folder, by their names within it, as written here; those noted before stay noted."""
    found = _listed(folder) | {name: _digest(folder / name) for name in names}
    write_text(folder / NAME, json.dumps(dict(sorted(found.items())), indent=0) + "\n")


def foreign_in(folder: Path) -> str | None:
    """The first file at any depth of a folder that was not written here, by its name within the folder; None if all were."""
    listed = _listed(folder)
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if name != NAME and not path.is_dir() and (path.is_symlink() or listed.get(name) != _digest(path)):
            return name
    return None


def _listed(folder: Path) -> dict[str, str]:
    """What is noted of a folder; no file at all where the note cannot be read."""
    try:
        found = json.loads((folder / NAME).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
