"""Where the salt went, as steps down from the dose to the salt that did the work."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from brinefront.pictures import palette, style
from brinefront.pictures.registry import Example, picture
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import MG_CACO3

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from brinefront.native.protocols import SaltAccount

# Lightness tells the four kinds apart where hue does not, and gains are hatched besides.
DOSE: dict[str, Any] = {"facecolor": palette.FAINT, "edgecolor": palette.INK}
WORK: dict[str, Any] = {"facecolor": "#35556E", "edgecolor": palette.INK}
LOSS: dict[str, Any] = {"facecolor": "#E8C9A0", "edgecolor": palette.INK}
GAIN: dict[str, Any] = {"facecolor": "#D3E6DF", "edgecolor": palette.INK, "hatch": "////"}

WIDTH = 0.68


@picture(
    Example(
        130,
        "salt_account",
        "Where the salt went",
        "From the dose to the salt that did the work, a step for each imperfection. What equilibrium takes no design gives "
        "back; what film and bead take, slower brine does.",
        "account = case.salt_account()\ndrawn = plot.salt_account(account)",
    ),
    of_sample=lambda draw, sample: draw(sample.account),
)
def salt_account(account: SaltAccount, ax: Axes | None = None) -> Axes:
    """A waterfall: the dose to the left, a step for each loss (or gain, hatched), the salt that did the work to the right.

    Parameters
    ----------
    account : SaltAccount
        What :meth:`brinefront.Case.salt_account` gave.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib.axes.Axes
        The axes.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> axes = plot.salt_account(bf.default_case().replace({"cells": 10}).salt_account())
    """
    with style.styled():
        ax = style.axes_or_new(ax, (1.9 + 1.35 * (len(account.shares) + 1), 4.9))
        salt = display.in_chart("g/L of resin")
        dose = salt.of(account.dose_g_per_l)
        decimals = 1 if salt.factor == 1.0 else 2
        names = ["dose"]
        _bar(ax, 0, 0.0, dose, DOSE, f"{dose:.4g}")
        level = dose
        for place, share in enumerate(account.shares[:-1], start=1):
            amount = salt.of(share.share_g_per_l)
            ax.plot([place - 1 + WIDTH / 2, place - WIDTH / 2], [level] * 2, color=palette.INK, linewidth=style.pt(0.8))
            words = _amount(-amount, decimals, -share.share_of_dose, sound=share.sound, signed=True)
            _bar(ax, place, level, level - amount, LOSS if amount >= 0.0 else GAIN, words)
            level -= amount
            names.append(share.name)
        work = account.shares[-1]
        worked = salt.of(work.share_g_per_l)
        last = len(account.shares)
        ax.plot([last - 1 + WIDTH / 2, last - WIDTH / 2], [level] * 2, color=palette.INK, linewidth=style.pt(0.8))
        words = _amount(worked, decimals, work.share_of_dose, sound=work.sound)
        _bar(ax, last, 0.0, worked, WORK, words)
        names.append("exchange")
        ax.set_xticks(range(last + 1), [textwrap.fill(name, 12) for name in names])
        ax.tick_params(axis="x", length=0)
        ax.grid(visible=False, axis="x")
        ax.set_xlim(-0.55, last + 0.55)
        ax.set_ylim(0.0, 1.16 * dose)
        ax.set_ylabel(f"salt [{per_resin()}]")
        direction = account.case.regeneration.direction
        ax.set_title(
            f"Where the salt went, {direction}, to {account.limit_mg_per_l_caco3:.4g} {style.unit_words(MG_CACO3)}"
        )
    return ax


def _amount(salt: float, decimals: int, of_dose: float, *, sound: bool, signed: bool = False) -> str:
    """What is written over a bar: its salt, its share of the dose, and whether it stands on unsound runs."""
    written, share = text.fixed(salt, decimals, signed=signed), text.fixed(100.0 * of_dose, 1, signed=signed)
    return f"{written}\n{share} %" + ("" if sound else "\n(!)")


def per_resin() -> str:
    """The unit of salt on an axis."""
    unit = display.in_chart("g/L of resin").unit
    return "g per litre of resin" if unit == "g/L of resin" else style.unit_words(unit)


def _bar(ax: Axes, place: int, start: float, end: float, look: dict[str, Any], words: str) -> None:
    """One bar with its amount above it, whichever way it goes."""
    ax.bar(place, end - start, WIDTH, bottom=start, linewidth=style.pt(0.9), **look)
    ax.annotate(
        words,
        (place, max(start, end)),
        xytext=(0, 3),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize="small",
        linespacing=1.2,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.0},
        zorder=1,
    )
