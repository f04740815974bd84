"""The command ``brinefront``: compare strategies, sweep parameters, account for salt, read a case file, write a report.

Exit codes: 0 done; 2 bad input, one line on standard error; 3 not all that was asked for has figures to count on, what there
is printed all the same: a run that was never soft, a cycle that did not settle, a point of a sweep without figures; 130
stopped by Ctrl-C.
"""

from __future__ import annotations

import argparse
import io
import json
import math
import os
import re
import shlex
import sys
import time
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, ClassVar, NoReturn, TextIO, cast

from brinefront import __version__, compare, default_case, sweep, sweep_stream
from brinefront._core import case_file
from brinefront.errors import BrinefrontError, InputError
from brinefront.native.enumerations import StopReason
from brinefront.native.stopping import STOPPED, as_usual
from brinefront.report import directory as report_files
from brinefront.results.comparison import accepted_leakage
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import as_shown, distinct, shown_in

if TYPE_CHECKING:
    from collections.abc import Sequence

    import xarray as xr
    from typing_extensions import Self

    from brinefront import Case
    from brinefront.native.protocols import Figures
    from brinefront.report import CaseFile

DONE, BAD_INPUT, NOT_STEADY = 0, 2, 3

# The leakages that can be bounded, as `compare` has them.
BOUNDED = {"mean": "mean leakage", "half_run": "leakage at half run", "end": "leakage at the end", "max": "any leakage"}
# The columns of a printed sweep.
SWEEP_FIGURES = shown_in("sweep")
# Reasons for points without figures that are named; of more their number is said.
REASONS = 5


def _path(given: str) -> Path:
    """A path that is named: an empty one, such as that of an unset variable, is none."""
    if not given:
        raise argparse.ArgumentTypeError("is empty: name a file or a folder")
    return Path(given)


def _amount(given: str) -> float | str:
    """A plain number, or a text with its unit."""
    try:
        return float(given)
    except ValueError:
        if not given.strip():
            raise argparse.ArgumentTypeError("is empty: give a number, or one with its unit") from None
        return given


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are one line."""

    def error(self, message: str) -> NoReturn:
        line = " ".join(message.split())
        # What was given is repeated in it; nobody reads a page of that.
        line = line if len(line) <= 500 else f"{line[:200]} ... {line[-200:]}"
        self.exit(BAD_INPUT, f"{self.prog}: {line}\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; the exit code is returned."""
    try:
        as_usual()
        _open_streams()
        options = _parser().parse_args(arguments)
        options.command_line = shlex.join(["brinefront", *(sys.argv[1:] if arguments is None else arguments)])
        _spare_inputs(options)
        with display.using(options.units):
            code: int = options.run(options)
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("brinefront: stopped", file=sys.stderr)
        return STOPPED
    except BrokenPipeError:
        # Whoever read the output has closed it; no more can be printed, not even on the way out.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except UnicodeError as error:
        # Bytes in an argument that are no text, say.
        print(f"brinefront: no text: {error}", file=sys.stderr)
        return BAD_INPUT
    except (BrinefrontError, OSError) as error:
        print(f"brinefront: {' '.join(str(error).split())}", file=sys.stderr)
        return NOT_STEADY if isinstance(error, RuntimeError) else BAD_INPUT


