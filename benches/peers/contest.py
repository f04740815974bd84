"""The contest: one job after another, with checks that the answers agree before any ratio is believed."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field, replace
from typing import Any

import checks
import numpy as np
import precision
import steady
from checks import JACOBIAN_AGREES
from cvode import Cvode, tight
from ours import Ours
from precision import MEASURES
from problem import DIRECTIONS, LOADING_BV, Waters, case
from recipe import Answers, Bed, Integrator, Loaded
from scipy_bdf import ScipyBdf
from timing import Timed, interleaved, ratio

JOBS = ("cycle", "steady", "loading", "precision")

#: Answers may differ by these shares.
CAPACITY_AGREES, LEAKAGE_AGREES = 3e-3, 2e-2
#: Relative tolerance of a peer whose errors are near those of the package at its default.
MATCHED = 3e-4
#: The tolerance of the package that a case has if none is given.
DEFAULT_TOLERANCE = case(DIRECTIONS[0], 20).tolerance
MOST_CYCLES = 40
#: The tolerances at which CVODE is quickest to a residual, by repetition and by acceleration. A looser one stalls above
#: it on the noise of its own steps: at rtol 1e-4 near 1e-4, at 1e-5 near 3e-5, at 1e-6 near 5e-6.
PEERS_BY_RESIDUAL = {1e-6: (tight(1e-7), tight(3e-8)), 1e-4: (Cvode(1e-5), Cvode(3e-5))}


@dataclass(frozen=True)
class Size:
    """How much is run."""

    cells: int
    cycles: int
    scipy_cycles: int
    rounds: int
    precision: precision.Effort


FULL = Size(cells=100, cycles=5, scipy_cycles=2, rounds=5, precision=precision.FULL)
QUICK = Size(cells=40, cycles=3, scipy_cycles=1, rounds=2, precision=precision.QUICK)


@dataclass
class Findings:
    """Lines to print, numbers to keep, and what did not agree."""

    numbers: dict[str, Any] = field(default_factory=dict)
    disagreements: list[str] = field(default_factory=list)

    def say(self, line: str = "") -> None:
        """Print at once: a run takes minutes."""
        print(line, flush=True)

    def check(self, what: str, found: float, expected: float, share: float) -> None:
        """Note a disagreement."""
        if not abs(found - expected) <= share * abs(expected):
            self.disagreements.append(f"{what}: {found:.6g} against {expected:.6g}, more than {share:.1%} apart")

    def check_answers(self, what: str, found: Answers, expected: Answers) -> None:
        """Capacity and mean leakage must agree."""
        self.check(f"{what}, capacity", found.capacity_eq_per_l, expected.capacity_eq_per_l, CAPACITY_AGREES)
        leakage = "leakage_mean_mg_per_l_caco3"
        self.check(f"{what}, mean leakage", getattr(found, leakage), getattr(expected, leakage), LEAKAGE_AGREES)


def run(jobs: list[str], size: Size) -> Findings:
    """Run the jobs in turn."""
    findings = Findings()
    waters = Waters.of_package()
    warm_up(waters)
    findings.disagreements += checks.recipe_differences(waters)
    findings.check("Jacobian by formulas and by differences", 1.0 + checks.jacobian_miss(waters), 1.0, JACOBIAN_AGREES)
    work = {"cycle": cycle, "steady": settle, "loading": loading, "precision": work_precision}
    for name in jobs:
        work[name](findings, waters, size)
    findings.numbers["disagreements"] = findings.disagreements
    return findings


def matched() -> list[Integrator]:
    """The peers at a tolerance that gives errors like ours at its default."""
    return [Cvode(MATCHED), Cvode(MATCHED, analytic=False), ScipyBdf(MATCHED)]


def warm_up(waters: Waters) -> None:
    """Compile and load everything."""
    for integrator in matched():
        Bed(integrator, waters, 20, DIRECTIONS[0]).in_a_row(1)
    Ours().settled(20, DIRECTIONS[0])
    Ours().load(20, LOADING_BV)


def cycle(findings: Findings, waters: Waters, size: Size) -> None:
    """Cycles from new resin, both directions: the same runs for all."""
    ours = Ours()
    peers = {peer.name: peer for peer in matched()}
    cycles = {ours.name: size.cycles, **dict.fromkeys(peers, size.cycles), ScipyBdf.name: size.scipy_cycles}

    def of_peer(peer: Integrator) -> list[Answers]:
        return [Bed(peer, waters, size.cells, direction).in_a_row(cycles[peer.name]) for direction in DIRECTIONS]

    jobs = {ours.name: lambda: [ours.in_a_row(size.cells, direction, size.cycles)[0] for direction in DIRECTIONS]}
    jobs |= {name: lambda peer=peer: of_peer(peer) for name, peer in peers.items()}
    rounds = {**dict.fromkeys(jobs, size.rounds), ScipyBdf.name: 1}
    timed = interleaved(jobs, rounds)
    findings.say(
        f"1. Time per cycle: {size.cells} cells, mean of a first service run and {size.cycles} cycles each way"
    )
    rows = {}
    for name, one in timed.items():
        per_cycle = one.best / (len(DIRECTIONS) * (cycles[name] + 1))
        scale = (size.cycles + 1) / (cycles[name] + 1)
        found = None if name == ours.name else ratio(one, timed[ours.name], scale)
        rows[name] = {"seconds_per_cycle": per_cycle, "ratio": asdict(found) if found else None}
        findings.say(f"   {name:32s} {1e3 * per_cycle:8.1f} ms" + (f"   x {found}" if found else ""))
        for direction, answers in zip(DIRECTIONS, one.result, strict=True):
            expected = ours.in_a_row(size.cells, direction, cycles[name])[0]
            findings.check_answers(f"{name}, {direction}, cycle {cycles[name]}", answers, expected)
    findings.say(f"   peers at rtol {MATCHED:g}, ours at its default; SciPy on {size.scipy_cycles} cycles, one round")
    findings.numbers["cycle"] = rows


@dataclass(frozen=True)
class Searched:
    """Both directions searched: figures, cycles run and the last residual of each."""

    answers: list[Answers]
    cycles: list[int]
    residuals: list[float]


def settle(findings: Findings, waters: Waters, size: Size) -> None:
    """Both directions to their cyclic steady state, by repetition and by acceleration, to two residuals."""
    ours = Ours()
    rows = {}
    findings.say(f"2. Both directions to cyclic steady state, new resin to the last cycle, {size.cells} cells")
    for residual, (plain, quick) in PEERS_BY_RESIDUAL.items():
        needed = [repetitions(ours, size.cells, direction, residual) for direction in DIRECTIONS]
        # What CVODE does if it is given no formulas for its Jacobian.
        usual = replace(quick, analytic=False)
        jobs = {
            ("repetition", None): lambda needed=needed: repeated(ours, size.cells, needed),
            ("repetition", plain): lambda to=residual, peer=plain: searched(peer, waters, size.cells, to, False),
            ("Anderson", None): lambda: accelerated(ours, size.cells),
            ("Anderson", quick): lambda to=residual, peer=quick: searched(peer, waters, size.cells, to, True),
            ("Anderson", usual): lambda to=residual, peer=usual: searched(peer, waters, size.cells, to, True),
        }
        slow = 1 if residual < 1e-5 else 3
        timed = interleaved(jobs, {job: slow if job[1] else size.rounds for job in jobs})
        for way, peer in (("repetition", plain), ("Anderson", quick), ("Anderson", usual)):
            mine, theirs = timed[way, None], timed[way, peer]
            found = ratio(theirs, mine)
            rows[f"{way} to {residual:g}, {peer.name}"] = {
                "ours": of_search(mine),
                "cvode": of_search(theirs) | {"rtol": peer.rtol},
                "ratio": asdict(found),
            }
            findings.say(
                f"   {way:10s} to {residual:g}: brinefront {words(mine)}; "
                f"{peer.name} at rtol {peer.rtol:g} {words(theirs)}   x {found}"
            )
            for direction, a, b in zip(DIRECTIONS, theirs.result.answers, mine.result.answers, strict=True):
                findings.check_answers(f"{way} to {residual:g}, {direction}", a, b)
            for direction, last in zip(DIRECTIONS, theirs.result.residuals, strict=True):
                if last > residual:
                    findings.say(f"   {'':10s} CVODE did not get there: {direction} at {last:.1e}")
    findings.say("   ours by Anderson always goes to 1e-6, coarse grid included; cycles are those on the full grid")
    findings.numbers["steady"] = rows


def repetitions(ours: Ours, cells: int, direction: str, residual: float) -> int:
    """Cycles that plain repetition takes to a residual."""
    _, residuals = ours.in_a_row(cells, direction, MOST_CYCLES)
    return int(np.argmax(np.array(residuals) <= residual)) + 1 if min(residuals) <= residual else MOST_CYCLES


def repeated(ours: Ours, cells: int, needed: list[int]) -> Searched:
    """Plain repetition by the package."""
    runs = [ours.in_a_row(cells, direction, n) for direction, n in zip(DIRECTIONS, needed, strict=True)]
    return Searched([found for found, _ in runs], needed, [residuals[-1] for _, residuals in runs])


def accelerated(ours: Ours, cells: int) -> Searched:
    """The package's own search."""
    runs = [ours.settled(cells, direction) for direction in DIRECTIONS]
    return Searched(*(list(column) for column in zip(*runs, strict=True)))


