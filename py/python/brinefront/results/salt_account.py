"""Where the salt of a regeneration went, as rows that sum to the dose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brinefront.files.export import save
from brinefront.native.handover import made_of, of_native
from brinefront.native.optional import need
from brinefront.tables.datasets import account_dataset
from brinefront.units import display
from brinefront.words import notebook, text
from brinefront.words.figures import EQ_BED
from brinefront.words.labels import labelled

if TYPE_CHECKING:
    from collections.abc import Mapping
    from os import PathLike

    import pandas as pd
    import xarray as xr
    from matplotlib.axes import Axes

    from brinefront._core import Case
    from brinefront.native.sayings import Note

__all__ = ["SaltAccount", "SaltShare"]

# The kind of a note on a bed within the account, which is no answer by itself.
INNER = "bed-with-effects"

CAPACITY = ("hardness removed by a bed with this effect and those before it", EQ_BED)
ORDER_WORDS = {
    "ladder": "each effect charged what it adds to those above it in the list",
    "shapley": "each effect charged the mean of what it adds over all orders of the effects",
}


@dataclass(frozen=True, kw_only=True)
class SaltShare:
    """One share of the salt.

    Attributes
    ----------
    name : str
        ``equilibrium`` (what even an ideal bed spends beyond stoichiometry), an effect, or ``exchange`` (salt that took
        hardness off the resin).
    adds : str
        What it is, in words.
    capacity_eq_per_l : float
        Hardness removed by a bed with this effect and those before it [eq/L of bed]; nan for an effect's mean over orders.
    share_g_per_l : float
        The share [g of salt per litre of resin], below 0 for an effect that raises the capacity.
    share_of_dose : float
        The same over the dose.
    share_error_g_per_l : float
        Numerical error of the share to be expected from the grid [g/L]; nan if no coarser grid was run.
    sound : bool
        Whether every run behind it delivered soft water and settled.
    """

    name: str
    adds: str
    capacity_eq_per_l: float
    share_g_per_l: float
    share_of_dose: float
    share_error_g_per_l: float
    sound: bool


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class SaltAccount:
    """Where the salt of one regeneration went; made by :meth:`Case.salt_account`.

    The shares sum to the dose. Each is the equivalent mass of the salt times the hardness that a run removes less with an
    effect than without it; the runs go to one leakage, each from a steady cycle of its own.

    Attributes
    ----------
    case : Case
        The case at the end of the list: as given, ending on the leakage limit alone. Its cycle has the last capacity.
    order : str
        "ladder" or "shapley".
    dose_g_per_l : float
        The dose [g of salt per litre of resin].
    limit_mg_per_l_caco3 : float
        Leakage that ended every run [mg/L as CaCO3].
    shares : tuple of SaltShare
        The shares; ``account["film"]`` gives one by its name.
    without : tuple of str
        Effects that are off in the case and so have no share.
    notes : tuple of Note
        How the end point was chosen; shares that the grid blurs; beds within the account that were above the limit from the
        start, soft nowhere or after shorter runs, or did not settle.
    warnings : tuple of Note
        Whether the case itself was above the limit from the start or did not settle.
    runs : int
        Steady cycles behind it.
    effort : mapping of str to int
        What it cost, by name of the count.
    """

    case: Case
    order: str
    dose_g_per_l: float
    limit_mg_per_l_caco3: float
    shares: tuple[SaltShare, ...]
    without: tuple[str, ...]
    notes: tuple[Note, ...]
    warnings: tuple[Note, ...]
    runs: int
    effort: Mapping[str, int]

    @classmethod
    def _from_native(cls, data: dict[str, Any]) -> SaltAccount:
        shares = tuple(SaltShare(**of_native(row)) for row in data.pop("shares"))
        return cls(shares=shares, **data)

    def __getitem__(self, name: str) -> SaltShare:
        """The share of a name."""
        for share in self.shares:
            if share.name == name:
                return share
        raise KeyError(f"{name!r}: not a share of this account; its shares: {', '.join(s.name for s in self.shares)}")

    def table(self) -> pd.DataFrame:
        """Give the shares as a table.

        Returns
        -------
        pandas.DataFrame
            One row for each share, by its name, with the fields of :class:`SaltShare`; units in ``attrs``.
        """
        need("pandas", "tables")
        import pandas as pd

        frame = pd.DataFrame([vars(share) for share in self.shares]).set_index("name")
        return labelled(frame, "where the salt went", self.case, words={"capacity_eq_per_l": CAPACITY})

    def to_xarray(self) -> xr.Dataset:
        """The table as a dataset.

        Returns
        -------
        xarray.Dataset
            The columns of :meth:`table` along ``name``; order, dose, limit, effort and the case in ``attrs``.
        """
        return account_dataset(self)

    def save(self, path: str | PathLike[str]) -> None:
        """Write the account to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix names the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        save(self, path)

    def plot(self, ax: Axes | None = None) -> Axes:
        """The shares as steps down from the dose to the salt that did the work.

        Parameters
        ----------
        ax : matplotlib axes, optional
            Where to draw; a new figure by default.

        Returns
        -------
        matplotlib.axes.Axes
            The axes, as :func:`brinefront.plot.salt_account` draws them.
        """
        from brinefront import plot

        return plot.salt_account(self, ax)

    @display.as_asked
    def sentence(self) -> str:
        """The answer in a sentence.

        Returns
        -------
        str
            How much of the dose did its work, and what the largest loss is to.
        """
        return self._said(display.in_chart("g/L of resin"))

    def _said(self, how: display.Shown) -> str:
        mass = "lb" if how.unit.startswith("lb") else "g"
        volume = "ft3" if mass == "lb" else "litre"
        work = self["exchange"]
        if work.share_g_per_l == 0.0:
            return (
                f"Run to its limit, the bed delivers no water below {text.number(self.limit_mg_per_l_caco3)} mg/L as CaCO3: "
                "no salt did any work that counts."
            )
        lost = max(self.shares[:-1], key=lambda share: share.share_g_per_l)
        return (
            f"Of {text.number(how.of(self.dose_g_per_l))} {mass} of salt per {volume} of resin, "
            f"{text.number(how.of(work.share_g_per_l))} "
            f"({text.fixed(100.0 * work.share_of_dose, 0)} %) took hardness off the resin; the largest loss is to {lost.name}, "
            f"{text.number(how.of(lost.share_g_per_l))} {mass} ({text.fixed(100.0 * lost.share_of_dose, 0)} %)."
        )

    @display.as_asked
    def rows(self) -> list[list[str]]:
        """The shares and the dose as a reader wants them.

        Returns
        -------
        list of list of str
            Name, share, % of the dose, numerical error, capacity and what it is, in the columns of a summary; the dose is
            last, a name whose share is not sound has (!).
        """
        salt, capacity = display.in_chart("g/L of resin"), display.in_chart(EQ_BED)
        decimals = 2 if salt.factor == 1.0 else 3
        rows = [
            [
                share.name + ("" if share.sound else " (!)"),
                text.fixed(salt.of(share.share_g_per_l), decimals),
                text.fixed(100.0 * share.share_of_dose, 1),
                text.number(salt.of(share.share_error_g_per_l), 2),
                text.fixed(capacity.of(share.capacity_eq_per_l), 4),
                share.adds,
            ]
            for share in self.shares
        ]
        return [*rows, ["dose", f"{salt.of(self.dose_g_per_l):.{decimals}f}", "100.0", "", "", ""]]

    @display.as_asked
    def remarks(self) -> list[str]:
        """What the shares should be read with.

        Returns
        -------
        list of str
            Order, effects that are off, notes and warnings.
        """
        lines = [f"Order: {ORDER_WORDS[self.order]} ({self.runs} steady cycles, {self.case.cells} cells)."]
        if self.without:
            lines.append(f"Off in this case: {', '.join(self.without)}.")
        # What a mark in the table stands for is no warning of the result.
        lines += [f"{'(!)' if note.kind == INNER else 'Note:'} {display.said(note)}." for note in self.notes]
        return lines + [f"WARNING (!): {display.said(warning)}." for warning in self.warnings]

    @display.as_asked
    def summary(self) -> str:
        """The shares as text, with what they should be read with.

        Returns
        -------
        str
            A table, and :meth:`remarks` below it.
        """
        remarks = [text.wrapped(line, indent="  ") for line in self.remarks()]
        return "\n".join([text.table(text.account_heads(), self.rows()), *remarks])

    def to_dict(self) -> dict[str, Any]:
        """Everything but the case as plain data.

        Returns
        -------
        dict
            A number that does not exist is None.
        """
        plain: dict[str, Any] = text.without_nan(
            {
                "order": self.order,
                "dose_g_per_l": self.dose_g_per_l,
                "limit_mg_per_l_caco3": self.limit_mg_per_l_caco3,
                "sentence": self._said(display.Shown("g/L of resin")),
                "shares": [dict(vars(share)) for share in self.shares],
                "without": list(self.without),
                "notes": list(self.notes),
                "warnings": list(self.warnings),
                "runs": self.runs,
                "effort": dict(self.effort),
            }
        )
        return plain

    def __repr__(self) -> str:
        rows = ", ".join(f"{share.name} {text.fixed(share.share_g_per_l, 1)}" for share in self.shares)
        return f"<SaltAccount of {text.number(self.dose_g_per_l)} g/L: {rows}>"

    def _repr_html_(self) -> str:
        return notebook.account(self)


made_of("salt account", SaltAccount._from_native)
