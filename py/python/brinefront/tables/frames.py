"""Tables of a finished run, made of what the native half hands over: frames with their labels, datasets of profiles."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.errors import SolverError
from brinefront.native.handover import of_native
from brinefront.native.optional import need
from brinefront.units import convert
from brinefront.words.figures import EQ_BED
from brinefront.words.labels import about, attributes, ion_words, labelled

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pandas as pd
    import xarray as xr

    from brinefront._core import Case

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


def curve_table(
    curve: Mapping[str, Any],
    hardness_ions: Sequence[str],
    title: str,
    case: Case,
    *,
    steps: bool = False,
) -> pd.DataFrame:
    """Throughput, each ion [eq/L] and the hardness of what left; the step it left in, if wanted."""
    need("pandas", "tables")
    import pandas as pd

    ions = curve["ions"]
    frame = pd.DataFrame({"bv": curve["bv"], **dict(zip(ions, curve["eq_per_l"].T, strict=True))})
    hardness = frame[[ion for ion in ions if ion in hardness_ions]].sum(axis=1)
    frame["hardness_mg_per_l_caco3"] = hardness * convert(1.0, "eq/L", "mg/L CaCO3")
    if steps:
        frame.insert(1, "step", curve["step"])
    return labelled(frame, title, case, ion_words(ions, "concentration of what left", "eq/L"))


def steps_table(steps: Sequence[Mapping[str, Any]], case: Case) -> pd.DataFrame:
    """One row for each step."""
    need("pandas", "tables")
    import pandas as pd

    rows = [of_native(row) for row in steps]
    return labelled(pd.DataFrame(rows, columns=list(STEP_COLUMNS)), "steps of one cycle", case)


def waste_table(waste: Mapping[str, Any], case: Case) -> pd.DataFrame:
    """Composite concentration and mass of the waste by ion."""
    need("pandas", "tables")
    import pandas as pd

    columns = {name: waste[name] for name in ("composite_mg_per_l", "mass_g")}
    frame = labelled(pd.DataFrame(columns).rename_axis("ion"), "spent brine and rinse of one regeneration", case)
    frame.attrs |= {name: waste[name] for name in ("volume_bv", "volume_l", "peak_chloride_mg_per_l")}
    return frame


def gypsum_table(table: Mapping[str, Any] | None, case: Case) -> pd.DataFrame:
    """Saturation of the waste with gypsum, sample by sample."""
    need("pandas", "tables")
    import pandas as pd

    if table is None:
        raise SolverError("gypsum: an ion of this water has no activity law")
    columns = ("bv", "step", "saturation_index", "saturation_ratio")
    frame = labelled(pd.DataFrame({name: table[name] for name in columns}), "gypsum in the spent brine and rinse", case)
    frame.attrs |= {"highest": dict(table["highest"]), "stand_ins": dict(table["stand_ins"])}
    return frame


def loading_table(table: Mapping[str, Any], case: Case) -> pd.DataFrame:
    """Loading of each cell at the end of a run, by depth."""
    need("pandas", "tables")
    import pandas as pd

    ions, loading = table["ions"], table["loading_eq_per_l"][-1]
    frame = pd.DataFrame({"depth_m": table["depth_m"], **dict(zip(ions, loading.T, strict=True))})
    labelled(frame, "loading at the end of a run", case, ions=ion_words(ions, "loading of the resin", EQ_BED))
    shares = table["height_m"] / table["height_m"].sum()
    frame.attrs["mean"] = {ion: float(column @ shares) for ion, column in zip(ions, loading.T, strict=True)}
    return frame


def profiles_dataset(table: Mapping[str, Any], case: Case) -> xr.Dataset:
    """Loading and liquid along the bed after each step."""
    need("xarray", "datasets")
    import xarray as xr

    dims = ("step", "depth", "ion")
    loading = attributes("loading_eq_per_l", "loading of the resin", EQ_BED)
    liquid = attributes("liquid_eq_per_l", "liquid between the beads", "eq/L")
    found = xr.Dataset(
        {
            "loading_eq_per_l": (dims, table["loading_eq_per_l"], loading),
            "liquid_eq_per_l": (dims, table["liquid_eq_per_l"], liquid),
        },
        coords={
            "step": ("step", list(table["steps"]), {"long_name": "after the step"}),
            "depth": ("depth", table["depth_m"], attributes("depth_m")),
            "height_m": ("depth", table["height_m"], attributes("height_m")),
            "ion": ("ion", list(table["ions"]), {"long_name": "ion"}),
        },
        attrs=about("profiles along the bed after each step", "profiles of a cycle", case),
    )
    if "tube_loading_eq_per_l" not in table:
        return found
    over_mean = {"units": "1", "long_name": "velocity over the mean of the section"}
    found["tube_loading_eq_per_l"] = (("step", "tube", "depth", "ion"), table["tube_loading_eq_per_l"], loading)
    with_tubes: xr.Dataset = found.assign_coords(
        tube_area=("tube", table["tube_area"], {"long_name": "share of the area", "units": "1"}),
        tube_service=("tube", table["tube_service"], over_mean),
        tube_regenerant=("tube", table["tube_regenerant"], over_mean),
    )
    return with_tubes
