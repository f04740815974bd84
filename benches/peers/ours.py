"""The package as a contestant: the calls that any user makes."""

from __future__ import annotations

from dataclasses import dataclass

import problem
from recipe import Answers, Loaded, half_rise


@dataclass(frozen=True)
class Ours:
    """brinefront at a tolerance; `None` is its default."""

    tolerance: float | None = None

    name = "brinefront"

    def settled(self, cells: int, direction: str) -> tuple[Answers, int, float]:
        """The cyclic steady state: figures, cycles run on this grid, residual."""
        cycle = problem.case(direction, cells, self.tolerance).cycle()
        return answers(cycle), cycle.cycles_run, cycle.residual

    def in_a_row(self, cells: int, direction: str, n: int) -> tuple[Answers, list[float]]:
        """`n` cycles after the first service run of new resin: figures of the last, residual of each."""
        cycles = problem.case(direction, cells, self.tolerance).cycles(n + 1)
        return answers(cycles[-1]), [cycle.residual for cycle in cycles[1:]]

    def load(self, cells: int, volume_bv: float) -> Loaded:
        """A loading run of a sodium bed."""
        run = problem.case("counter-current", cells, self.tolerance).load(from_loading={"Na": 1.0}, volume_bv=volume_bv)
        curve = run.effluent()
        bv, hardness = curve["bv"].to_numpy(), (curve["Mg"] + curve["Ca"]).to_numpy()
        mean = run.loading().attrs["mean"]
        return Loaded(
            loaded_eq_per_l=mean["Mg"] + mean["Ca"],
            half_breakthrough_bv=half_rise(bv, hardness, problem.feed_hardness()),
        )


def answers(cycle: object) -> Answers:
    """The figures of a cycle that are compared; attributes carry the same names."""
    return Answers(**{name: getattr(cycle, name) for name in Answers.__dataclass_fields__})
