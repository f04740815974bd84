"""Timing on one core: contestants take turns, so that what else the machine does hits all alike."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")

#: Set before any numerical library is loaded: nobody uses a second thread.
THREADS = ("RAYON_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")


def one_core() -> int:
    """Pin this process and its libraries to one core; its number is returned."""
    for name in THREADS:
        os.environ[name] = "1"
    core = max(os.sched_getaffinity(0))
    os.sched_setaffinity(0, {core})
    return core


@dataclass(frozen=True)
class Timed(Generic[T]):
    """Seconds of every round, and what the last gave."""

    seconds: list[float]
    result: T

    @property
    def best(self) -> float:
        """The round that was disturbed least."""
        return min(self.seconds)


@dataclass(frozen=True)
class Ratio:
    """Seconds of one over seconds of another.

    Attributes
    ----------
    best : float
        Best round over best round.
    low, high : float
        The extremes of the ratios round by round.
    """

    best: float
    low: float
    high: float

    def __str__(self) -> str:
        spread = "" if self.low == self.high else f" ({self.low:.1f} to {self.high:.1f})"
        return f"{self.best:.1f}{spread}"


def interleaved(jobs: dict[str, Callable[[], T]], rounds: dict[str, int] | int) -> dict[str, Timed[T]]:
    """Run every job in turn, round after round; a job with fewer rounds sits out the rest.

    Nothing is warmed up here: call each job's integrator once before.
    """
    seconds: dict[str, list[float]] = {name: [] for name in jobs}
    results: dict[str, T] = {}
    most = rounds if isinstance(rounds, int) else max(rounds[name] for name in jobs)
    for lap in range(most):
        for name, job in jobs.items():
            if lap >= (rounds if isinstance(rounds, int) else rounds[name]):
                continue
            start = time.perf_counter()
            results[name] = job()
            seconds[name].append(time.perf_counter() - start)
    return {name: Timed(seconds[name], results[name]) for name in jobs}


def ratio(peer: Timed[T], ours: Timed[T], scale: float = 1.0) -> Ratio:
    """Peer over ours; `scale` is the work that ours did over the work that the peer did."""
    by_round = [scale * a / b for a, b in zip(peer.seconds, ours.seconds, strict=False)]
    return Ratio(scale * peer.best / ours.best, min(by_round), max(by_round))
