"""Finished runs: figures as attributes, curves and profiles as tables with their units beside them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brinefront import text
from brinefront.errors import SolverError
from brinefront.figures import Figures
from brinefront.hydraulics import hydraulics_frame
from brinefront.through_time import through_time
from brinefront.units import convert

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import pandas as pd
    import xarray as xr

    from brinefront._core import Case
    from brinefront.salt_account import SaltAccount

__all__ = ["Cycle", "Run"]

# Columns of the steps, in the order a reader follows them.
STEP_COLUMNS = (
    "step",
    "direction",
    "volume_bv",
    "minutes",
    "volume_l",
    "flow_bv_per_h",
    "inlet_normality_eq_per_l",
    "ended",
    "way",
    "velocity_m_per_h",
    "pressure_drop_kpa",
    "lifts_from_m_per_h",
    "bed_expansion_percent",
)
STEP_UNITS = {
    "volume_bv": "BV",
    "volume_l": "L",
    "minutes": "min",
    "flow_bv_per_h": "BV/h",
    "inlet_normality_eq_per_l": "eq/L",
    "velocity_m_per_h": "m/h",
    "pressure_drop_kpa": "kPa",
    "lifts_from_m_per_h": "m/h",
    "bed_expansion_percent": "%",
}


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Cycle(Figures):
    """One cycle of service and regeneration, at the cyclic steady state unless `settled` is false.

    Every figure is an attribute; :meth:`leakage`, :meth:`waste_curve`, :meth:`steps`, :meth:`waste` and
    :meth:`profiles` are its tables, :meth:`through_time` is the bed between them.
    """

    case: Case
    notes: tuple[str, ...]
    """What the figures should be read with: assumptions made, correlations used outside their range, a bed that an upflow
    lifts, a liquid that may run ahead of its front, salt that is not the dose, waste beyond saturation with gypsum."""
    effort: Mapping[str, int]
    _tables: Mapping[str, Any] = field(repr=False)

    @classmethod
    def _from_native(cls, data: dict[str, Any]) -> Cycle:
        known = {name: data.pop(name) for name in ("case", "notes", "effort")}
        return cls(**known, **data.pop("figures"), _tables=data)

    def leakage(self) -> pd.DataFrame:
        """What the service run delivered: throughput, each ion [eq/L] and the hardness.

        A rest in the run has two rows at its throughput: what left before it, and the first water after it.
        """
        return _curve(self._tables["leakage"], self.case.hardness_ions)

    def waste_curve(self) -> pd.DataFrame:
        """What left between two service runs: throughput since the first step, the step, each ion [eq/L], hardness.

        What was kept of it for the next regeneration is in it too; :meth:`waste` is without.
        """
        curve = self._tables["waste_curve"]
        frame = _curve(curve, self.case.hardness_ions)
        frame.insert(1, "step", curve["step"])
        return frame

    def steps(self) -> pd.DataFrame:
        """One row for each step: its direction, volume, litres, minutes, flow and the normality that entered; hydraulics.

        `pressure_drop_kpa` is that of the settled bed (Ergun), nan where the flow lifts it; an upflow lifts a bed that
        nothing holds from `lifts_from_m_per_h` on (Wen and Yu) and expands it by `bed_expansion_percent` (Richardson and
        Zaki), which is nan too where it carries the beads away; :meth:`hydraulics` says which.
        """
        import pandas as pd

        frame = pd.DataFrame(self._tables["steps"], columns=list(STEP_COLUMNS))
        frame.attrs["units"] = dict(STEP_UNITS)
        return frame

    def hydraulics(self) -> pd.DataFrame:
        """What the flow of each step does to the bed, one row a step; columns as :func:`brinefront.hydraulics` has them."""
        return hydraulics_frame(self._tables["hydraulics"])

    def waste(self) -> pd.DataFrame:
        """The waste of one regeneration by ion: composite concentration and mass; volumes are in ``attrs``."""
        import pandas as pd

        waste = self._tables["waste"]
        columns = {"composite_mg_per_l": waste["composite_mg_per_l"], "mass_g": waste["mass_g"]}
        frame = pd.DataFrame(columns).rename_axis("ion")
        frame.attrs["units"] = {"composite_mg_per_l": "mg/L", "mass_g": "g"}
        frame.attrs |= {name: waste[name] for name in ("volume_bv", "volume_l", "peak_chloride_mg_per_l")}
        return frame

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
        import pandas as pd

        table = self._tables["gypsum"]
        if table is None:
            raise SolverError("gypsum: an ion of this water has no activity law")
        columns = ("bv", "step", "saturation_index", "saturation_ratio")
        frame = pd.DataFrame({name: table[name] for name in columns})
        frame.attrs["units"] = {"bv": "BV"}
        frame.attrs |= {"highest": dict(table["highest"]), "stand_ins": dict(table["stand_ins"])}
        return frame

    def profiles(self) -> xr.Dataset:
        """Loading and liquid along the bed after each step; step x depth x ion, depth from the service inlet.

        Where the flow is uneven these are means of the stream tubes by area, and ``tube_loading_eq_per_l`` (step x tube x depth
        x ion) has each of them, with its area and velocities as coordinates.
        """
        return _profiles(self._tables["profiles"])

    def through_time(
        self, moments: int = 240, *, progress: Callable[[int, int, int, float], object] | None = None
    ) -> xr.Dataset:
        """The bed through this whole cycle, the steps of the regeneration and service in their order.

        Runs the case again as it was run, and then the cycle itself once more with the bed recorded: the cycle is the same to
        the last bit, whether it is the steady one or one of ``case.cycles(n)``, and the last moment of each step is that step's
        profile in :meth:`profiles`.

        Parameters
        ----------
        moments : int
            How many, from two for each step to 5000. They are spread evenly over the throughput of each step, from its start
            to its end; a step with flow gets a tenth of them at least, one without is followed by time. So the end of a step
            and the start of the next are two moments at one time. A backwash is not followed: it has its start and its end.
        progress : callable, optional
            Called with ``(done, total, cycle, residual)`` while cycles are run.

        Returns
        -------
        xarray.Dataset
            ``loading_eq_per_l`` [eq/L of bed] and ``liquid_eq_per_l`` [eq/L], moment x depth x ion, means of the stream tubes by
            area where the flow is uneven; ``effluent_eq_per_l`` [eq/L], moment x ion, nan where nothing flows; along the moments
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
        """Where the salt of this cycle's case went; runs further cycles, as ``case.salt_account()`` does."""
        return self.case.salt_account(order)

    def summary(self) -> str:
        """The figures that matter, in words, with units."""
        return text.cycle_summary(self)

    def to_dict(self) -> dict[str, Any]:
        """Every figure by its name, with the effort and the waste; a number that does not exist is None."""
        waste = {name: dict(part) if isinstance(part, dict) else part for name, part in self._tables["waste"].items()}
        plain: dict[str, Any] = text.without_nan(
            {**self.figures(), "notes": list(self.notes), "effort": dict(self.effort), "waste": waste}
        )
        return plain

    def __repr__(self) -> str:
        return (
            f"<Cycle {self.direction}, {self.dose_g_per_l:g} g/L: {text.number(self.run_length_bv)} BV, "
            f"{text.shown(self, 'leakage_half_run_mg_per_l_caco3')} mg/L as CaCO3 at half run>"
        )


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Run:
    """One loading or elution from a given loading."""

    ledger_error: float
    cells: int
    effluent_error_fraction: float
    """Estimated numerical error of the effluent: the worst ion's mean distance between the curves of two grids, as a share
    of what left of it; nan if only one grid was run."""
    notes: tuple[str, ...]
    """What the figures should be read with."""
    effort: Mapping[str, int]
    hardness_ions: tuple[str, ...]
    _tables: Mapping[str, Any] = field(repr=False)

    @classmethod
    def _from_native(cls, data: dict[str, Any]) -> Run:
        known = {
            name: data.pop(name)
            for name in ("ledger_error", "cells", "effluent_error_fraction", "notes", "effort", "hardness_ions")
        }
        return cls(_tables=data, **known)

    def effluent(self) -> pd.DataFrame:
        """Concentration of what left: throughput [BV] from 0, each ion [eq/L] and the hardness."""
        return _curve(self._tables["effluent"], self.hardness_ions)

    def loading(self) -> pd.DataFrame:
        """Loading of each cell at the end [eq/L of bed] by depth from the service inlet; its mean is in ``attrs``."""
        import pandas as pd

        table = self._tables["loading"]
        loading = table["loading_eq_per_l"][-1]
        frame = pd.DataFrame({"depth_m": table["depth_m"], **dict(zip(table["ions"], loading.T, strict=True))})
        frame.attrs["units"] = {"depth_m": "m", **dict.fromkeys(table["ions"], "eq/L of bed")}
        frame.attrs["mean"] = {ion: float(column.mean()) for ion, column in zip(table["ions"], loading.T, strict=True)}
        return frame

    def summary(self) -> str:
        """Volume, mean loading and the ledger, in words."""
        return text.run_summary(self)

    def to_dict(self) -> dict[str, Any]:
        """Effluent and loading as lists, with the ledger and the effort."""
        plain: dict[str, Any] = text.without_nan(
            {
                "ledger_error": self.ledger_error,
                "cells": self.cells,
                "effluent_error_fraction": self.effluent_error_fraction,
                "notes": list(self.notes),
                "effort": dict(self.effort),
                "effluent": self.effluent().to_dict("list"),
                "loading": self.loading().to_dict("list"),
                "mean_loading_eq_per_l": self.loading().attrs["mean"],
            }
        )
        return plain

    def __repr__(self) -> str:
        return f"<Run of {text.number(self._tables['effluent']['bv'][-1])} BV>"


