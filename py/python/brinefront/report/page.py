"""The page of a report: everything about a comparison, in one HTML file that needs no other."""

from __future__ import annotations

import base64
import io
import os
import re
import shlex
from dataclasses import dataclass
from datetime import datetime, timezone
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.errors import InputError
from brinefront.files.whole import write_text
from brinefront.native.optional import need
from brinefront.pictures import palette
from brinefront.pictures.efficiency import LIMIT_MG_PER_L_CACO3
from brinefront.report import inputs, pictures, tables
from brinefront.units import display
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from matplotlib.figure import Figure

    from brinefront._core import Case
    from brinefront.native.protocols import Comparison, SaltAccount
    from brinefront.report.pictures import Picture


@dataclass(frozen=True)
class CaseFile:
    """A case file as it was read, so that a report distinguishes what it gives from what it leaves open.

    Parameters
    ----------
    path : str
        Where it was read from, as the report shows it.
    text : str
        Its content.
    """

    path: str
    text: str


@dataclass(frozen=True)
class Extras:
    """What a report shows only if it is asked to.

    Parameters
    ----------
    accounts : tuple of SaltAccount, default ()
        The salt account of each cycle.
    efficiency : bool, default False
        Whether to show what each dose of salt buys, which sweeps the dose.
    """

    accounts: tuple[SaltAccount, ...] = ()
    efficiency: bool = False


def write(
    found: Comparison,
    path: str | os.PathLike[str],
    *,
    extras: Extras = Extras(),
    case_files: Sequence[CaseFile] | None = None,
    command: str | None = None,
) -> None:
    """Write the report of a comparison to a file; folders are made.

    Parameters
    ----------
    found : Comparison
        What to report.
    path : str or path
        Where to.
    extras : Extras, optional
        Salt accounts and brine efficiency; neither by default.
    case_files : sequence of CaseFile, optional
        The files that the cases were read from; one, if a case was set against its mirror.
    command : str, optional
        The command that made the report.

    Raises
    ------
    MissingPackageError
        If jinja2 is not installed: ``pip install "brinefront[report]"``.
    InputError
        If ``SOURCE_DATE_EPOCH`` is set and is no time.
    """
    page = render(found, extras=extras, case_files=case_files, command=command)
    target = Path(path)
    target.parent.mkdir(parents=True, exist_ok=True)
    write_text(target, page)


