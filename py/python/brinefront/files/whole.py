"""Files that are written whole or not at all: a name of their own until they are, then the place of what was there."""

from __future__ import annotations

import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

__all__ = ["whole", "write_text"]


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """A path to write a file or a folder to, which becomes `path` when the block ends well; else what was there stays."""
    half = path.with_name(f".{path.stem}-{os.getpid()}{path.suffix}")
    try:
        yield half
        os.replace(half, path)
    finally:
        if half.is_dir():
            shutil.rmtree(half)
        else:
            half.unlink(missing_ok=True)


def write_text(path: Path, content: str) -> None:
    """Write a text with line feeds, whole or not at all."""
    with whole(path) as half:
        half.write_text(content, encoding="utf-8", newline="\n")