def _open_streams() -> None:
    """Output that is closed goes nowhere; a letter that its encoding does not have is written by its number."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115 (open until the program ends)
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="brinefront", description="What a softener's regeneration strategy buys.")
    parser.add_argument("--version", action="version", version=f"brinefront {__version__}")
    commands = parser.add_subparsers(
        dest="command", required=True, metavar="compare | report | sweep | account | live", parser_class=_Parser
    )

    comparing = commands.add_parser(
        "compare",
        help="set strategies side by side",
        description="Set strategies side by side; one case is set against its mirror.",
    )
    comparing.add_argument("cases", nargs="*", metavar="CASE.toml", help="case files; none: the built-in scenario")
    comparing.set_defaults(run=_compare)

    reporting = commands.add_parser(
        "report",
        help="write a report of a comparison",
        description="Compare strategies and write one HTML file with figures, pictures, inputs and their sources.",
    )
    reporting.add_argument("cases", nargs="*", metavar="CASE.toml", help="case files; none: the built-in scenario")
    reporting.add_argument("--out", type=_path, required=True, metavar="FILE.html", help="where to write it")
    reporting.add_argument("--efficiency", action="store_true", help="show what each dose of salt buys")
    reporting.add_argument("--account", action="store_true", help="show where the salt of each strategy went")
    reporting.set_defaults(run=_report)

    sweeping = commands.add_parser(
        "sweep",
        help="run a grid of cases",
        description=(
            "Run every combination of the values set. Where some points have no figures, a last line counts them with the "
            "reasons (on standard error beside --json), and the exit code is 3; where none has any, it is 2."
        ),
    )
    sweeping.add_argument("case", nargs="?", metavar="CASE.toml", help="case file; none: the built-in scenario")
    sweeping.add_argument(
        "--set",
        dest="axes",
        action="append",
        required=True,
        metavar="NAME=V1,V2,...",
        help="values of a field by its dotted name, such as regeneration.dose_g_per_l=64,96,128; repeat for a grid",
    )
    sweeping.add_argument("--threads", type=int, help="threads to use; all processors by default")
    sweeping.set_defaults(run=_sweep)

    accounting = commands.add_parser(
        "account",
        help="say where the salt went",
        description="Share the salt of a regeneration out: what did the work, and what each imperfection of the bed cost.",
    )
    accounting.add_argument("case", nargs="?", metavar="CASE.toml", help="case file; none: the built-in scenario")
    accounting.add_argument(
        "--order",
        default="ladder",
        choices=("ladder", "shapley"),
        help="charge an effect what it adds to those before it, or the mean over all orders",
    )
    accounting.set_defaults(run=_account)

    for command in (comparing, reporting):
        command.add_argument(
            "--at",
            default="equal-dose",
            choices=("equal-dose", "equal-leakage", "leakage"),
            help="what is held equal, or leakage: the least salt for a leakage of at most one of the next four",
        )
        bounded = command.add_mutually_exclusive_group()
        for name, words in BOUNDED.items():
            option = f"--{name.replace('_', '-')}"
            bounded.add_argument(
                option, type=_amount, metavar="X", help=f'{words} at most X mg/L as CaCO3, or "0.1 gr/gal as CaCO3"'
            )
        command.add_argument(
            "--run",
            dest="run_length",
            type=_amount,
            metavar="BV",
            help='with --at leakage: the run that each must deliver, in bed volumes or "10000 gal"; free unless given',
        )

    showing = commands.add_parser(
        "live",
        help="open a page to turn the knobs on",
        description="Serve a page of one bed with its controls, to this machine alone unless another address is given.",
    )
    showing.add_argument("case", nargs="?", metavar="CASE.toml", help="case file; none: the built-in scenario")
    showing.add_argument("--port", type=int, help="port to listen on (7341); 0 for any that is free")
    showing.add_argument("--address", metavar="A", help="address to listen on; anyone who reaches it can open the page")
    showing.add_argument("--no-browser", action="store_true", help="do not open the page, only say where it is")
    showing.set_defaults(run=_live)

    for command in (comparing, sweeping, accounting):
        command.add_argument("--json", action="store_true", help="print JSON and nothing else")
        command.add_argument(
            "--out", type=_path, metavar="DIR", help="write tables, report and pictures to a directory"
        )
    for command in (comparing, reporting, sweeping, accounting, showing):
        command.add_argument(
            "--units",
            choices=display.CHOICES,
            help="units of what is shown; by default those of the case file's [display], else both",
        )
    for command in (comparing, reporting, sweeping, accounting):
        command.add_argument(
            "--overwrite", action="store_true", help="replace also files that brinefront did not write"
        )
    sweeping.add_argument(
        "--stream",
        type=_path,
        metavar="FILE.csv",
        help="write each point to a CSV file as soon as it is finished, for grids of any length; instead of --json, --out",
    )
    return parser


def _spare_inputs(options: argparse.Namespace) -> None:
    """Refuse to write over a case file that is read."""
    read = [Path(path) for path in getattr(options, "cases", None) or [getattr(options, "case", None)] if path]
    stream, out = getattr(options, "stream", None), getattr(options, "out", None)
    if stream is not None and any(_same(stream, path) for path in read):
        raise InputError("--stream", str(stream), "is a case file that is read: give another name")
    if out is None:
        return
    pattern = report_files.TAKEN.get(options.command)
    for path in read:
        inside = pattern is not None and re.fullmatch(pattern, path.name) and _same(out, path.absolute().parent)
        if inside or _same(out, path):
            raise InputError("--out", str(out), f"would write over {path}, which is read: give another place")


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _case(path: str | None) -> Case:
    """The case of a file, which is a path whatever its name looks like; the built-in scenario without one."""
    return default_case() if path is None else case_file(path)[0]


def _compare(options: argparse.Namespace) -> int:
    cases = [_case(path) for path in options.cases] or [default_case()]
    with display.shown_for(cases):
        return _compared(cases, options)


def _compared(cases: list[Case], options: argparse.Namespace) -> int:
    written = _to_write(options, report_files.comparison_files(cases))
    with _Progress() as progress:
        found = compare(cases, options.at, **_asked(options, cases), progress=progress)
    warnings = [*text.unmet(found), *text.warnings(found.cycles)]
    report = "\n\n".join(
        [
            text.wrapped(text.answer(found)),
            text.key_table(found.cycles),
            *warnings,
            *_listed("What the site asks", text.targets(found.cycles)),
            *_listed("Read with this", text.notes(found.cycles)),
            text.rule("Before you act on this"),
            _points(text.cautions(found.cycles)),
        ]
    )
    if written is not None:
        with written.noted():
            report_files.write_comparison(found, report, written.folder)
    if options.json:
        print(json.dumps(found.to_dict(), indent=2, allow_nan=False))
    else:
        print(report)
    _say_written(options, written)
    return NOT_STEADY if warnings else DONE


def _asked(options: argparse.Namespace, cases: list[Case]) -> dict[str, Any]:
    """The leakage that is bounded, and the run that is held; at equal dose, what the site accepts, if it says so."""
    held = "run" if isinstance(options.run_length, str) else "run_bv"
    given = {name: getattr(options, name) for name in BOUNDED} | {held: options.run_length}
    asked = {name: value for name, value in given.items() if value is not None}
    if options.at == "equal-dose" and accepted_leakage(cases) is not None:
        asked["at_accepted"] = True
    return asked


def _report(options: argparse.Namespace) -> int:
    from brinefront import report

    read = [(path, *case_file(path)) for path in options.cases]
    cases = [case for _, case, _ in read] or [default_case()]
    files = [report.CaseFile(path, words) for path, _, words in read]
    with display.shown_for(cases):
        return _reported(cases, files, options)


def _reported(cases: list[Case], files: list[CaseFile], options: argparse.Namespace) -> int:
    from brinefront import report

    written = report_files.to_write(options.out.parent, (options.out.name,), overwrite=options.overwrite)
    with _Progress() as progress:
        found = compare(cases, options.at, **_asked(options, cases), progress=progress)
        accounts = [cycle.case.salt_account(progress=progress) for cycle in found.cycles] if options.account else []
    extras = report.Extras(tuple(accounts), options.efficiency)
    with written.noted():
        report.write(found, options.out, extras=extras, case_files=files, command=options.command_line)
    warnings = [*text.unmet(found), *text.warnings(found.cycles)]
    print("\n\n".join([text.wrapped(text.answer(found)), *warnings]))
    _say_written(options, written)
    return NOT_STEADY if warnings or any(account.warnings for account in accounts) else DONE


def _listed(title: str, lines: list[str]) -> list[str]:
    """A heading and its points, or no lines at all."""
    return [text.rule(title), _points(lines)] if lines else []


def _points(lines: list[str]) -> str:
    return "\n".join(text.wrapped(f"- {line}", indent="  ") for line in lines)


def _sweep(options: argparse.Namespace) -> int:
    case = _case(options.case)
    axes = _axes(options.axes)
    with display.shown_for(case):
        if options.stream is None:
            return _swept(case, axes, options)
        if options.json or options.out is not None:
            raise InputError("--stream", options.stream, "goes without --json and --out: its points are not kept")
        return _stream(case, axes, options)


def _swept(case: Case, axes: dict[str, list[Any]], options: argparse.Namespace) -> int:
    written = _to_write(options, report_files.SWEEP_FILES)
    with _Progress() as progress:
        found = sweep(case, axes, threads=options.threads, progress=progress)
    points = report_files.sweep_points(found)
    failed = Counter(str(point["error"]) for point in points if point["error"])
    if failed.total() == len(points):
        return _nothing(failed)
    if written is not None:
        with written.noted():
            report_files.write_sweep(found, written.folder)
    if options.json:
        print(json.dumps(text.without_nan({"axes": axes, "cases": points}), indent=2, allow_nan=False))
    else:
        print(_sweep_table(found, points))
    _say_written(options, written)
    _say_failed(failed, len(points), sys.stderr if options.json else sys.stdout)
    unsteady = any(
        not point["error"] and (point["stop_reason"] == "never soft" or not point["settled"]) for point in points
    )
    return NOT_STEADY if unsteady or failed else DONE


def _account(options: argparse.Namespace) -> int:
    case = _case(options.case)
    with display.shown_for(case):
        return _accounted(case, options)


def _accounted(case: Case, options: argparse.Namespace) -> int:
    written = _to_write(options, report_files.ACCOUNT_FILES)
    with _Progress() as progress:
        found = case.salt_account(options.order, progress=progress)
    report = "\n\n".join([text.wrapped(found.sentence()), found.summary()])
    if written is not None:
        with written.noted():
            report_files.write_account(found, report, written.folder)
    if options.json:
        print(json.dumps(found.to_dict(), indent=2, allow_nan=False))
    else:
        print(report)
    _say_written(options, written)
    return NOT_STEADY if found.warnings else DONE


def _live(options: argparse.Namespace) -> int:
    from brinefront import live

    case = _case(options.case)
    live.serve(
        case,
        port=options.port,
        address=options.address,
        open_browser=not options.no_browser,
        ready=lambda url: print(f"{url}\nCtrl-C ends it", flush=True),
    )
    return DONE


def _stream(case: Case, axes: dict[str, list[Any]], options: argparse.Namespace) -> int:
    """Write the points to a file as they are finished; what has been written stays, however the sweep ends."""
    unsteady = 0
    failed: Counter[str] = Counter()
    stream: Path = options.stream
    names = (stream.name,)
    written = report_files.to_write(stream.parent, names, overwrite=options.overwrite, option="--stream")
    with sweep_stream(case, axes, threads=options.threads) as points, _Progress() as progress:
        total = len(points)
        with written.noted():
            for point in report_files.streamed(points, stream):
                progress(point.index + 1, total, 0, 0.0)
                failed.update([point.error] if point.error else [])
                found = point.figures
                unsteady += found is not None and (found.stop_reason is StopReason.NEVER_SOFT or not found.settled)
    if failed.total() == total:
        return _nothing(failed)
    print(f"{total} points written to {stream}: {failed.total()} without figures, {unsteady} not steady")
    _say_replaced(written)
    _say_failed(failed, total, sys.stdout)
    return NOT_STEADY if unsteady or failed else DONE


def _nothing(failed: Counter[str]) -> int:
    """Say why a sweep has no figures at all."""
    print(f"brinefront: {_reasons(failed)}", file=sys.stderr)
    return BAD_INPUT


def _say_failed(failed: Counter[str], total: int, to: TextIO) -> None:
    """Say in a last line how many points have no figures, and why."""
    if failed:
        print(f"{failed.total()} of {total} points without figures: {_reasons(failed)}", file=to)


def _reasons(failed: Counter[str]) -> str:
    """Why points have no figures, the most frequent reason first, in one line; how often where there are several points."""
    named = failed.most_common(REASONS)
    words = [" ".join(reason.split()) + (f" ({count} points)" if count > 1 else "") for reason, count in named]
    others = failed.total() - sum(count for _, count in named)
    return "; ".join(words + ([f"{others} for other reasons"] if others else []))


def _to_write(options: argparse.Namespace, names: tuple[str, ...]) -> report_files.Written | None:
    if options.out is None:
        return None
    kin = report_files.KIN.get(options.command, "")
    return report_files.to_write(options.out, names, overwrite=options.overwrite, kin=kin)


def _say_written(options: argparse.Namespace, written: report_files.Written | None) -> None:
    """Say where what was written is, what it replaced, and what is left of an earlier run; beside JSON the last alone."""
    if written is None:
        return
    as_json = getattr(options, "json", False)
    if not as_json:
        print(f"\nWritten to {options.out}")
        _say_replaced(written)
    if stale := written.stale():
        words = f"stale, of an earlier run and not written by this one: {', '.join(stale)}"
        print(text.wrapped(words, indent="  "), file=sys.stderr if as_json else sys.stdout)


def _say_replaced(written: report_files.Written) -> None:
    stale = written.stale()
    if replaced := [name for name in written.replaced if name not in stale]:
        print(text.wrapped(f"replaced: {', '.join(replaced)}", indent="  "))


def _axes(given: list[str]) -> dict[str, list[Any]]:
    axes: dict[str, list[Any]] = {}
    for each in given:
        name, values = _axis(each)
        if name in axes:
            raise InputError("--set", each, f"gives {name} a second time: one --set has all values of a field")
        axes[name] = values
    return axes


def _axis(given: str) -> tuple[str, list[Any]]:
    name, equals, values = given.partition("=")
    if not (name.strip() and equals and values.strip()):
        raise InputError("--set", given, "must be a dotted name, an equals sign and values, such as cells=50,100")
    return name.strip(), [_value(word.strip()) for word in values.split(",")]


def _value(word: str) -> Any:
    """A number, true, false or none (which takes an optional field away), else a text."""
    for kind in (int, float):
        try:
            return kind(word)
        except ValueError:
            continue
    return {"true": True, "false": False, "none": None}.get(word, word)


def _sweep_table(found: xr.Dataset, points: Sequence[dict[str, Any]]) -> str:
    names = [str(name) for name in found["error"].dims]
    shown = {name: _swept_shown(name, found[name]) for name in names}
    columns = distinct(SWEEP_FIGURES)
    heads = [*(head for head, _ in shown.values()), *(as_shown(name).label for name in columns), ""]
    rows = [
        [
            *(_swept_value(how.of(point[name])) for name, (_, how) in shown.items()),
            *(text.shown(cast("Figures", SimpleNamespace(**point)), name) for name in columns),
            _note(point),
        ]
        for point in points
    ]
    return text.table([text.stacked(head) for head in heads], rows)


def _swept_shown(name: str, axis: xr.DataArray) -> tuple[str, display.Shown]:
    """The head of a column of swept values, and how they are shown: in words where the unit is not that of the name."""
    unit = str(axis.attrs.get("units", ""))
    how = display.in_chart(unit, name)
    if axis.dtype.kind not in "if" or how.unit in ("", unit):
        return name, display.Shown(unit)
    return f"{axis.attrs['long_name']} [{how.unit}]", how


def _swept_value(value: Any) -> str:
    """A value that was set, as people write it."""
    return text.as_written(value) if isinstance(value, float) and math.isfinite(value) else text.number(value)


def _note(point: dict[str, Any]) -> str:
    if point["error"]:
        return str(point["error"])
    if point["stop_reason"] == StopReason.NEVER_SOFT:
        return str(point["outcome"])
    hard = "" if point["delivers_soft_water"] else "not soft"
    return ", ".join(words for words in (hard, "" if point["settled"] else "not settled") if words)


class _Progress:
    """Shows on standard error how far long work has come: a live line on a terminal, else a line every few seconds."""

    PATIENCE_S: ClassVar = {True: 0.5, False: 2.0}

    def __init__(self) -> None:
        self.live = sys.stderr.isatty()
        self.shown = time.monotonic() + (self.PATIENCE_S[self.live] - self._interval)
        self.width = 0

    @property
    def _interval(self) -> float:
        return 0.1 if self.live else 5.0

    def __call__(self, done: int, total: int, cycle: int, residual: float) -> None:
        now = time.monotonic()
        if now - self.shown < self._interval:
            return
        self.shown = now
        where = (
            f"{done} of {total} cases done" if total > 1 else f"cycle {cycle}, changing by {residual:.1e} of capacity"
        )
        line = f"brinefront: {where}"
        if self.live:
            sys.stderr.write("\r" + line.ljust(self.width))
            self.width = max(self.width, len(line))
        else:
            sys.stderr.write(line + "\n")
        sys.stderr.flush()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.width:
            sys.stderr.write("\r" + " " * self.width + "\r")
            sys.stderr.flush()