def searched(peer: Integrator, waters: Waters, cells: int, residual: float, faster: bool) -> Searched:
    """A peer's search."""
    runs = [
        steady.settle(Bed(peer, waters, cells, direction), residual, MOST_CYCLES, accelerated=faster)
        for direction in DIRECTIONS
    ]
    return Searched(
        [one.answers for one in runs], [len(one.residuals) for one in runs], [one.residuals[-1] for one in runs]
    )


def words(timed: Timed[Searched]) -> str:
    """Seconds and cycles of a search."""
    return f"{timed.best:6.2f} s, {' + '.join(map(str, timed.result.cycles))} cycles"


def of_search(timed: Timed[Searched]) -> dict[str, Any]:
    """The same to keep."""
    return {"seconds": timed.seconds, "cycles": timed.result.cycles, "residuals": timed.result.residuals}


def loading(findings: Findings, waters: Waters, size: Size) -> None:
    """One loading run of a sodium bed, ended by volume."""
    ours = Ours()
    peers = {peer.name: peer for peer in matched()}
    jobs = {ours.name: lambda: ours.load(size.cells, LOADING_BV)}
    jobs |= {
        name: lambda peer=peer: Bed(peer, waters, size.cells, DIRECTIONS[0]).load(LOADING_BV)
        for name, peer in peers.items()
    }
    timed: dict[str, Timed[Loaded]] = interleaved(jobs, {**dict.fromkeys(jobs, 2 * size.rounds), ScipyBdf.name: 1})
    reference = Bed(tight(), waters, size.cells, DIRECTIONS[0]).load(LOADING_BV)
    findings.say(f"3. One loading run of a sodium bed: {LOADING_BV:g} BV, {size.cells} cells")
    rows = {}
    for name, one in timed.items():
        found = None if name == ours.name else ratio(one, timed[ours.name])
        half, loaded = one.result.half_breakthrough_bv, one.result.loaded_eq_per_l
        missed = (half / reference.half_breakthrough_bv - 1.0, loaded / reference.loaded_eq_per_l - 1.0)
        rows[name] = {"seconds": one.seconds, "errors": missed, "ratio": asdict(found) if found else None}
        findings.say(
            f"   {name:32s} {1e3 * one.best:8.1f} ms   breakthrough {missed[0]:+.0e}, loaded {missed[1]:+.0e}"
            + (f"   x {found}" if found else "")
        )
        findings.check(f"loading, {name}, half breakthrough", half, reference.half_breakthrough_bv, CAPACITY_AGREES)
        findings.check(f"loading, {name}, loaded", loaded, reference.loaded_eq_per_l, CAPACITY_AGREES)
    findings.numbers["loading"] = rows


