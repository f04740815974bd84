"""What the command writes: tables, the report's text and pictures, and what it would replace."""

from __future__ import annotations

import csv
import json
import os
import re
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError, MissingPackageError
from brinefront.files import manifest
from brinefront.files.export import save
from brinefront.files.whole import whole, write_text
from brinefront.tables.long_table import sweep_table
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    import xarray as xr

    from brinefront._core import Case
    from brinefront.native.protocols import Comparison, Point, SaltAccount

    Stamp = tuple[int, ...]


# Names of the case files that are written, of a comparison and of an account.
CASE_FILES = {"compare": r"\d+-co(unter)?-current\.toml", "account": r"case\.toml"}
# Names that a case file must not have where a command writes: it would be written over.
TAKEN = {
    "compare": r"(\d+-co(unter)?-current|comparison|report|leakage)\..*|.*\.png",
    "account": r"(case|report|salt_account)\..*",
    "sweep": r"sweep\..*",
}
SWEEP_FILES = ("sweep.csv", "sweep.csv-metadata.json", "sweep.parquet", "sweep.nc", "sweep.json")
# Names of what else a run of a command may have written before: more strategies, or formats whose package has gone.
KIN = {
    "compare": CASE_FILES["compare"].replace(r"\.toml", r"(\.toml|-loading\.png|-waste\.png)"),
    "sweep": "|".join(map(re.escape, SWEEP_FILES)),
}
ACCOUNT_FILES = ("salt_account.csv", "salt_account.json", "report.txt", "case.toml", "salt_account.png")


def comparison_files(cases: Sequence[Case]) -> tuple[str, ...]:
    """The names of what :func:`write_comparison` writes of these cases; one is compared with its mirror."""
    compared = [cases[0], cases[0].mirrored()] if len(cases) == 1 else cases
    each = [f"{place}-{case.regeneration.direction}" for place, case in enumerate(compared, start=1)]
    of_each = [f"{name}{end}" for name in each for end in (".toml", "-loading.png", "-waste.png")]
    return ("comparison.csv", "comparison.json", "report.txt", "comparison.png", "leakage.png", *of_each)


@dataclass(frozen=True)
class Written:
    """Files of a folder that are going to be written."""

    folder: Path
    names: tuple[str, ...]
    replaced: tuple[str, ...]
    """Those that are there already."""
    foreign: tuple[str, ...] = ()
    """Those of them that somebody else wrote."""
    before: Mapping[str, Stamp] = field(default_factory=dict)
    """What tells a file that was there from one that is written anew: of the files replaced, and of others of their kin."""

    def stale(self) -> tuple[str, ...]:
        """Files of the same kin that were written here earlier and are as they were: they do not belong to this run."""
        return tuple(name for name in self.before if not self._anew(name) and manifest.is_ours(self.folder / name))

    def _anew(self, name: str) -> bool:
        return _stamp(self.folder / name) != self.before.get(name)

    @contextmanager
    def noted(self) -> Iterator[None]:
        """Note as written here what is written inside, even where it ends early: the next time may replace it."""
        done = False
        try:
            yield
            done = True
        finally:
            names = [name for name in self.names if (done or name not in self.foreign) and self._anew(name)]
            if self.folder.is_dir():
                manifest.record(self.folder, [name for name in names if (self.folder / name).is_file()])


def to_write(folder: Path, names: Iterable[str], *, overwrite: bool, option: str = "--out", kin: str = "") -> Written:
    """Look what is in the place of files, and what else of their kin is there (a pattern), before anything is computed.

    Raises
    ------
    InputError
        For a file that was not written here, or has been changed since, unless it may be written over.
    """
    names = tuple(names)
    # A link whose aim is away is somebody's all the same.
    there = tuple(name for name in names if os.path.lexists(folder / name))
    foreign = tuple(name for name in there if not manifest.is_ours(folder / name))
    if foreign and not overwrite:
        limits = f"has {', '.join(foreign)}, not as brinefront wrote it: --overwrite replaces it"
        raise InputError(option, str(folder), limits)
    kindred = sorted(each.name for each in folder.iterdir() if re.fullmatch(kin, each.name)) if folder.is_dir() else []
    before = {name: _stamp(folder / name) for name in dict.fromkeys((*there, *kindred))}
    return Written(folder, names, there, foreign, before)


def _stamp(path: Path) -> Stamp:
    """What changes when a file is written: which it is, when and how long; nothing where none is."""
    try:
        found = path.stat()
    except OSError:
        return ()
    return found.st_ino, found.st_mtime_ns, found.st_size


def write_comparison(found: Comparison, report: str, directory: Path) -> None:
    """comparison.csv, comparison.json, report.txt, the case files, and a picture for each question."""
    from brinefront.report import pictures

    directory.mkdir(parents=True, exist_ok=True)
    with whole(directory / "comparison.csv") as half:
        found.table().to_csv(half, encoding="utf-8")
    _write(directory / "comparison.json", json.dumps(found.to_dict(), indent=2, allow_nan=False))
    _write(directory / "report.txt", report)
    _save(found.sheet(), directory / "comparison.png")
    for picture in pictures.of_comparison(found):
        _save(picture.figure(), directory / f"{picture.stem}.png")
    for place, cycle in enumerate(found.cycles, start=1):
        _write(directory / f"{place}-{cycle.direction}.toml", cycle.case.to_toml())


def write_account(found: SaltAccount, report: str, directory: Path) -> None:
    """salt_account.csv, salt_account.json, report.txt, the case file, and the picture."""
    directory.mkdir(parents=True, exist_ok=True)
    with whole(directory / "salt_account.csv") as half:
        found.table().to_csv(half, encoding="utf-8")
    _write(directory / "salt_account.json", json.dumps(found.to_dict(), indent=2, allow_nan=False))
    _write(directory / "report.txt", report)
    _write(directory / "case.toml", found.case.to_toml())
    _save(found.plot().figure, directory / "salt_account.png")


def write_sweep(found: xr.Dataset, directory: Path) -> None:
    """sweep.csv and sweep.json, one row, one entry a point; sweep.parquet and sweep.nc where their packages are."""
    directory.mkdir(parents=True, exist_ok=True)
    points = sweep_points(found)
    for name in ("sweep.csv", "sweep.parquet", "sweep.nc"):
        try:
            save(found, directory / name)
        except MissingPackageError:
            continue
    _write(directory / "sweep.json", json.dumps(text.without_nan({"cases": points}), indent=2, allow_nan=False))


def sweep_points(found: xr.Dataset) -> list[dict[str, Any]]:
    """One dict for each point: the swept values, every figure, and the error if it failed."""
    return [{str(name): value for name, value in row.items()} for row in sweep_table(found).to_dict("records")]


def streamed(points: Iterable[Point], path: Path) -> Iterator[Point]:
    """Write each point to a CSV file, flushed, before it is handed on; the columns are those of sweep.csv."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = None
        for point in points:
            # Floats as Python's own: NumPy's are written as its print options say, which may be fewer digits than there are.
            row = {
                name: float(value) if isinstance(value, float) else value
                for name, value in text.without_nan(point.row()).items()
            }
            if writer is None:
                writer = csv.DictWriter(file, list(row), lineterminator="\n")
                writer.writeheader()
            writer.writerow(row)
            file.flush()
            yield point


def _write(path: Path, content: str) -> None:
    write_text(path, content.rstrip("\n") + "\n")


def _save(figure: Any, path: Path) -> None:
    import matplotlib.pyplot as plt

    with whole(path) as half:
        figure.savefig(half, dpi=160)
    plt.close(figure)
