"""The search for the cyclic steady state, as any user would write it around an integrator.

Both ways start from new resin after its first service run and end when no loading changes by more than a residual,
relative to capacity, over a cycle: plain repetition, and Anderson's acceleration of it, the method of the package
(D. G. Anderson 1965, J. ACM 12, 547). The package also searches on a coarser grid first; these do not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from equations import Array
from problem import CAPACITY_EQ_PER_L
from recipe import Answers, Bed

#: Differences that the acceleration remembers, and the relative singular value below which one is ignored.
DEPTH = 5
RANK_TOLERANCE = 1e-8


@dataclass(frozen=True)
class Settled:
    """Where a search ended.

    Attributes
    ----------
    answers : Answers
        Figures of the last service run.
    residuals : list of float
        Largest change of a loading over each cycle, relative to capacity.
    settled : bool
        Whether the last is small enough.
    """

    answers: Answers
    residuals: list[float]
    settled: bool


def loadings(bed: Array) -> Array:
    """The loadings of all ions, (cells, 3): sodium is what the capacity leaves."""
    hard = bed[:, 3:]
    return np.column_stack([CAPACITY_EQ_PER_L - hard.sum(axis=1), hard])


def settle(bed: Bed, residual: float, most_cycles: int, *, accelerated: bool) -> Settled:
    """Run cycles until the loading repeats itself, or until `most_cycles` have been run."""
    state = bed.first_service()
    anderson = Anderson()
    residuals: list[float] = []
    while True:
        before = loadings(state)
        state, answers = bed.cycle(state)
        after = loadings(state)
        residuals.append(float(np.abs(after - before).max() / CAPACITY_EQ_PER_L))
        if residuals[-1] <= residual or len(residuals) == most_cycles:
            return Settled(answers, residuals, residuals[-1] <= residual)
        if accelerated:
            proposal = anderson.next(before.ravel(), after.ravel()).reshape(after.shape)
            state[:, 3:] = _towards(after, proposal)[:, 1:]


class Anderson:
    """History of an accelerated iteration x = G(x)."""

    def __init__(self) -> None:
        self.residual_steps: list[Array] = []
        self.image_steps: list[Array] = []
        self.last: tuple[Array, Array] | None = None

    def next(self, point: Array, image: Array) -> Array:
        """Take a point and its image, give the next point to try."""
        residual = image - point
        if self.last is not None:
            self.residual_steps = [*self.residual_steps, residual - self.last[0]][-DEPTH:]
            self.image_steps = [*self.image_steps, image - self.last[1]][-DEPTH:]
        self.last = (residual, image)
        if not self.residual_steps:
            return image
        weights = np.linalg.lstsq(np.column_stack(self.residual_steps), residual, rcond=RANK_TOLERANCE)[0]
        return image - np.column_stack(self.image_steps) @ weights


def _towards(loading: Array, proposal: Array) -> Array:
    """Move a loading towards a proposal as far as every value stays positive."""
    beyond = proposal < 0.0
    share = (loading[beyond] / (loading[beyond] - proposal[beyond])).min(initial=1.0)
    # A trace that integration left below zero must not stop the whole step.
    share = 1.0 if not beyond.any() or share <= 0.0 else 0.9 * share
    return loading + share * (proposal - loading)
