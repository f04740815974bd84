"""What the flow of each step does to a bed: pressure, lifting, expansion, fronts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.native.handover import of_native
from brinefront.native.optional import need
from brinefront.units import display
from brinefront.words.labels import labelled

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from brinefront._core import Case

__all__ = ["hydraulics"]

# Columns in the order a reader follows them.
COLUMNS = (
    "step",
    "liquid",
    "way",
    "velocity_m_per_h",
    "bed",
    "pressure_drop_kpa",
    "expansion_percent",
    "onset_m_per_h",
    "carries_away_from_m_per_h",
    "terminal_m_per_h",
    "front",
    "front_critical_m_per_h",
    "density_kg_per_m3",
    "viscosity_mpa_s",
    "reynolds",
    "notes",
)


def hydraulics(case: Case) -> pd.DataFrame:
    """Give the hydraulics of every step of a case, without running it.

    Parameters
    ----------
    case : Case
        Its recipe, bed, beads and temperature decide.

    Returns
    -------
    pandas.DataFrame
        One row for each step, service last; units in ``attrs``. Columns:

        - ``step``, ``liquid`` ("feed", "soft", "brine"), ``way`` ("up", "down", "none");
        - ``velocity_m_per_h``: superficial;
        - ``density_kg_per_m3``, ``viscosity_mpa_s`` of the liquid, ``reynolds`` of a bead in the superficial flow;
        - ``bed``: "at rest", "settled", "held down" (the flow would lift it), "expanded", or "carried away";
        - ``pressure_drop_kpa`` over the settled bed, the liquid's weight apart; nan where the flow lifts it. S. Ergun (1952),
          Chem. Eng. Prog. 48, 89;
        - ``expansion_percent``: rise over the settled depth; nan where the bed stays or is carried away. J. F. Richardson,
          W. N. Zaki (1954), Trans. Inst. Chem. Eng. 32, 35;
        - ``onset_m_per_h``: an upflow of the liquid lifts a bed that nothing holds from here on. C. Y. Wen, Y. H. Yu (1966),
          AIChE J. 12, 610; its data spread by 34 %;
        - ``carries_away_from_m_per_h``: an upflow takes the beads out of the vessel from here on (Richardson and Zaki);
        - ``terminal_m_per_h``: one bead settles as fast. N.-S. Cheng (2009), Powder Technology 189, 395;
        - ``front``: "stable" or "fingers" where the liquid pushes out another, else "none"; ``front_critical_m_per_h``: where
          it changes between the two, nan if at no velocity. S. Hill (1952), Chem. Eng. Sci. 1, 247;
        - ``notes``: what the numbers should be read with, laws used outside their range among it; sentences, in the units of
          :func:`set_display_units`.

    Raises
    ------
    InputError
        For a case that is not valid.

    Examples
    --------
    >>> import brinefront as bf
    >>> table = bf.hydraulics(bf.default_case()).set_index("step")
    >>> table.loc["brine", ["way", "bed"]].to_list()
    ['up', 'held down']
    """
    return hydraulics_frame(_core.hydraulics(case), case)


def hydraulics_frame(rows: Sequence[dict[str, Any]], case: Case) -> pd.DataFrame:
    """The rows of the native half as a table with its labels."""
    need("pandas", "tables")
    import pandas as pd

    frame = pd.DataFrame([of_native(row) for row in rows], columns=list(COLUMNS))
    with display.shown_for(case):
        frame["notes"] = [tuple(map(display.said, notes)) for notes in frame["notes"]]
    return labelled(frame, "hydraulics of each step", case)
