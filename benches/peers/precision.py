"""Work against precision: what an answer costs at the error it has, and the ratio of costs at equal error."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import steady
from cvode import Cvode, tight
from ours import Ours
from problem import DIRECTIONS, Waters
from recipe import Answers, Bed
from timing import interleaved

#: A peer ends its search at this multiple of its relative tolerance, where the noise of its own steps begins.
STOP_PER_RTOL = 10.0
LOOSEST_STOP = 1e-2
MOST_CYCLES = 40
#: An error of the capacity counts as much as one of a leakage ten times larger.
CAPACITY_WEIGHT = 10.0

#: The columns of errors, all relative; the first two are the larger of both directions.
MEASURES = ("capacity", "mean leakage", "half-run, counter", "half-run, co", "worst")


@dataclass(frozen=True)
class Effort:
    """Which contestants meet on which grids."""

    cells: Sequence[int]
    ours: Sequence[float]
    peers: Sequence[float]
    rounds: int
    fine_cells: int
    fine_tolerance: float


FULL = Effort(
    cells=(25, 50, 100, 200),
    ours=(1e-1, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 1e-5),
    peers=(1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 1e-5, 1e-6),
    rounds=3,
    fine_cells=400,
    fine_tolerance=1e-6,
)
QUICK = Effort(
    cells=(20, 40), ours=(1e-2, 1e-3, 3e-4), peers=(1e-3, 3e-4, 1e-5), rounds=1, fine_cells=120, fine_tolerance=1e-5
)

Both = dict[str, Answers]


@dataclass(frozen=True)
class Point:
    """One contestant at one tolerance on one grid; errors are in the order of `MEASURES`.

    `of_integration` is against the same equations on the same grid, `in_total` against a fine grid.
    """

    who: str
    cells: int
    tolerance: float
    seconds: float
    of_integration: tuple[float, ...]
    in_total: tuple[float, ...]


@dataclass(frozen=True)
class Table:
    """All points, and how well the references agree with each other."""

    points: list[Point]
    references_differ: dict[str, float]


def both_settled(who: Ours | Cvode, waters: Waters, cells: int, residual: float | None = None) -> Both:
    """Both directions at their cyclic steady state; a peer searches down to `residual`, by default its own."""
    if isinstance(who, Ours):
        return {direction: who.settled(cells, direction)[0] for direction in DIRECTIONS}
    until = min(max(1e-6, STOP_PER_RTOL * who.rtol), LOOSEST_STOP) if residual is None else residual
    return {
        direction: steady.settle(Bed(who, waters, cells, direction), until, MOST_CYCLES, accelerated=True).answers
        for direction in DIRECTIONS
    }


def errors(found: Both, reference: Both) -> tuple[float, ...]:
    """Relative errors in the order of `MEASURES`."""

    def miss(direction: str, name: str) -> float:
        return abs(getattr(found[direction], name) / getattr(reference[direction], name) - 1.0)

    capacity = max(miss(direction, "capacity_eq_per_l") for direction in DIRECTIONS)
    leakages = (
        max(miss(direction, "leakage_mean_mg_per_l_caco3") for direction in DIRECTIONS),
        miss("counter-current", "leakage_half_run_mg_per_l_caco3"),
        miss("co-current", "leakage_half_run_mg_per_l_caco3"),
    )
    return (capacity, *leakages, max(CAPACITY_WEIGHT * capacity, *leakages))


def table(effort: Effort, waters: Waters) -> Table:
    """Run everything; contestants take turns on each grid."""
    fine = both_settled(Ours(effort.fine_tolerance), waters, effort.fine_cells)
    fine_peer = both_settled(Cvode(1e-5), waters, effort.fine_cells)
    differ = {f"{effort.fine_cells} cells, brinefront and CVODE": errors(fine_peer, fine)[-1]}
    points = []
    for cells in effort.cells:
        reference = both_settled(tight(), waters, cells, residual=1e-5)
        differ[f"{cells} cells, brinefront and CVODE"] = errors(
            both_settled(Ours(effort.fine_tolerance), waters, cells), reference
        )[-1]
        contestants = {(who.name, who.tolerance): who for who in (*map(Ours, effort.ours), *map(Cvode, effort.peers))}
        jobs = {key: lambda who=who, cells=cells: both_settled(who, waters, cells) for key, who in contestants.items()}
        for (name, tolerance), timed in interleaved(jobs, effort.rounds).items():
            points.append(
                Point(
                    name,
                    cells,
                    tolerance,
                    timed.best,
                    errors(timed.result, reference),
                    errors(timed.result, fine),
                )
            )
    return Table(points, differ)


def front(seconds: Sequence[float], error: Sequence[float]) -> tuple[list[float], list[float]]:
    """The points that no cheaper one beats: seconds rising, errors falling."""
    kept_seconds: list[float] = []
    kept_errors: list[float] = []
    for s, e in sorted(zip(seconds, error, strict=True)):
        if not kept_errors or e < kept_errors[-1]:
            kept_seconds.append(s)
            kept_errors.append(e)
    return kept_seconds, kept_errors


def equal_error_ratios(
    ours: tuple[Sequence[float], Sequence[float]], peer: tuple[Sequence[float], Sequence[float]]
) -> dict[float, float]:
    """Seconds of the peer over ours at each error of our front, on straight lines in log-log.

    Parameters
    ----------
    ours, peer : tuple of sequences
        Seconds and errors of each point.

    Returns
    -------
    dict
        Ratio by error. An error above the peer's largest is had for its cheapest point; one below its smallest is left
        out, as nothing is known there.
    """
    found = {}
    for seconds, error in zip(*front(*ours), strict=True):
        at_equal = cost_at(error, *peer)
        if at_equal is not None:
            found[error] = at_equal / seconds
    return found


def cost_at(error: float, seconds: Sequence[float], errors: Sequence[float]) -> float | None:
    """Seconds that a contestant needs for an error; `None` below the smallest it was seen to reach."""
    kept_seconds, kept_errors = front(seconds, errors)
    if error < kept_errors[-1]:
        return None
    return float(np.exp(np.interp(np.log(error), np.log(kept_errors[::-1]), np.log(kept_seconds[::-1]))))


def ratios_of(points: Sequence[Point], measure: str, cells: int | None) -> dict[float, float]:
    """Ratios at equal error by one measure: of integration on one grid, in total over all grids if `cells` is None."""
    return equal_error_ratios(_side(points, True, measure, cells), _side(points, False, measure, cells))


def ratio_at(points: Sequence[Point], tolerance: float, measure: str, cells: int) -> float | None:
    """The ratio at the error of integration that we have at one tolerance on one grid."""
    ours = next(p for p in points if p.who == Ours.name and (p.cells, p.tolerance) == (cells, tolerance))
    at_equal = cost_at(ours.of_integration[MEASURES.index(measure)], *_side(points, False, measure, cells))
    return None if at_equal is None else at_equal / ours.seconds


def _side(points: Sequence[Point], ours: bool, measure: str, cells: int | None) -> tuple[list[float], list[float]]:
    """Seconds and errors of the package or of its peer; in total over all grids if `cells` is None."""
    place = MEASURES.index(measure)
    chosen = [p for p in points if (p.who == Ours.name) == ours and cells in (None, p.cells)]
    error = [(p.in_total if cells is None else p.of_integration)[place] for p in chosen]
    return [p.seconds for p in chosen], error