def work_precision(findings: Findings, waters: Waters, size: Size) -> None:
    """Seconds against error, and the ratio at equal error."""
    found = precision.table(size.precision, waters)
    findings.say("4. Work and precision: both directions to cyclic steady state by Anderson")
    findings.say(
        "   relative errors; of integration: same grid, solved tightly; in total: " + fine_words(size.precision)
    )
    findings.say(f"   {'':11s}{'cells':>6s}{'tol':>8s}{'s':>8s}   " + "".join(f"{name:>19s}" for name in MEASURES))
    for point in found.points:
        pairs = zip(point.of_integration, point.in_total, strict=True)
        findings.say(
            f"   {point.who:11s}{point.cells:6d}{point.tolerance:8.0e}{point.seconds:8.3f}   "
            + "".join(f"{f'{a:.0e} / {b:.0e}':>19s}" for a, b in pairs)
        )
    for what, difference in found.references_differ.items():
        findings.say(f"   references, {what}: worst difference {difference:.0e}")
    findings.say(
        "   ratio CVODE/brinefront at equal error (geometric mean, least to most, over the errors of our front)"
    )
    kept: dict[str, Any] = {}
    for cells in (*size.precision.cells, None):
        where = "in total, all grids" if cells is None else f"of integration, {cells} cells"
        kept[where] = {name: precision.ratios_of(found.points, name, cells) for name in MEASURES}
        row = "".join(f"{spread(ratios):>22s}" for ratios in kept[where].values())
        findings.say(f"   {where:30s}{row}")
    default = {
        f"{cells} cells": {name: precision.ratio_at(found.points, DEFAULT_TOLERANCE, name, cells) for name in MEASURES}
        for cells in size.precision.cells
    }
    findings.say(f"   the same at the error that brinefront has at its default tolerance, {DEFAULT_TOLERANCE:g}")
    for where, ratios in default.items():
        row = "".join(
            f"{'more exact than CVODE' if value is None else f'{value:.1f}':>22s}" for value in ratios.values()
        )
        findings.say(f"   {where:30s}{row}")
    kept["at the default tolerance"] = default
    findings.numbers["precision"] = {
        "points": [asdict(point) for point in found.points],
        "references_differ": found.references_differ,
        "ratios_at_equal_error": kept,
    }


def fine_words(effort: precision.Effort) -> str:
    """What the fine reference is."""
    return f"{effort.fine_cells} cells at tolerance {effort.fine_tolerance:g}"


def spread(ratios: dict[float, float]) -> str:
    """Geometric mean and range."""
    if not ratios:
        return "no common error"
    values = np.array(list(ratios.values()))
    return f"{np.exp(np.log(values).mean()):.1f} ({values.min():.1f} to {values.max():.1f})"