@display.as_asked
def render(
    found: Comparison,
    *,
    extras: Extras = Extras(),
    case_files: Sequence[CaseFile] | None = None,
    command: str | None = None,
) -> str:
    """Give the report of a comparison as HTML text.

    Parameters
    ----------
    found : Comparison
        What to report.
    extras : Extras, optional
        Salt accounts and brine efficiency; neither by default.
    case_files : sequence of CaseFile, optional
        The files that the cases were read from; one, if a case was set against its mirror.
    command : str, optional
        The command that made the report.

    Returns
    -------
    str
        One HTML file.

    Raises
    ------
    MissingPackageError
        If jinja2 is not installed.
    InputError
        If ``SOURCE_DATE_EPOCH`` is set and is no time.
    """
    jinja2 = need("jinja2", "reports", "report")
    environment = jinja2.Environment(
        loader=jinja2.FunctionLoader(_packaged),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    markup = need("markupsafe", "reports", "report").Markup
    environment.filters |= {"powers": _powers(markup), "ion": _ion(markup), "typeset": display.typeset}
    page: str = environment.get_template("template.html.j2").render(_contents(found, extras, case_files, command))
    return page


def _contents(
    found: Comparison, extras: Extras, case_files: Sequence[CaseFile] | None, command: str | None
) -> dict[str, Any]:
    cycles = found.cycles
    names = text.labels(cycles)
    said = None if not case_files else [_said(file) for file in case_files]
    sections = inputs.sections(cycles, said, found.at)
    shown = {entry.origin for section in sections for row in section.rows for entry in row.entries}
    meanings = inputs.ORIGINS | ({} if said else {inputs.GIVEN: inputs.GIVEN_IN_PYTHON})
    accounts = list(zip(extras.accounts, names, strict=False))
    return {
        "version": _core.VERSION,
        "written": _now(),
        "colours": {"ink": palette.INK, "grid": palette.GRID, "band": palette.BAND, "limit": palette.LIMIT},
        "name": ", ".join(dict.fromkeys(cycle.case.name or "Softener" for cycle in cycles)),
        "at": text.held_equal(found),
        "sentence": text.answer(found),
        "warnings": [
            *text.warnings(cycles),
            *(display.said(line) for account in extras.accounts for line in account.warnings),
        ],
        "strategies": [
            {
                "name": name,
                "colour": palette.DIRECTIONS[cycle.direction]["color"],
                "salt": text.dose_of(cycle.dose_g_per_l, cycle.case.regeneration.salt),
                "run": f"run of {text.number(cycle.run_length_bv)} bed volumes"
                if cycle.run_length_bv
                else "no soft run",
                "case": cycle.case.name,
            }
            for cycle, name in zip(cycles, names, strict=True)
        ],
        "key_figures": tables.key_figures(found),
        "pictures": [_picture(each) for each in _pictures(found, extras)],
        "accounts": [
            (account.sentence(), tables.account(account, name, place))
            for place, (account, name) in enumerate(accounts, start=1)
        ],
        "inputs": sections,
        "origins": {word: meaning for word, meaning in meanings.items() if word in shown},
        "standings": inputs.sources()["standings"],
        "laws": inputs.laws(cycles),
        "waters": list(tables.waters(cycles)),
        "steps": [
            tables.steps(cycle, name, place) for place, (cycle, name) in enumerate(zip(cycles, names, strict=True), 1)
        ],
        "waste": tables.waste(found),
        "numerics": [tables.numerical_errors(found), tables.search(found)],
        "site_targets": tables.site_targets(found),
        "design_rules": tables.design_rules(found),
        "notes": text.notes(cycles, every=True),
        "cautions": text.cautions(cycles),
        "files": [
            {"name": f"{place}-{cycle.direction}.toml", "text": cycle.case.to_toml(), "of": name}
            for place, (cycle, name) in enumerate(zip(cycles, names, strict=True), start=1)
        ],
        "command": command,
        "again": _again(found, extras),
        "found_at": found.at,
    }


def _pictures(found: Comparison, extras: Extras) -> Iterator[Picture]:
    yield from pictures.of_comparison(found)
    names = text.labels(found.cycles)
    if extras.efficiency:
        seen: list[Case] = []
        dose = found.cycles[0].case.regeneration.dose_g_per_l
        for place, (cycle, name) in enumerate(zip(found.cycles, names, strict=True), start=1):
            # Dose and metered volume are what these curves leave behind, and a pair of them shows both directions.
            limit = cycle.case.service.limit_mg_per_l_caco3 or LIMIT_MG_PER_L_CACO3
            same = {"service.limit_mg_per_l_caco3": limit, "service.volume_bv": None, "regeneration.dose_g_per_l": dose}
            case = cycle.case.replace(same)
            if not any(case in (each, each.mirrored()) for each in seen):
                seen.append(case)
                yield pictures.of_efficiency(cycle.case, name, f"{place}-efficiency")
    for place, (account, name) in enumerate(zip(extras.accounts, names, strict=False), start=1):
        yield pictures.of_account(account, name, f"{place}-account")


def _picture(picture: Picture) -> dict[str, Any]:
    import matplotlib.pyplot as plt

    figure = picture.figure(on_page=True)
    try:
        width, height = figure.get_size_inches()
        return {
            "stem": picture.stem,
            "caption": picture.caption,
            "alt": picture.alt,
            "half": picture.half,
            "data": base64.b64encode(_svg(figure)).decode("ascii"),
            "width": round(96 * width),
            "height": round(96 * height),
        }
    finally:
        plt.close(figure)


def _svg(figure: Figure) -> bytes:
    """A drawing with the same bytes each time, without its prologue, which names a place on the network."""
    import matplotlib as mpl

    drawn = io.StringIO()
    without = dict.fromkeys(("Creator", "Date", "Format", "Type"))
    with mpl.rc_context({"svg.hashsalt": "brinefront", "svg.fonttype": "path"}):
        figure.savefig(drawn, format="svg", metadata=without)
    words = drawn.getvalue()
    return words[words.index("<svg") :].encode("utf-8")


def _now() -> dict[str, str]:
    """Date and time with the zone: now and here, or in UTC what ``SOURCE_DATE_EPOCH`` gives."""
    given = os.environ.get("SOURCE_DATE_EPOCH")
    try:
        at = datetime.now().astimezone() if given is None else datetime.fromtimestamp(int(given), tz=timezone.utc)
    except (ValueError, OverflowError, OSError) as error:
        raise InputError("SOURCE_DATE_EPOCH", str(given), "must be a whole number of seconds since 1970") from error
    offset = at.strftime("%z")
    zone = "UTC" if offset == "+0000" else f"UTC{offset[:3]}:{offset[3:5]}"
    return {"words": f"{at:%Y-%m-%d %H:%M:%S} {zone}", "machine": at.isoformat(timespec="seconds")}


def _said(file: CaseFile) -> dict[str, Any]:
    """What a case file gives, by dotted names."""
    return inputs.said_in(_core.said_in_toml(file.text, str(file.path)))


def _again(found: Comparison, extras: Extras) -> str:
    """The command that gives the figures of this report from the files at its end."""
    names = [f"{place}-{cycle.direction}.toml" for place, cycle in enumerate(found.cycles, start=1)]
    asked = [*(["--efficiency"] if extras.efficiency else []), *(["--account"] if extras.accounts else [])]
    units = display.units_for(found)
    asked += [] if units == display.BOTH else ["--units", units]
    return shlex.join(["brinefront", "report", *names, *asked, "--out", "report.html"])


def _packaged(name: str) -> str:
    """A template beside this file."""
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _powers(markup: Any) -> Callable[[str], Any]:
    """Give a filter: a number with an exponent as powers of ten are written, everything else as words are typeset."""
    exponent = re.compile(r"(-?[\d.]+)e([+-]?)0*(\d+)")
    times = markup("{}\N{NO-BREAK SPACE}\N{MULTIPLICATION SIGN}\N{NO-BREAK SPACE}10<sup>{}</sup>")

    def written(cell: str) -> Any:
        found = exponent.fullmatch(cell)
        if found is None:
            return display.typeset(cell)
        return times.format(found[1], found[3] if found[2] != "-" else f"\N{MINUS SIGN}{found[3]}")

    return written


def _ion(markup: Any) -> Callable[[str], Any]:
    """Give a filter: the symbol of an ion with its numbers below the line, everything else as it is."""
    below = markup("<sub>{}</sub>")

    def written(symbol: str) -> Any:
        if not re.fullmatch(r"[A-Z][A-Za-z]*\d?", symbol):
            return symbol
        return markup("").join(below.format(part) if part.isdigit() else part for part in re.split(r"(\d)", symbol))

    return written
