"""A finished cycle: figures as attributes, curves and profiles as tables with their units beside them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brinefront.files.export import save
from brinefront.native.handover import made_of
from brinefront.results.figures import Figures
from brinefront.results.long_table import long_table
from brinefront.tables.datasets import cycle_dataset
from brinefront.tables.frames import curve_table, gypsum_table, profiles_dataset, steps_table, waste_table
from brinefront.tables.hydraulics import hydraulics_frame
from brinefront.tables.through_time import through_time
from brinefront.words import notebook, text
from brinefront.words.figures import of_record, with_figures

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from os import PathLike

    import pandas as pd
    import xarray as xr

    from brinefront._core import Case
    from brinefront.native.sayings import DesignRule, Note, SiteTarget
    from brinefront.results.long_table import LongTable
    from brinefront.results.salt_account import SaltAccount

__all__ = ["Cycle"]


@with_figures
@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Cycle(Figures):
    """One cycle of service and regeneration, at the cyclic steady state unless `settled` is false.

    Every figure is an attribute; :meth:`leakage`, :meth:`waste_curve`, :meth:`steps`, :meth:`waste` and
    :meth:`profiles` are its tables, with ``units``, ``long_names``, ``title`` and the case's name in ``attrs``;
    :meth:`through_time` is the bed between them, :meth:`to_xarray` and :meth:`long_table` have all tables at once, and
    :meth:`save` writes them to a file.

    Attributes
    ----------
    case : Case
        The case that was run.
    notes : tuple of Note
        What the figures should be read with: assumptions made, correlations used outside their range, a bed that an
        upflow lifts, a liquid that may run ahead of its front, salt that is not the dose, waste beyond saturation with
        gypsum.
    design_rules : tuple of DesignRule
        Rules of design, each with what the cycle came to.
    site_targets : tuple of SiteTarget
        What the site asks, each with what the cycle came to; empty without a site.
    assumed_of_the_bed : str
        What the figures take for granted of a bed that an upflow lifts, as a clause; empty where nothing is.
    effort : mapping of str to int
        What it cost, by name of the count.
    longest_metered : Cycle or None
        The cycle metered at `longest_metered_bv`, where this one is above its limit from the start but shorter runs are not.
    """

    case: Case
    notes: tuple[Note, ...]
    design_rules: tuple[DesignRule, ...]
    site_targets: tuple[SiteTarget, ...]
    assumed_of_the_bed: str
    effort: Mapping[str, int]
    longest_metered: Cycle | None
    _tables: Mapping[str, Any] = field(repr=False)

    @classmethod
    def _from_native(cls, data: dict[str, Any]) -> Cycle:
        judged = ("notes", "design_rules", "site_targets", "assumed_of_the_bed")
        known = {name: data.pop(name) for name in ("case", *judged, "effort", "longest_metered")}
        return cls(**known, **of_record(data.pop("figures")), _tables=data)

    def leakage(self) -> pd.DataFrame:
        """What the service run delivered.

        Returns
        -------
        pandas.DataFrame
            One row for each sample: ``bv`` [BV], each cation [eq/L] and ``hardness_mg_per_l_caco3``. A rest in the run
            has two rows at its throughput: what left before it, and the first water after it.

        Examples
        --------
        >>> import brinefront as bf
        >>> curve = bf.default_case().replace({"cells": 10}).cycle().leakage()
        >>> list(curve.columns)
        ['bv', 'Na', 'Mg', 'Ca', 'hardness_mg_per_l_caco3']
        >>> curve.attrs["units"]["Ca"]
        'eq/L'
        """
        return curve_table(self._tables["leakage"], self.case.hardness_ions, "what service delivered", self.case)

    def waste_curve(self) -> pd.DataFrame:
        """What left between two service runs.

        Returns
        -------
        pandas.DataFrame
            One row for each sample: ``bv`` since the first step [BV], ``step``, each cation [eq/L] and
            ``hardness_mg_per_l_caco3``. What was kept of it for the next regeneration is in it too; :meth:`waste` is
            without.
        """
        curve = self._tables["waste_curve"]
        return curve_table(curve, self.case.hardness_ions, "what left between two service runs", self.case, steps=True)

    def steps(self) -> pd.DataFrame:
        """Give volume, time, flow and hydraulics of each step.

        Returns
        -------
        pandas.DataFrame
            One row for each step: direction, volume [BV, L], minutes, flow and the normality that entered [eq/L].
            ``pressure_drop_kpa`` is that of the settled bed (Ergun), nan where the flow lifts it; an upflow lifts a bed
            that nothing holds from ``lifts_from_m_per_h`` on (Wen and Yu) and expands it by ``bed_expansion_percent``
            (Richardson and Zaki), which is nan too where it carries the beads away; :meth:`hydraulics` says which.
        """
        return steps_table(self._tables["steps"], self.case)

    def hydraulics(self) -> pd.DataFrame:
        """What the flow of each step does to the bed.

        Returns
        -------
        pandas.DataFrame
            One row for each step, with the columns of :func:`brinefront.hydraulics`.
        """
        return hydraulics_frame(self._tables["hydraulics"], self.case)

    def waste(self) -> pd.DataFrame:
        """The waste of one regeneration by ion.

        Returns
        -------
        pandas.DataFrame
            One row for each ion: composite concentration [mg/L] and mass [g]; volumes are in ``attrs``.
        """
        return waste_table(self._tables["waste"], self.case)

    def gypsum(self) -> pd.DataFrame:
        """How near to saturation with gypsum the waste is, sample by sample between two service runs.

        Returns
        -------
        pandas.DataFrame
            ``bv`` since the first step, ``step``, ``saturation_index`` (0 at saturation, minus infinity without calcium or
            sulfate) and ``saturation_ratio``, ten to it. ``attrs`` hold ``highest`` (index, ratio, throughput and step where
            it is highest; empty if nothing left) and ``stand_ins`` (ions without parameters, taken as others in the activity
            coefficients).

        Raises
        ------
        SolverError
            If an ion has no activity law.

        Notes
        -----
        Pitzer's equations with the parameters of C. E. Harvie, N. Moller, J. H. Weare (1984), Geochim. Cosmochim. Acta 48,
        723, at 25 C whatever the water's temperature. Sulfate is the feed's. Above saturation, kinetics decide whether gypsum
        precipitates in the bed or in the drain: spent brine may cross the line after it has left.
        """
        return gypsum_table(self._tables["gypsum"], self.case)

    def profiles(self) -> xr.Dataset:
        """Loading and liquid along the bed after each step.

        Returns
        -------
        xarray.Dataset
            ``loading_eq_per_l`` [eq/L of bed] and ``liquid_eq_per_l`` [eq/L], step x depth x ion; ``depth`` [m] from
            the service inlet. Where the flow is uneven these are means of the stream tubes by area, and
            ``tube_loading_eq_per_l`` (step x tube x depth x ion) has each of them, with its area and velocities as
            coordinates.
        """
        return profiles_dataset(self._tables["profiles"], self.case)

    def to_xarray(self) -> xr.Dataset:
        """Everything of the cycle in one dataset: figures, curves, steps, hydraulics, waste and profiles.

        Returns
        -------
        xarray.Dataset
            Dimensions are ``step``, ``depth``, ``ion`` (cations), ``waste_ion`` (anions too) and, for the samples of
            each curve, ``leakage_sample``, ``waste_sample`` and ``gypsum_sample``, with throughput and step along them
            as coordinates. Columns of a table go by the table's name and theirs (``step_minutes``). The case is in
            ``attrs["case_json"]``; ``units`` are the package's own, which :func:`brinefront.save` gives UDUNITS's
            words.
        """
        return cycle_dataset(self)

    def long_table(self) -> LongTable:
        """Every value of :meth:`to_xarray` as a row of one long table.

        Returns
        -------
        LongTable
            Columns ``quantity``, ``step``, ``bv``, ``depth_m``, ``height_m``, ``ion``, ``value``, ``text`` and ``unit``.
        """
        return long_table(self.to_xarray())

    def save(self, path: str | PathLike[str]) -> None:
        """Write the cycle to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix names the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        save(self, path)

    def through_time(
        self, moments: int = 240, *, progress: Callable[[int, int, int, float], object] | None = None
    ) -> xr.Dataset:
        """The bed through this whole cycle, the steps of the regeneration and service in their order.

        Runs the case again as it was run, and then the cycle itself once more with the bed recorded: the cycle is the same to
        the last bit, whether it is the steady one or one of ``case.cycles(n)``, and the last moment of each step is that step's
        profile in :meth:`profiles`.

        Parameters
        ----------
        moments : int, default 240
            How many, from two for each step to 5000. They are spread evenly over the throughput of each step, from its start
            to its end; a step with flow gets a tenth of them at least, one without is followed by time. So the end of a step
            and the start of the next are two moments at one time. A backwash is not followed: it has its start and its end.
        progress : callable, optional
            Called with ``(done, total, cycle, residual)`` while cycles are run.

        Returns
        -------
        xarray.Dataset
            ``loading_eq_per_l`` [eq/L of bed] and ``liquid_eq_per_l`` [eq/L], moment x depth x ion, means of the stream tubes by
            area where the flow is uneven; ``effluent_eq_per_l`` [eq/L], moment x ion, nan without flow; along the moments
            ``step`` (a rest within service is a standby), ``bv`` and ``minutes`` since the cycle's first step began; ``depth`` [m]
            from the service inlet.

        Raises
        ------
        InputError
            For a number of moments that is out of limits.

        Notes
        -----
        The bed between two time steps of the solver, of which a cycle has several hundred, lies on the straight line between
        them. What leaves is read off the curves of :meth:`waste_curve` and :meth:`leakage`.

        Examples
        --------
        >>> import brinefront as bf
        >>> bed = bf.default_case().replace({"cells": 20}).cycle().through_time(moments=60)
        >>> bed["loading_eq_per_l"].dims
        ('moment', 'depth', 'ion')
        >>> list(dict.fromkeys(bed["step"].values.tolist()))
        ['brine', 'slow rinse', 'fast rinse', 'service']
        """
        return through_time(self.case, self._tables["from_new_resin"], moments, progress)

    def salt_account(self, order: str = "ladder") -> SaltAccount:
        """Where the salt of this cycle's case went; runs further cycles.

        Parameters
        ----------
        order : {"ladder", "shapley"}, default "ladder"
            As :meth:`brinefront.Case.salt_account` has it.

        Returns
        -------
        SaltAccount
            Shares [g of salt per litre of resin] that sum to the dose.
        """
        return self.case.salt_account(order)

    def _bed_volume_l(self) -> float:
        return self.case.bed.volume_l

    def summary(self) -> str:
        """The figures that matter, in words, with units.

        Returns
        -------
        str
            Lines of at most 100 characters.
        """
        return text.cycle_summary(self)

    def to_dict(self) -> dict[str, Any]:
        """Every figure by its name, with notes, rules of design, targets of the site, effort and waste.

        Returns
        -------
        dict
            Plain data; a number that does not exist is None.
        """
        waste = {name: dict(part) if isinstance(part, dict) else part for name, part in self._tables["waste"].items()}
        plain: dict[str, Any] = text.without_nan(
            {
                **self.figures(),
                "notes": list(self.notes),
                "design_rules": [{"rule": rule.kind, **rule.values} for rule in self.design_rules],
                "site_targets": [{"target": target.kind, **target.values} for target in self.site_targets],
                "assumed_of_the_bed": self.assumed_of_the_bed,
                "effort": dict(self.effort),
                "waste": waste,
            }
        )
        return plain

    def __repr__(self) -> str:
        return (
            f"<Cycle {self.direction}, {self.dose_g_per_l:g} g/L: {text.number(self.run_length_bv)} BV, "
            f"{text.shown(self, 'leakage_half_run_mg_per_l_caco3')} mg/L as CaCO3 at half run>"
        )

    def _repr_html_(self) -> str:
        return notebook.cycle(self)


made_of("cycle", Cycle._from_native)
