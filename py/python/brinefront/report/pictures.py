"""The pictures of a comparison, each with the words in its place where it cannot be seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brinefront import plot
from brinefront.pictures import style
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import EQ_BED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from brinefront._core import Case
    from brinefront.native.protocols import Comparison, Cycle, SaltAccount

    Size = tuple[float, float]


@dataclass(frozen=True)
class Picture:
    """One picture, drawn when it is asked for."""

    stem: str
    """Of its file's name, and of its place in a page."""
    caption: str
    alt: str
    draw: Callable[[Size | None], Axes]
    """Draw on a figure of a size [in], or of the picture's usual one."""
    size: Size
    """On a page [in]."""
    half: bool = False
    """Two of these are side by side on a page."""

    def figure(self, *, on_page: bool = False) -> Figure:
        """The finished figure, to be shown by itself or on a page."""
        drawn: Any = self.draw(self.size if on_page else None)
        figure: Figure = drawn.figure
        return figure


def of_comparison(found: Comparison) -> Iterator[Picture]:
    """Leakage of all strategies, then the bed and the waste of each."""
    cycles = found.cycles
    names = text.labels(cycles)
    yield _leakage(cycles, names)
    for place, (cycle, name) in enumerate(zip(cycles, names, strict=True), start=1):
        yield _loading(cycle, name, f"{place}-{cycle.direction}-loading")
    for place, (cycle, name) in enumerate(zip(cycles, names, strict=True), start=1):
        yield _waste(cycle, name, f"{place}-{cycle.direction}-waste")


def of_account(account: SaltAccount, name: str, stem: str) -> Picture:
    """The salt account as steps down from the dose."""
    how = display.in_chart("g/L of resin")
    shares = "; ".join(f"{share.name} {text.fixed(how.of(share.share_g_per_l), 1)}" for share in account.shares)
    of = _spelled(how.unit)
    return Picture(
        stem,
        f"Where the salt went, {name}: steps down from the dose to the salt that took hardness off the resin.",
        f"Bar chart of the salt in {of}, from a dose of {how.of(account.dose_g_per_l):.4g}: {shares}.",
        lambda size: account.plot(_axes(size)),
        (9.4, 4.0),
    )


def of_efficiency(case: Case, name: str, stem: str) -> Picture:
    """Capacity, efficiency and leakage against dose, for a case and its mirror."""

    size = (9.2, 7.4)
    of = _spelled(display.in_chart("g/L of resin").unit)

    def draw(_: Size | None) -> Axes:
        import matplotlib.pyplot as plt

        with style.styled():
            page = plt.figure(figsize=size, layout="constrained")
            places = ((2, 2, 1), (2, 2, 2), (2, 2, (3, 4)))
            axes = [page.add_subplot(*place) for place in places]
            first: Axes = plot.brine_efficiency(case, axes=axes, ceiling=True)[0]
        return first

    return Picture(
        stem,
        f"What each dose of salt buys, both directions, all else as in {name}: runs end on the leakage limit.",
        f"Three line charts against salt dose in {of}, co-current and counter-current: operating "
        "capacity, salt efficiency and leakage at half run, with the stoichiometric line, what equilibrium allows and "
        "published figures.",
        draw,
        size,
    )


def _leakage(cycles: Sequence[Cycle], names: Sequence[str]) -> Picture:
    each = "; ".join(_leak(cycle, name) for cycle, name in zip(cycles, names, strict=True))
    limits = sorted({limit for cycle in cycles if (limit := cycle.case.service.limit_mg_per_l_caco3) is not None})
    ends = f" Limit: {', '.join(f'{limit:g}' for limit in limits)}." if limits else ""
    return Picture(
        "leakage",
        "Hardness of the delivered water through the run; a mark stands at half the run.",
        f"Line chart of hardness leakage in mg/L as CaCO3 against throughput in bed volumes. {each}.{ends}",
        lambda size: plot.leakage(cycles, _axes(size)),
        (8.0, 3.7),
    )


def _leak(cycle: Cycle, name: str) -> str:
    if (words := text.above_limit(cycle)) is not None:
        return f"{name}: {': '.join(words)}"
    half, end = (text.shown(cycle, f"leakage_{at}_mg_per_l_caco3") for at in ("half_run", "end"))
    return f"{name}: {half} at half run and {end} at the end of {text.number(cycle.run_length_bv)} bed volumes"


def _loading(cycle: Cycle, name: str, stem: str) -> Picture:
    def draw(size: Size | None) -> Axes:
        drawn = plot.loading(cycle, _axes(size))
        if size is not None:
            # Half a page is narrow, and the caption has the words of the title.
            drawn.set_title("", loc="left")
            key = {"ncols": 3, "fontsize": 8.5, "handlelength": 2.4, "columnspacing": 0.9, "handletextpad": 0.5}
            drawn.legend(loc="upper left", bbox_to_anchor=(-0.2, -0.12), frameon=False, **key)
        return drawn

    how = display.in_chart(EQ_BED)
    return Picture(
        stem,
        f"The bed upright, {name}: hardness on the resin after each step; shaded, what one service run puts on.",
        f"Line chart of hardness on the resin in {_spelled(how.unit)} along the depth of the bed, after each "
        "step of the cycle, with arrows for service and brine. A run adds "
        f"{text.number(how.of(cycle.loading_change_eq_per_l))} {how.unit.removesuffix(' of bed')} on average.",
        draw,
        (4.6, 4.5),
        half=True,
    )


def _waste(cycle: Cycle, name: str, stem: str) -> Picture:
    def draw(size: Size | None) -> Axes:
        drawn = plot.elution(cycle, _axes(size))
        if size is not None:
            drawn.set_title("", loc="left")
        return drawn

    return Picture(
        stem,
        f"What leaves the bed between two service runs, {name}: each ion, the steps marked.",
        f"Line chart of each ion in the spent brine and rinse in {_spelled(display.in_chart('eq/L').unit)} against volume in "
        "bed volumes. "
        f"{text.number(cycle.waste_volume_bv)} bed volumes leave, with a mean chloride of "
        f"{text.number(cycle.waste_chloride_mg_per_l)} mg/L.",
        draw,
        (4.6, 3.6),
        half=True,
    )


# Units as words that are read aloud.
_SPELLED = {
    "g/L of resin": "grams per litre of resin",
    "lb/ft3 of resin": "pounds per cubic foot of resin",
    "eq/L of bed": "equivalents per litre of bed",
    "kgr/ft3": "kilograins per cubic foot",
    "eq/L": "equivalents per litre",
    "N": "normality",
}


def _spelled(unit: str) -> str:
    return _SPELLED.get(unit, unit)


def _axes(size: Size | None) -> Axes | None:
    """New axes of a size, in the package's style; none for a picture's usual size."""
    if size is None:
        return None
    with style.styled():
        return style.axes_or_new(None, size)