def _curve(curve: Mapping[str, Any], hardness_ions: tuple[str, ...]) -> pd.DataFrame:
    import pandas as pd

    ions = curve["ions"]
    frame = pd.DataFrame({"bv": curve["bv"], **dict(zip(ions, curve["eq_per_l"].T, strict=True))})
    hardness = frame[[ion for ion in ions if ion in hardness_ions]].sum(axis=1)
    frame["hardness_mg_per_l_caco3"] = hardness * convert(1.0, "eq/L", "mg/L CaCO3")
    frame.attrs["units"] = {"bv": "BV", **dict.fromkeys(ions, "eq/L"), "hardness_mg_per_l_caco3": "mg/L as CaCO3"}
    return frame


def _profiles(table: Mapping[str, Any]) -> xr.Dataset:
    import xarray as xr

    dims = ("step", "depth", "ion")
    found = xr.Dataset(
        {
            "loading_eq_per_l": (
                dims,
                table["loading_eq_per_l"],
                {"long_name": "loading of the resin", "units": "eq/L of bed"},
            ),
            "liquid_eq_per_l": (
                dims,
                table["liquid_eq_per_l"],
                {"long_name": "liquid between the beads", "units": "eq/L"},
            ),
        },
        coords={
            "step": ("step", list(table["steps"]), {"long_name": "after the step"}),
            "depth": ("depth", table["depth_m"], {"long_name": "depth from the service inlet", "units": "m"}),
            "ion": ("ion", list(table["ions"])),
        },
    )
    if "tube_loading_eq_per_l" not in table:
        return found
    loading = ("step", "tube", "depth", "ion"), table["tube_loading_eq_per_l"]
    over_mean = {"units": "1", "long_name": "velocity over the mean of the section"}
    return found.assign(
        tube_loading_eq_per_l=(*loading, {"long_name": "loading of the resin", "units": "eq/L of bed"})
    ).assign_coords(
        tube_area=("tube", table["tube_area"], {"long_name": "share of the area", "units": "1"}),
        tube_service=("tube", table["tube_service"], over_mean),
        tube_regenerant=("tube", table["tube_regenerant"], over_mean),
    )
