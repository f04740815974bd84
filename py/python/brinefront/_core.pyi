# Written by `py/stubs.py`; change that, or the signatures and docstrings in `py/src`.
"""Native half of brinefront; import `brinefront` instead.

A free-threaded Python turns its lock on when it loads this module, and says so in a `RuntimeWarning`: what the module
holds is frozen and a run releases the interpreter, but it has not been tested without the lock."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from typing import Any, ClassVar, Final, Literal, SupportsIndex, TypeAlias, final

from brinefront.native.enumerations import BrineWater, Direction, Outcome, StopReason
from brinefront.native.sayings import SearchEnd
from brinefront.results import Cycle, Run, SaltAccount
from brinefront.units.quantity import Number, Quantity

_Progress: TypeAlias = Callable[[int, int, int, float], object]
_Direction: TypeAlias = Direction | Literal["co-current", "counter-current"]
_Water: TypeAlias = BrineWater | Literal["soft", "feed"]
_Step: TypeAlias = Backwash | Brine | SlowRinse | FastRinse | Standby
_Found: TypeAlias = tuple[dict[str, Any] | None, dict[str, int], str]
_Compared: TypeAlias = tuple[list[Cycle], str, str, list[str], dict[str, int]]
__all__ = [
    "VERSION",
    "Backwash",
    "Bed",
    "Brine",
    "Case",
    "Display",
    "FastRinse",
    "Maldistribution",
    "PointStream",
    "Rates",
    "Recipe",
    "Regeneration",
    "Resin",
    "Service",
    "Site",
    "SlowRinse",
    "Standby",
    "Water",
    "case_file",
    "compare",
    "compare_at_leakage",
    "convert_concentration",
    "convert_unit",
    "default_case",
    "diffusivity_sets",
    "efficiency_ceiling",
    "equilibrium",
    "fields",
    "figures",
    "hydraulics",
    "in_cases",
    "ions",
    "said_in_toml",
    "selectivity_sets",
    "sweep",
    "through_time",
    "unit_names",
    "waves",
]
VERSION: Final[str]

@final
class Backwash:
    """An upward wash: it replaces the void by its water and turns over the top of the bed.

    Parameters
    ----------
    flow_m_per_h : float or Quantity, optional
        Flow [m/h], 0.1 to 100; the regeneration's `backwash_flow_m_per_h` if none is given, else 15. If None: as the
        regeneration has it.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 600; the regeneration's `backwash_min` if no end is given, else 10. If None: as the
        volume asks.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], instead of a duration, 0.001 to 1000. If None: as the regeneration has it.
    mixing : float or Quantity, optional
        Fraction of the bed, from the top, that is turned over, 0 to 1; the regeneration's `backwash_mixing` if none is
        given, else 1. If None: as the regeneration has it.
    water : {"soft", "feed"}, optional
        Its water. If None: that of the brine for a slow rinse, the feed for a fast one and for a backwash.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or two ends.

    References
    ----------
    * M. L. Davis (2010), Water and Wastewater Engineering, Table 8-2: 12 to 20 m/h, 5 to 15 min."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        *,
        flow_m_per_h: Number | None = None,
        minutes: Number | None = None,
        volume_bv: Number | None = None,
        mixing: Number | None = None,
        water: str | None = None,
        **amounts: str | Quantity,
    ) -> Backwash: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def flow_m_per_h(self, /) -> float | None:
        """Flow [m/h]; the regeneration's `backwash_flow_m_per_h` if none is given, else 15."""

    @classmethod
    def from_json(cls, /, text: str) -> Backwash:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]; the regeneration's `backwash_min` if no end is given, else 10."""

    @property
    def mixing(self, /) -> float | None:
        """Fraction of the bed, from the top, that is turned over; the regeneration's `backwash_mixing` if none is given, else 1."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes], instead of a duration."""

    @property
    def water(self, /) -> _Water | None:
        """Its water."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Bed:
    """A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`.

    Parameters
    ----------
    depth_m : float or Quantity, optional
        Depth of the bed [m], 0.01 to 20.
    diameter_m : float or Quantity, optional
        Inner diameter of the vessel [m], 0.005 to 20.
    volume_l : float or Quantity, optional
        Volume of resin [L], sodium form, backwashed and settled, 1e-3 to 1e6: one bed volume.
    held_down : bool, optional
        Whether the bed is kept from rising when brine or rinse goes up through it. It is packed full, held by an inert
        layer or by a blocking flow; a backwash raises it all the same. Where it is not said, an upflow may lift the
        bed, and figures that take it as packed say so first. If None: an upflow may lift the bed.
    lifted_mixing : {"none", "dispersion", "full"}, default "none"
        How beads mix in a step that lifts a bed that is not held down: not at all, by dispersion with
        `solid_mixing_m2_per_s`, or the lifted part mixed through. Source: No mixing unless given (choice, no source).
    solid_mixing_m2_per_s : float or Quantity, optional
        Coefficient with which beads wander in a lifted bed [m2/s], 1e-12 to 1e3. If None: none: no default exists,
        because no source was found.
    freeboard_l : float or Quantity, default 0.0
        Liquid between the bed and the top of the vessel [L], 0 to ten bed volumes; ideally stirred, a height times the
        section. 0 leaves it out. Source: Left out unless given; with it, an ideal mixer (choice, no source).
    under_bed_l : float or Quantity, default 0.0
        Liquid below the bed, around the lower collector and in a support layer [L], 0 to ten bed volumes; ideally
        stirred. 0 leaves it out. Source: Left out unless given; with it, an ideal mixer (choice, no source).
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or one or three dimensions instead of two.

    Notes
    -----
    What enters goes through the space at its end, the bed, and the other; spaces keep what they hold through stops and
    reversals. A leakage limit, and a rinse that ends on what leaves, are armed once as much as void and spaces hold has
    been delivered. A backwash replaces what they hold, as it does the void.

    Examples
    --------
    >>> import brinefront as bf
    >>> bed = bf.Bed(depth_m=0.9, diameter_m=0.4)
    >>> round(bed.volume_l, 1)
    113.1"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        depth_m: Number | None = None,
        diameter_m: Number | None = None,
        *,
        volume_l: Number | None = None,
        held_down: bool | None = None,
        lifted_mixing: str = "none",
        solid_mixing_m2_per_s: Number | None = None,
        freeboard_l: Number = 0.0,
        under_bed_l: Number = 0.0,
        **amounts: str | Quantity,
    ) -> Bed: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def depth_m(self, /) -> float:
        """Depth of the bed [m]."""

    @property
    def diameter_m(self, /) -> float:
        """Inner diameter of the vessel [m]."""

    @property
    def freeboard_l(self, /) -> float:
        """Liquid between the bed and the top of the vessel [L]; ideally stirred, a height times the section.

        0 leaves it out."""

    @classmethod
    def from_json(cls, /, text: str) -> Bed:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def held_down(self, /) -> bool | None:
        """Whether the bed is kept from rising when brine or rinse goes up through it.

        It is packed full, held by an inert layer or by a blocking flow; a backwash raises it all the same. Where it is not
        said, an upflow may lift the bed, and figures that take it as packed say so first."""

    @property
    def lifted_mixing(self, /) -> str:
        """How beads mix in a step that lifts a bed that is not held down: not at all, by dispersion with `solid_mixing_m2_per_s`, or the lifted part mixed through."""

    @property
    def solid_mixing_m2_per_s(self, /) -> float | None:
        """Coefficient with which beads wander in a lifted bed [m2/s]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def under_bed_l(self, /) -> float:
        """Liquid below the bed, around the lower collector and in a support layer [L]; ideally stirred.

        0 leaves it out."""

    @property
    def volume_l(self, /) -> float:
        """Volume of resin [L], sodium form, backwashed and settled: one bed volume."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Brine:
    """Brine through the bed.

    Its volume is its `share` of what the dose makes at the brine's strength, or `volume_bv`, or `minutes` at its flow,
    whatever the dose; brine steps that say none of these share equally what the others leave of the dose.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity, optional
        Flow [bed volumes per hour], 0.05 to 100; the regeneration's if none is given. If None: as the regeneration has
        it.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service; the regeneration's if none is given. If None: as the regeneration has it; a fast
        rinse goes with service.
    share : float or Quantity, optional
        Share of the dose, 0.001 to 1. If None: the rest of the dose.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], whatever the dose, 0.001 to 100. If None: as the regeneration has it.
    minutes : float or Quantity, optional
        Duration [min], whatever the dose, 0.01 to 1e5. If None: as the volume asks.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or more than one of share, volume and duration."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        *,
        flow_bv_per_h: Number | None = None,
        direction: str | None = None,
        share: Number | None = None,
        volume_bv: Number | None = None,
        minutes: Number | None = None,
        **amounts: str | Quantity,
    ) -> Brine: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service; the regeneration's if none is given."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour]; the regeneration's if none is given."""

    @classmethod
    def from_json(cls, /, text: str) -> Brine:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min], whatever the dose."""

    @property
    def share(self, /) -> float | None:
        """Share of the dose."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes], whatever the dose."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Case:
    """A water, a resin, a bed, a service run and a regeneration: everything one simulation needs.

    Parameters
    ----------
    water : Water
        The feed.
    resin : Resin
        The resin.
    bed : Bed
        The bed.
    service : Service
        The service run.
    regeneration : Regeneration
        The regeneration.
    name : str, optional
        What the case is called. If None: no name.
    cells : int, "auto" or Quantity, optional
        Cells along the bed, or "auto", as it is unless given, 4 to 20000: 72 cells and more (50 for a single run), to
        at most 800, until the numerical error is likely to be within `accuracy`. Source: As many as the accuracy asks
        for (choice, no source).
    accuracy : float or Quantity, optional
        Numerical error aimed at in leakages where cells are found automatically, as a share of them, 1e-4 to 0.5; 0.01
        if None; run length and capacity are held to a tenth of it. A grid will do if half of its difference from one
        with half the cells is within: so are the true errors of nine beds in ten (measured on this model). What is
        stated beside a figure nearly all keep, and is larger. Source: A leakage is titrated to a few per cent at best
        (common practice, no source).
    kinetics : {"lumped", "equilibrium", "interdiffusion", "radial"}, default "lumped"
        How exchange is limited: beads in equilibrium with the liquid around them, film and bead as two resistances in
        series; or every ion at its own diffusivity by Nernst-Planck, between a core and a layer of each bead or in
        beads cut into `shells`. Source: The level of detail that is taken where none is given (choice, no source).
    shells : int, "fitted" or Quantity, optional
        Shells in a bead where kinetics are radial, 2 to 100: "fitted" unless given, a ladder of ten that follows a
        sphere's uptake, or the number of an ordinary grid, whose error falls with its square. Source: A ladder fitted
        to the sphere's answer (J. Crank 1975, The Mathematics of Diffusion, sec. 6.3), within 0.003 % of a sphere's
        uptake where ions have one diffusivity, up to 0.6 % of the capacity where one is ten times as fast; the idea by
        V. Druskin, L. Knizhnerman (2000), SIAM J. Numer. Anal. 37, 403, from memory.
    activity : {"ideal", "davies", "pitzer"}, default "ideal"
        Activity coefficients of each cell's own liquid: 1, by Davies to an ionic strength of 0.5 mol/kg, or by Pitzer,
        also in brine. Source: Every coefficient 1; the default resin was fitted to practice with an ideal liquid
        (choice, no source).
    tolerance : float or Quantity, optional
        Error allowed in one time step, relative to the bed's capacity and to the larger normality in the bed, 1e-7 to
        0.1; 3e-4 if None. Source: What time steps add on 100 cells: half of 28 beds have run length and capacity within
        0.003 %, half-run leakages within 0.03 % and mean ones within 0.03 %, nine in ten within 0.01, 0.3 and 1.3 %
        (measured on this model) (choice, no source).
    most_cycles : int or Quantity, optional
        Cycles after which the search for one that repeats itself is given up, 2 to 10000; 60 if None. Source: Most beds
        settle in 4 to 10 (measured on this model); what has not in 60 oscillates, or wants a smaller tolerance (choice,
        no source).
    hardness_ions : sequence of str, optional
        The divalent cations that count as hardness. Source: Hardness is calcium and magnesium.
    maldistribution : Maldistribution, optional
        How unevenly water goes through the bed; evenly without.
    rates : Rates, optional
        Rates that replace a correlation; all are correlated by default.
    recipe : Recipe, optional
        The steps between two service runs. If None: the regeneration's own: backwash where it has one, brine, slow
        rinse, fast rinse.
    site : Site, optional
        Where the softener stands; without it there are no figures per week.
    display : Display, optional
        How figures are shown to a reader; in metric and in trade units without.

    Raises
    ------
    InputError
        For parts that do not fit each other, or a value out of limits.

    See Also
    --------
    default_case : The built-in scenario.
    compare : A case against its mirror, or several cases.

    References
    ----------
    * Lumped: E. Glueckauf (1955), Trans. Faraday Soc. 51, 1540.
    * Radial: F. Helfferich, M. S. Plesset (1958), J. Chem. Phys. 28, 418, from memory.
    * Davies: C. W. Davies (1962), Ion Association, second-hand.
    * Pitzer: C. E. Harvie, N. Moller, J. H. Weare (1984), Geochim. Cosmochim. Acta 48, 723, at 25 C.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.Case(
    ...     bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 28.0}, temperature_c=15.0),
    ...     bf.Resin(),
    ...     bf.Bed(depth_m=0.9, diameter_m=0.4, held_down=True),
    ...     bf.Service(20.0, limit_mg_per_l_caco3=17.0),
    ...     bf.Regeneration("counter-current", 96.0),
    ...     cells=20,
    ... )
    >>> cycle = case.cycle()
    >>> cycle.stop_reason
    'leakage limit'"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        water: Water,
        resin: Resin,
        bed: Bed,
        service: Service,
        regeneration: Regeneration,
        *,
        name: str | None = None,
        cells: int | Quantity | Literal["auto"] | None = None,
        accuracy: Number | None = None,
        kinetics: str = "lumped",
        shells: int | Quantity | Literal["fitted"] | None = None,
        activity: str = "ideal",
        tolerance: Number | None = None,
        most_cycles: int | Quantity | None = None,
        hardness_ions: Sequence[str] | None = None,
        maldistribution: Maldistribution | None = None,
        rates: Rates | None = None,
        recipe: Recipe | None = None,
        site: Site | None = None,
        display: Display | None = None,
    ) -> Case: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def accuracy(self, /) -> float:
        """Numerical error aimed at in leakages where cells are found automatically, as a share of them; run length and capacity are held to a tenth of it.

        A grid will do if half of its difference from one with half the cells is within: so are the true errors of nine
        beds in ten (measured on this model). What is stated beside a figure nearly all keep, and is larger."""

    @property
    def activity(self, /) -> str:
        """Activity coefficients of each cell's own liquid: 1, by Davies to an ionic strength of 0.5 mol/kg, or by Pitzer, also in brine."""

    @property
    def bed(self, /) -> Bed:
        """The bed."""

    @property
    def cells(self, /) -> int | Literal["auto"]:
        """Cells along the bed, or "auto", as it is unless given: 72 cells and more (50 for a single run), to at most 800, until the numerical error is likely to be within `accuracy`."""

    def cycle(self, /, *, progress: _Progress | None = None) -> Cycle:
        """Run to the cyclic steady state.

        Parameters
        ----------
        progress : callable, optional
            Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.

        Returns
        -------
        Cycle
            The cycle that repeats itself, `settled` False if none was found.

        Raises
        ------
        InputError
            For a feed that holds no hardness, or a limit that is not below it.
        SolverError
            For a run that could not be carried through.

        See Also
        --------
        compare : Several strategies side by side.
        sweep : A grid of cases.

        Examples
        --------
        >>> import brinefront as bf
        >>> cycle = bf.default_case().replace({"cells": 20}).cycle()
        >>> cycle.settled, round(cycle.run_length_bv)
        (True, 134)"""

    def cycles(self, /, n: int, *, progress: _Progress | None = None) -> list[Cycle]:
        """Run a number of cycles from new resin.

        Parameters
        ----------
        n : int
            How many, at least 1.
        progress : callable, optional
            Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.

        Returns
        -------
        list of Cycle
            The first cycle first.

        Raises
        ------
        InputError
            For a feed that holds no hardness, or a limit that is not below it.
        SolverError
            For a run that could not be carried through."""

    @property
    def display(self, /) -> Display | None:
        """How figures are shown to a reader; in metric and in trade units without."""

    def elute(
        self,
        /,
        from_loading: Mapping[str, Number] | str,
        volume_bv: Number,
        normality_eq_per_l: Number,
        *,
        progress: _Progress | None = None,
    ) -> Run:
        """One elution with the salt alone, at the brine's flow and direction.

        Parameters
        ----------
        from_loading : mapping of str to float or Quantity, or "feed"
            The resin's loading as equivalent fractions by ion, which sum to 1, or in equilibrium with the feed.
        volume_bv : float or Quantity
            Throughput [bed volumes], above 0 to 1e7.
        normality_eq_per_l : float or Quantity
            Total normality at the inlet [eq/L], above 0 to 20.
        progress : callable, optional
            Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.

        Returns
        -------
        Run
            The effluent by throughput, and the loading along the bed at the end.

        Raises
        ------
        InputError
            For a loading, a volume or a normality that is not allowed.
        SolverError
            For a run that could not be carried through.

        See Also
        --------
        Case.load : The loading run.

        Examples
        --------
        >>> import brinefront as bf
        >>> run = bf.default_case().replace({"cells": 20}).elute("feed", 4.0, 1.7)
        >>> list(run.effluent().columns)
        ['bv', 'Na', 'Mg', 'Ca', 'hardness_mg_per_l_caco3']"""

    @property
    def feed_hardness_mg_per_l_caco3(self, /) -> float:
        """Hardness of the feed [mg/L as CaCO3], from the ions that count as hardness here."""

    @classmethod
    def from_json(cls, /, text: str) -> Case:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @classmethod
    def from_toml(cls, /, text_or_path: str | PathLike[str]) -> Case:
        """Read a case from a TOML file, or from the text of one.

        Parameters
        ----------
        text_or_path : str or path
            The file, or what `to_toml` returned: a text with a line break or an equals sign is no path.

        Returns
        -------
        Case
            The case, checked.

        Raises
        ------
        CaseFileNotFoundError
            For a file that does not exist.
        CaseFileAccessError
            For a file that cannot be read, is longer than a megabyte or is not UTF-8.
        CaseFileError
            For a text that cannot be understood; line and key are named.
        InputError
            For a value out of limits.

        Notes
        -----
        A field's name without its unit takes a text with one: `dose = "8 lb/ft3"` in the place of `dose_g_per_l`, also
        `"10 lb"`, `flow = "60 gpm"` or `volume = "10000 gal"`, by the bed of the case.

        Examples
        --------
        >>> import brinefront as bf
        >>> case = bf.default_case()
        >>> bf.Case.from_toml(case.to_toml()) == case
        True"""

    @property
    def hardness_ions(self, /) -> tuple[str, ...]:
        """The divalent cations that count as hardness."""

    @property
    def kinetics(self, /) -> str:
        """How exchange is limited: beads in equilibrium with the liquid around them, film and bead as two resistances in series; or every ion at its own diffusivity by Nernst-Planck, between a core and a layer of each bead or in beads cut into `shells`."""

    def load(
        self, /, from_loading: Mapping[str, Number] | str, volume_bv: Number, *, progress: _Progress | None = None
    ) -> Run:
        """One loading run with the feed, at the service flow and without a limit.

        Parameters
        ----------
        from_loading : mapping of str to float or Quantity, or "feed"
            The resin's loading as equivalent fractions by ion, which sum to 1, or in equilibrium with the feed.
        volume_bv : float or Quantity
            Throughput [bed volumes], above 0 to 1e7.
        progress : callable, optional
            Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.

        Returns
        -------
        Run
            The effluent by throughput, and the loading along the bed at the end.

        Raises
        ------
        InputError
            For a loading or a volume that is not allowed.
        SolverError
            For a run that could not be carried through.

        See Also
        --------
        Case.elute : The way back.

        Examples
        --------
        >>> import brinefront as bf
        >>> run = bf.default_case().replace({"cells": 20}).load({"Na": 1.0}, 50.0)
        >>> float(run.effluent()["bv"].iloc[-1])
        50.0"""

    @property
    def maldistribution(self, /) -> Maldistribution | None:
        """How unevenly water goes through the bed; evenly without."""

    def mirrored(self, /) -> Case:
        """The mirror of this case: the brine in the other direction, with the backwash that direction has.

        Brine and slow rinses of a recipe change direction, fast rinses stay. Every backwash of a co-current recipe
        turns the whole bed over, and one is put first where there is none; a counter-current recipe has none.

        Returns
        -------
        Case
            With everything else equal."""

    @property
    def most_cycles(self, /) -> int:
        """Cycles after which the search for one that repeats itself is given up."""

    @property
    def name(self, /) -> str | None:
        """What the case is called."""

    @property
    def rates(self, /) -> Rates:
        """Rates that replace a correlation; all are correlated by default."""

    @property
    def recipe(self, /) -> Recipe | None:
        """The steps between two service runs."""

    @property
    def regeneration(self, /) -> Regeneration:
        """The regeneration."""

    def replace(self, /, changes: Mapping[str, Any]) -> Case:
        """The case with fields changed by their dotted names, all at once.

        Parameters
        ----------
        changes : mapping of str to object
            New values by name, `{"regeneration.dose_g_per_l": 120.0}`. None takes an optional field away, and a whole
            part may be given: `{"water": Water(...)}`. Steps of a recipe are counted from 0:
            `{"recipe.1.flow_bv_per_h": 2.0}`. Quantities are converted; where the bed stays as it is, volumes and flows
            of water are divided by its volume. A name without its unit takes a text with one:
            `{"regeneration.dose": "8 lb/ft3"}`.

        Returns
        -------
        Case
            A new case; this one stays as it is.

        Raises
        ------
        InputError
            For a name that is not there, or a value that its field does not allow.

        Examples
        --------
        >>> import brinefront as bf
        >>> case = bf.default_case().replace({"regeneration.dose_g_per_l": 120.0, "service.volume_bv": None})
        >>> case.regeneration.dose_g_per_l, case.service.volume_bv
        (120.0, None)"""

    @property
    def resin(self, /) -> Resin:
        """The resin."""

    def salt_account(self, /, order: str = "ladder", *, progress: _Progress | None = None) -> SaltAccount:
        """Where the salt of a regeneration went: beds that gain one effect after the other, each at its own steady cycle.

        A metered end of service is set aside: every run goes to the limit of the case, or to 17 mg/L as CaCO3, one
        grain a gallon, where it has none.

        Parameters
        ----------
        order : {"ladder", "shapley"}, default "ladder"
            Each effect is charged what it adds to those before it, or the mean over all orders of at most six effects.
        progress : callable, optional
            Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.

        Returns
        -------
        SaltAccount
            Shares [g of salt per litre of resin] that sum to the dose.

        Raises
        ------
        InputError
            For an order that is not there, too many effects for all orders, or a feed that never exceeds the limit.
        SolverError
            For a run that could not be carried through.

        Examples
        --------
        >>> import brinefront as bf
        >>> account = bf.default_case().replace({"cells": 10}).salt_account()
        >>> round(sum(share.share_g_per_l for share in account.shares), 6)
        96.0"""

    @property
    def service(self, /) -> Service:
        """The service run."""

    @property
    def shells(self, /) -> int | Literal["fitted"]:
        """Shells in a bead where kinetics are radial: "fitted" unless given, a ladder of ten that follows a sphere's uptake, or the number of an ordinary grid, whose error falls with its square."""

    @property
    def site(self, /) -> Site | None:
        """Where the softener stands; without it there are no figures per week."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    def to_toml(self, /) -> str:
        """The case as the text of a TOML file.

        Returns
        -------
        str
            What `from_toml` reads."""

    @property
    def tolerance(self, /) -> float:
        """Error allowed in one time step, relative to the bed's capacity and to the larger normality in the bed."""

    @property
    def water(self, /) -> Water:
        """The feed."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Display:
    """How the figures of a case are shown to a reader; it enters no computation.

    Parameters
    ----------
    units : {"metric", "us", "both"}
        Units of tables, pictures and reports; names of figures and data for machines stay as they are.

    Raises
    ------
    InputError
        For units that are none of the choices.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.default_case().replace({"display": bf.Display("us")}).display
    Display(units='us')"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, units: str) -> Display: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Display:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def units(self, /) -> str:
        """Units of tables, pictures and reports; names of figures and data for machines stay as they are."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class FastRinse:
    """Rinse to service quality.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity, optional
        Flow [bed volumes per hour], 0.05 to 500. A slow rinse keeps that of the brine before it, or takes the
        regeneration's `flow_bv_per_h`; a fast one takes `fast_rinse_flow_bv_per_h`. If None: as the regeneration has
        it.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service. A slow rinse keeps that of the brine before it, or takes the regeneration's; a
        fast one goes with service. If None: as the regeneration has it; a fast rinse goes with service.
    water : {"soft", "feed"}, optional
        Its water. A slow rinse takes the regeneration's `slow_rinse_water`, or that of the brine; a fast one the feed.
        If None: that of the brine for a slow rinse, the feed for a fast one and for a backwash.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 1000; the regeneration's `slow_rinse_bv` or `fast_rinse_bv` if no end is given.
        If None: as the regeneration has it.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 1e5. If None: as the volume asks.
    until_hardness_mg_per_l_caco3 : float or Quantity, optional
        Effluent hardness that ends it [mg/L as CaCO3], armed once one void volume has left, 1e-6 to 1e6. If None: ends
        on volume or time.
    until_chloride_mg_per_l : float or Quantity, optional
        Effluent chloride that ends it [mg/L], armed likewise, 1e-3 to 1e6. If None: ends on volume or time.
    at_most_bv : float or Quantity, optional
        Volume at which it ends all the same, if it ends on what leaves [bed volumes], 0.001 to 1000; must then be
        given. If None: ends on volume or time.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or more than one end."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        *,
        flow_bv_per_h: Number | None = None,
        direction: str | None = None,
        water: str | None = None,
        volume_bv: Number | None = None,
        minutes: Number | None = None,
        until_hardness_mg_per_l_caco3: Number | None = None,
        until_chloride_mg_per_l: Number | None = None,
        at_most_bv: Number | None = None,
        **amounts: str | Quantity,
    ) -> FastRinse: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def at_most_bv(self, /) -> float | None:
        """Volume at which it ends all the same, if it ends on what leaves [bed volumes]; must then be given."""

    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service.

        A slow rinse keeps that of the brine before it, or takes the regeneration's; a fast one goes with service."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour].

        A slow rinse keeps that of the brine before it, or takes the regeneration's `flow_bv_per_h`; a fast one takes
        `fast_rinse_flow_bv_per_h`."""

    @classmethod
    def from_json(cls, /, text: str) -> FastRinse:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def until_chloride_mg_per_l(self, /) -> float | None:
        """Effluent chloride that ends it [mg/L], armed likewise."""

    @property
    def until_hardness_mg_per_l_caco3(self, /) -> float | None:
        """Effluent hardness that ends it [mg/L as CaCO3], armed once one void volume has left."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]; the regeneration's `slow_rinse_bv` or `fast_rinse_bv` if no end is given."""

    @property
    def water(self, /) -> _Water | None:
        """Its water.

        A slow rinse takes the regeneration's `slow_rinse_water`, or that of the brine; a fast one the feed."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Maldistribution:
    """Uneven flow through the section of a bed, as stream tubes that run its whole depth and do not mix.

    Either a log-normal `spread` over `tubes` of equal area, each with the mean flow of its share of the section; or two
    tubes, of which the fast one has `fast_flow_share` of the flow in `fast_area_share` of the area. What leaves is
    mixed by flow.

    Parameters
    ----------
    spread : float or Quantity, optional
        Standard deviation of the logarithm of the flow, 0 to 1; 0 is even. If None: flow is even.
    tubes : int or Quantity, optional
        Tubes of the log-normal spread, 1 to 20; 5 if None; each has the mean flow of its share of the section. The
        finer a log-normal is cut, the faster is its fastest tube, which decides a run to a low limit: in the built-in
        scenario, to 17 of 299 mg/L and at a spread of 0.2, 20 tubes run 6 % shorter than 5. Source: What a bed takes up
        is within 0.3 % of that of many tubes (measured on this model); a run to a low limit depends on how finely the
        spread is cut (choice, no source).
    fast_flow_share : float or Quantity, optional
        Share of the flow in the fast tube, 1e-3 to 0.999; at least its share of the area. If None: no fast tube.
    fast_area_share : float or Quantity, optional
        Share of the area that the fast tube has, 1e-3 to 0.999. If None: no fast tube.
    correlation : float or Quantity, default 1.0
        Correlation of service and regenerant flows over the area, 0 to 1; that share of the bed has the same rank in
        both. Source: What makes a tube fast, a collector that draws on one side or beads packed loosely, is there in
        both (choice, no source).

    Raises
    ------
    InputError
        For a value out of limits, or neither or both of the two ways.

    Notes
    -----
    The tail of a log-normal is cut finer by more tubes: a run to a low limit, which the fastest tube decides, becomes
    shorter with them. Service and fast rinse go by the tubes' service flows, brine and slow rinse by their regenerant
    flows, which have the same distribution. A correlation of 1 takes n tubes, a smaller one n x n; the time of a run
    rises with them.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.Maldistribution(fast_flow_share=0.5, fast_area_share=0.25).stream_tubes()
    [(0.75, 0.6666666666666666, 0.6666666666666666), (0.25, 2.0, 2.0)]"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        spread: Number | None = None,
        *,
        tubes: int | Quantity | None = None,
        fast_flow_share: Number | None = None,
        fast_area_share: Number | None = None,
        correlation: Number = 1.0,
    ) -> Maldistribution: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def correlation(self, /) -> float:
        """Correlation of service and regenerant flows over the area; that share of the bed has the same rank in both."""

    @property
    def fast_area_share(self, /) -> float | None:
        """Share of the area that the fast tube has."""

    @property
    def fast_flow_share(self, /) -> float | None:
        """Share of the flow in the fast tube; at least its share of the area."""

    @classmethod
    def from_json(cls, /, text: str) -> Maldistribution:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def spread(self, /) -> float | None:
        """Standard deviation of the logarithm of the flow; 0 is even."""

    def stream_tubes(self, /) -> list[tuple[float, float, float]]:
        """Every stream tube: share of the area, and velocities over the mean of the section.

        Returns
        -------
        list of tuple of float
            Share of the area, velocity in service and velocity of the regenerant of each tube, the velocities over the
            mean."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def tubes(self, /) -> int:
        """Tubes of the log-normal spread; each has the mean flow of its share of the section.

        The finer a log-normal is cut, the faster is its fastest tube, which decides a run to a low limit: in the built-in
        scenario, to 17 of 299 mg/L and at a spread of 0.2, 20 tubes run 6 % shorter than 5."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class PointStream:
    """A grid of cases that hands over one point after the other while a thread of its own computes the next.

    Closing it, or dropping the last reference to it, ends that thread before it returns."""

    def __iter__(self, /) -> PointStream: ...
    def __len__(self, /) -> int:
        """How many points the grid has."""

    def __new__(cls, /, case: Case, axes: dict[str, list[Any]], threads: int | None) -> PointStream: ...
    def __next__(self, /) -> tuple[int, _Found]:
        """Place, figures, effort and error of the next point; a signal, or an error of the sweep itself, is raised and ends it."""

    def close(self, /) -> None:
        """End the sweep; an error that ended it before is raised. Nothing happens the second time."""

@final
class Rates:
    """Given rates; what is None is correlated. A given rate holds in every step.

    Parameters
    ----------
    film_per_s : float or Quantity, optional
        Film rate kf_a [1/s], per volume of bed, 1e-8 to 1e8. If None: by the correlation.
    film_correlation : {"gnielinski", "carberry", "wilson-geankoplis", "wakao"}, default "gnielinski"
        Correlation of the film, where no rate is given. Source: Its range holds the slow flow of a brine as well as
        service (choice, no source).
    film_diffusion : {"mean", "by-ion"}, default "mean"
        One diffusivity for all ions in the film, or each its own, held together by electroneutrality. Source: One
        diffusivity for all ions, the mean of the feed's hardness; the field that couples ions is left out (choice, no
        source).
    bead_per_s : float or Quantity, optional
        Bead rate kb [1/s], 1e-8 to 1e8. If None: from diffusivity and diameter of the bead.
    dispersion_m2_per_s : float or Quantity, optional
        Interstitial dispersion D [m2/s], 0 to 1. If None: by S. F. Chung, C. Y. Wen (1968).
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or a name that is not there.

    References
    ----------
    * Bead: E. Glueckauf (1955), Trans. Faraday Soc. 51, 1540.
    * Dispersion: S. F. Chung, C. Y. Wen (1968), AIChE J. 14, 857, second-hand in three unlike forms.
    * Film: V. Gnielinski (1981), Int. Chem. Eng. 21, 378; J. J. Carberry (1960), AIChE J. 6, 460, from memory; E. J.
      Wilson, C. J. Geankoplis (1966), Ind. Eng. Chem. Fundam. 5, 9; N. Wakao, T. Funazkri (1978), Chem. Eng. Sci. 33,
      1375.
    * By ion: F. Helfferich (1962), Ion Exchange, ch. 6, from memory.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.Rates(dispersion_m2_per_s=0.0)
    Rates(dispersion_m2_per_s=0.0)"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        *,
        film_per_s: Number | None = None,
        film_correlation: str = "gnielinski",
        film_diffusion: str = "mean",
        bead_per_s: Number | None = None,
        dispersion_m2_per_s: Number | None = None,
        **amounts: str | Quantity,
    ) -> Rates: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def bead_per_s(self, /) -> float | None:
        """Bead rate kb [1/s]."""

    @property
    def dispersion_m2_per_s(self, /) -> float | None:
        """Interstitial dispersion D [m2/s]."""

    @property
    def film_correlation(self, /) -> str:
        """Correlation of the film, where no rate is given."""

    @property
    def film_diffusion(self, /) -> str:
        """One diffusivity for all ions in the film, or each its own, held together by electroneutrality."""

    @property
    def film_per_s(self, /) -> float | None:
        """Film rate kf_a [1/s], per volume of bed."""

    @classmethod
    def from_json(cls, /, text: str) -> Rates:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Recipe:
    """The steps between two service runs, in the order given.

    Parameters
    ----------
    steps : iterable of Backwash, Brine, SlowRinse, FastRinse or Standby
        The steps, at least one of them a brine. What a step leaves out is taken from the case's regeneration.

    Raises
    ------
    InputError
        For something that is no such step, or no brine.

    See Also
    --------
    Regeneration.recipe : The recipe that a regeneration stands for.

    Examples
    --------
    >>> import brinefront as bf
    >>> pause = bf.Recipe([bf.Brine(share=0.5), bf.Standby(20.0), bf.Brine(), bf.SlowRinse(), bf.FastRinse()])
    >>> len(pause), pause[1]
    (5, Standby(minutes=20.0))
    >>> case = bf.default_case().replace({"recipe": pause})"""

    def __eq__(self, value: object, /) -> bool: ...
    def __getitem__(self, index: SupportsIndex, /) -> _Step: ...
    def __len__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, steps: Iterable[_Step]) -> Recipe: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Recipe:
        """Read a recipe from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Recipe
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def steps(self, /) -> tuple[_Step, ...]:
        """The steps, in their order."""

    def to_json(self, /) -> str:
        """The recipe as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Regeneration:
    """A regeneration: direction of the brine, salt, brine and rinses.

    Parameters
    ----------
    direction : {"co-current", "counter-current"}
        Direction of the brine, relative to service.
    dose_g_per_l : float or Quantity
        Pure salt per litre of packed resin [g/L], 1 to 2000.
    salt : {"NaCl", "KCl"}, default "NaCl"
        Formula of the salt. Source: Sodium chloride, the usual salt of softening (common practice, no source).
    strength_percent : float or Quantity, optional
        Strength of the brine [percent by weight], 0.1 to saturation at the water's temperature. If None: 10. Source:
        Within the 8 to 12 % that published co-current capacities are quoted for (common practice, no source).
    normality_eq_per_l : float or Quantity, optional
        Strength of the brine as normality of the salt alone [eq/L], 0.01 to 20. If None: the strength by weight
        decides.
    flow_bv_per_h : float or Quantity, optional
        Flow of the brine and the slow rinse [bed volumes per hour], 0.05 to 100; 3 if None. Source: No source is stated
        for it. At this flow small doses have less time than published capacities allow them (choice, no source).
    brine_water : {"soft", "feed"}, default "soft"
        The water that brine is made with: the feed softened, or raw. Source: Softened water (choice, no source).
    soft_water_leakage_mg_per_l_caco3 : float or Quantity, default 0.0
        Hardness left in the soft water [mg/L as CaCO3], 0 to 1e4. Source: None unless given (choice, no source).
    slow_rinse_bv : float or Quantity, optional
        Slow rinse [bed volumes], 0 to 100; 1.5 if None. Source: A usual volume (common practice, no source).
    fast_rinse_bv : float or Quantity, optional
        Fast rinse [bed volumes], 0 to 1000; 3 if None. Source: A usual volume (common practice, no source).
    fast_rinse_flow_bv_per_h : float or Quantity, optional
        Flow of the fast rinse [bed volumes per hour], 0.05 to 500; 12 if None. Source: A usual flow (common practice,
        no source).
    backwash_mixing : float or Quantity, optional
        Fraction of the bed, from the top, that the backwash turns over, 0 to 1. If None: 1 with a backwash, 0 without.
        Source: A backwash turns the whole bed over: an assumption. It spreads what the last brine left at the outlet
        over the bed (choice, no source).
    backwash_flow_m_per_h : float or Quantity, optional
        Backwash flow [m/h], 0.1 to 100. If None: 15. Source: 12 to 20 m/h: M. L. Davis (2010), Water and Wastewater
        Engineering, Table 8-2.
    backwash_min : float or Quantity, optional
        Backwash time [min], 0 to 600. If None: 10 co-current, none counter-current. Source: 5 to 15 min: M. L. Davis
        (2010), Table 8-2. None counter-current, so that the polished end of the bed stays where it is.
    salt_purity_percent : float or Quantity, optional
        Pure salt in the salt as sold [mass percent], 50 to 100; without, what the impurities leave, as chlorides. What
        is neither salt nor named in `salt_impurities_percent` stays behind in the brine tank. The dose is pure salt. If
        None: figures of the salt as sold are left out.
    salt_impurities_percent : mapping of str to float or Quantity, optional
        Other cations that dissolve with the salt [mass percent of the ion in the salt as sold], 0 to 20 each; they go
        with the brine as chlorides. The dose and the strength of the brine stay those of the pure salt. Source: Pure
        salt unless given (choice, no source).
    slow_rinse_water : {"soft", "feed"}, optional
        The water of the slow rinse. If None: that of the brine. Source: As the brine unless given (choice, no source).
    reclaim_from_bv : float or Quantity, optional
        Throughput from which the spent regenerant is kept [bed volumes since the first brine enters], 0 to 100; a mixed
        tank keeps it, and it comes ahead of the next regeneration's own brine. If None: no spent brine is kept.
    reclaim_to_bv : float or Quantity, optional
        Throughput to which it is kept [bed volumes], 0 to 100; above `reclaim_from_bv`. If None: no spent brine is
        kept.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or strength and normality given together.

    Examples
    --------
    >>> import brinefront as bf
    >>> regeneration = bf.Regeneration("counter-current", 96.0, strength_percent=10.0)
    >>> regeneration.mirrored().direction
    'co-current'"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        direction: str,
        dose_g_per_l: Number | None = None,
        *,
        salt: str = "NaCl",
        strength_percent: Number | None = None,
        normality_eq_per_l: Number | None = None,
        flow_bv_per_h: Number | None = None,
        brine_water: str = "soft",
        soft_water_leakage_mg_per_l_caco3: Number = 0.0,
        slow_rinse_bv: Number | None = None,
        fast_rinse_bv: Number | None = None,
        fast_rinse_flow_bv_per_h: Number | None = None,
        backwash_mixing: Number | None = None,
        backwash_flow_m_per_h: Number | None = None,
        backwash_min: Number | None = None,
        salt_purity_percent: Number | None = None,
        salt_impurities_percent: Mapping[str, Number] | None = None,
        slow_rinse_water: str | None = None,
        reclaim_from_bv: Number | None = None,
        reclaim_to_bv: Number | None = None,
        **amounts: str | Quantity,
    ) -> Regeneration: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def backwash_flow_m_per_h(self, /) -> float | None:
        """Backwash flow [m/h]."""

    @property
    def backwash_min(self, /) -> float | None:
        """Backwash time [min]."""

    @property
    def backwash_mixing(self, /) -> float | None:
        """Fraction of the bed, from the top, that the backwash turns over."""

    @property
    def brine_water(self, /) -> str:
        """The water that brine is made with: the feed softened, or raw."""

    @property
    def direction(self, /) -> _Direction:
        """Direction of the brine, relative to service."""

    @property
    def dose_g_per_l(self, /) -> float:
        """Pure salt per litre of packed resin [g/L]."""

    @property
    def fast_rinse_bv(self, /) -> float:
        """Fast rinse [bed volumes]."""

    @property
    def fast_rinse_flow_bv_per_h(self, /) -> float:
        """Flow of the fast rinse [bed volumes per hour]."""

    @property
    def flow_bv_per_h(self, /) -> float:
        """Flow of the brine and the slow rinse [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> Regeneration:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    def mirrored(self, /) -> Regeneration:
        """The other direction, all else equal.

        Returns
        -------
        Regeneration
            Co-current with a backwash that turns the bed over, counter-current without."""

    @property
    def normality_eq_per_l(self, /) -> float | None:
        """Strength of the brine as normality of the salt alone [eq/L]."""

    def recipe(self, /) -> Recipe:
        """The recipe that this regeneration stands for; its steps leave open what the regeneration has.

        Returns
        -------
        Recipe
            A backwash where it has one, brine, slow rinse, fast rinse."""

    @property
    def reclaim_from_bv(self, /) -> float | None:
        """Throughput from which the spent regenerant is kept [bed volumes since the first brine enters]; a mixed tank keeps it, and it comes ahead of the next regeneration's own brine."""

    @property
    def reclaim_to_bv(self, /) -> float | None:
        """Throughput to which it is kept [bed volumes]; above `reclaim_from_bv`."""

    @property
    def salt(self, /) -> str:
        """Formula of the salt."""

    @property
    def salt_g_per_eq(self, /) -> float:
        """Mass of one equivalent of the salt [g/eq]."""

    @property
    def salt_impurities_percent(self, /) -> dict[str, float]:
        """Other cations that dissolve with the salt [mass percent of the ion in the salt as sold]; they go with the brine as chlorides.

        The dose and the strength of the brine stay those of the pure salt."""

    @property
    def salt_purity_percent(self, /) -> float | None:
        """Pure salt in the salt as sold [mass percent]; without, what the impurities leave, as chlorides.

        What is neither salt nor named in `salt_impurities_percent` stays behind in the brine tank. The dose is pure salt."""

    @property
    def slow_rinse_bv(self, /) -> float:
        """Slow rinse [bed volumes]."""

    @property
    def slow_rinse_water(self, /) -> _Water | None:
        """The water of the slow rinse."""

    @property
    def soft_water_leakage_mg_per_l_caco3(self, /) -> float:
        """Hardness left in the soft water [mg/L as CaCO3]."""

    @property
    def strength_percent(self, /) -> float | None:
        """Strength of the brine [percent by weight]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Resin:
    """A strong-acid cation resin as packed in a bed; `Resin()` is a new gel resin with 8 % divinylbenzene.

    Parameters
    ----------
    capacity_eq_per_l : float or Quantity, optional
        Total capacity Q [eq per litre of packed bed], 0.1 to 5; 1.8 if None. Source: The low end of the 1.8 to 2.0 of
        M. L. Davis (2010), Water and Wastewater Engineering, ch. 8: new 8 % gel resin has 1.9 to 2.0 and loses 1 to 5 %
        a year. Within what its sources allow, resin defaults were chosen for the best fit to published co-current
        capacities.
    selectivity : mapping of str to float or Quantity, or str, optional
        Selectivity coefficients against sodium by ion, in the normality/capacity form, 0.001 to 1000; "BonnerSmith1957"
        if None; sodium is 1. Or the name of a published set. Source: Sulfonated polystyrene, chained to sodium as
        water-treatment textbooks do (Ca 2.61, Mg 1.66) and taken as measured on the beads themselves; per litre of bed
        Mg 2.7 and Ca 4.2, inside the 1.7 to 3.3 and 3 to 6 quoted for softening resin (from memory).
    crosslinking_percent : float or Quantity, optional
        Crosslinking [percent divinylbenzene]: the column of a named set; of diffusivities the nearest, up to 1 % away.
        If None: 8 where the set has it. Source: Divinylbenzene in the usual gel resin for softening (common practice,
        no source).
    selectivity_at_eq_per_l : float or Quantity, optional
        Normality [eq/L] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients
        were measured with concentrations, 1e-4 to 5. Without, they hold with activities. If None: selectivities hold as
        they are; with activities, at infinite dilution.
    selectivity_basis : {"bed", "bead"}, default "bed"
        Volume that the capacity in given selectivity coefficients is counted on; a set has its own. Source: Per litre
        of packed bed, as capacities are stated; a named set has its own (choice, no source).
    bead_diameter_mm : float or Quantity, optional
        Bead diameter [mm], 0.05 to 5; 0.5 if None. Source: Geometric mean of 20 to 50 mesh, 0.85 to 0.3 mm, that plants
        usually have (S. D. Lin, Water and Wastewater Calculations Manual, ch. 5).
    bead_sizes : sequence of pairs of float or Quantity, optional
        Sizes of bead [mm] with their shares of the volume, which sum to 1, 0.05 to 5; for radial kinetics alone. They
        lie behind one film. Hydraulics and dispersion keep to `bead_diameter_mm`. Source: One size of bead unless sizes
        are given; for radial kinetics alone (choice, no source).
    void_fraction : float or Quantity, optional
        Void fraction between the beads of the settled bed, 0.2 to 0.7; 0.38 if None. Source: Within 0.35 to 0.40
        (Perry's Chemical Engineers' Handbook, sec. 16).
    bead_diffusivity_m2_per_s : float or Quantity, or mapping of str to float or Quantity, or str, optional
        Diffusivity of the divalent ions inside the bead at 25 C [m2/s], or of each ion by its symbol, 1e-14 to 1e-8;
        2e-11 if None. Or the name of a published set. Source: The top of the bracket 5e-12 to 2e-11 around zinc
        (6.3e-12, G. E. Boyd, B. A. Soldano 1953), cadmium (8.4e-12, Oancea et al. 2006) and about a tenth of sodium;
        within it, the value that brings co-current capacity closest to published figures. No tabulated value for
        calcium or magnesium was found: the least certain constant here (from memory).
    bead_activation_kj_per_mol : float or Quantity, optional
        Activation energy of that diffusivity [kJ/mol], 0 to 100; 28 if None. Source: Two recalled self-diffusivities of
        sodium in a resin of 8.6 % divinylbenzene give 27.9 (G. E. Boyd, B. A. Soldano 1953, J. Am. Chem. Soc. 75,
        6091); two of zinc give 30.2. None was found for calcium or magnesium (from memory).
    sorbed_salt : bool, default False
        Whether the liquid inside the beads takes up salt, by Donnan's equilibrium, and gives it back late in the rinse.
        Source: Off unless given; with it, F. G. Donnan (1911), from memory (choice, no source).
    bead_water_fraction : float or Quantity, optional
        Water in a bead, as a share of its volume, 0.1 to 0.95; 0.59 if None. Source: Moisture of 0.46 by mass, the
        middle of 0.44 to 0.48 for gel beads with 8 % divinylbenzene in sodium form (F. Helfferich 1962, Ion Exchange,
        and handbooks), times a density of 1.28 (from memory).
    wet_bead_kg_per_m3 : float or Quantity, optional
        Density of a wet bead [kg/m3], for hydraulics, 900 to 2000; 1280 if None. Source: Near the middle of 1260 to
        1320 for gel beads in sodium form (F. Helfferich 1962, Ion Exchange, and handbooks) (from memory).
    age_years : float or Quantity, default 0.0
        Time in service [years], 0 to 50; capacity falls with it from `capacity_eq_per_l`, selectivity and rates stay.
        Source: New unless given (choice, no source).
    capacity_loss_percent_per_year : float or Quantity, optional
        Capacity lost in a year [percent of what the year began with], 0 to 50; 5 if None. Source: 5 % a year is normal,
        more means fouling or loss of resin (UFC 3-240-13FN 2005, sec. 2-2.5.1.4.1); 1 to 5 % by M. L. Davis (2010), ch.
        8. That the loss compounds is a choice, no source.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, an anion among the coefficients, or a set or column that is not there.

    References
    ----------
    * G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.Resin().capacity_eq_per_l
    1.8
    >>> old = bf.Resin(2.0, {"Ca": 4.0, "Mg": 2.5}, age_years=5.0)
    >>> round(old.aged_capacity_eq_per_l, 3)
    1.548"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        capacity_eq_per_l: Number | None = None,
        selectivity: Mapping[str, Number] | str | None = None,
        *,
        crosslinking_percent: Number | None = None,
        selectivity_at_eq_per_l: Number | None = None,
        selectivity_basis: str = "bed",
        bead_diameter_mm: Number | None = None,
        bead_sizes: Sequence[tuple[Number, Number]] | None = None,
        void_fraction: Number | None = None,
        bead_diffusivity_m2_per_s: Number | Mapping[str, Number] | str | None = None,
        bead_activation_kj_per_mol: Number | None = None,
        sorbed_salt: bool = False,
        bead_water_fraction: Number | None = None,
        wet_bead_kg_per_m3: Number | None = None,
        age_years: Number = 0.0,
        capacity_loss_percent_per_year: Number | None = None,
        **amounts: str | Quantity,
    ) -> Resin: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def age_years(self, /) -> float:
        """Time in service [years]; capacity falls with it from `capacity_eq_per_l`, selectivity and rates stay."""

    @property
    def aged_capacity_eq_per_l(self, /) -> float:
        """Total capacity after its years in service [eq per litre of packed bed]."""

    @property
    def bead_activation_kj_per_mol(self, /) -> float:
        """Activation energy of that diffusivity [kJ/mol]."""

    @property
    def bead_diameter_mm(self, /) -> float:
        """Bead diameter [mm]."""

    @property
    def bead_diffusivity_m2_per_s(self, /) -> float | dict[str, float] | str:
        """Diffusivity of the divalent ions inside the bead at 25 C [m2/s], or of each ion by its symbol.

        Or the name of a published set."""

    @property
    def bead_sizes(self, /) -> tuple[tuple[float, float], ...]:
        """Sizes of bead [mm] with their shares of the volume, which sum to 1; for radial kinetics alone.

        They lie behind one film. Hydraulics and dispersion keep to `bead_diameter_mm`."""

    @property
    def bead_water_fraction(self, /) -> float:
        """Water in a bead, as a share of its volume."""

    @property
    def capacity_eq_per_l(self, /) -> float:
        """Total capacity Q [eq per litre of packed bed]."""

    @property
    def capacity_loss_percent_per_year(self, /) -> float:
        """Capacity lost in a year [percent of what the year began with]."""

    @property
    def crosslinking_percent(self, /) -> float | None:
        """Crosslinking [percent divinylbenzene]: the column of a named set; of diffusivities the nearest, up to 1 % away."""

    @classmethod
    def from_json(cls, /, text: str) -> Resin:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def selectivity(self, /) -> dict[str, float] | str:
        """Selectivity coefficients against sodium by ion, in the normality/capacity form; sodium is 1.

        Or the name of a published set."""

    @property
    def selectivity_at_eq_per_l(self, /) -> float | None:
        """Normality [eq/L] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients were measured with concentrations.

        Without, they hold with activities."""

    @property
    def selectivity_basis(self, /) -> str:
        """Volume that the capacity in given selectivity coefficients is counted on; a set has its own."""

    @property
    def sorbed_salt(self, /) -> bool:
        """Whether the liquid inside the beads takes up salt, by Donnan's equilibrium, and gives it back late in the rinse."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def void_fraction(self, /) -> float:
        """Void fraction between the beads of the settled bed."""

    @property
    def wet_bead_kg_per_m3(self, /) -> float:
        """Density of a wet bead [kg/m3], for hydraulics."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Service:
    """The service run: its flow, and where it ends, at a leakage limit or a throughput, whichever is first.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity
        Flow [bed volumes per hour], 0.01 to 1000.
    limit_mg_per_l_caco3 : float or Quantity, optional
        Leakage that ends the run [mg/L as CaCO3], 1e-6 to 1e6; below the feed's hardness. One of limit and volume must
        be given. If None: no leakage limit: the volume ends the run.
    volume_bv : float or Quantity, optional
        Throughput that ends the run [bed volumes], 0.01 to 1e7. If None: no metered volume: the limit ends the run.
    service_flow : {"down", "up"}, default "down"
        Direction of service through the vessel. Source: From the top (common practice, no source).
    standby_hours : float or Quantity, optional
        Rest in the middle of the run [h], 1e-3 to 1e5; a limit is armed again one void volume after it. If None: no
        rest in the run.
    standby_after_bv : float or Quantity, optional
        Throughput after which it comes [bed volumes], 0.01 to 1e7; a run that ends before has none. If None: no rest in
        the run.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, a run without an end, or a rest without its place.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.Service(20.0, limit_mg_per_l_caco3=17.0)
    Service(flow_bv_per_h=20.0, limit_mg_per_l_caco3=17.0, service_flow='down')"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        flow_bv_per_h: Number | None = None,
        *,
        limit_mg_per_l_caco3: Number | None = None,
        volume_bv: Number | None = None,
        service_flow: str = "down",
        standby_hours: Number | None = None,
        standby_after_bv: Number | None = None,
        **amounts: str | Quantity,
    ) -> Service: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def flow_bv_per_h(self, /) -> float:
        """Flow [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> Service:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def limit_mg_per_l_caco3(self, /) -> float | None:
        """Leakage that ends the run [mg/L as CaCO3]; below the feed's hardness.

        One of limit and volume must be given."""

    @property
    def service_flow(self, /) -> str:
        """Direction of service through the vessel."""

    @property
    def standby_after_bv(self, /) -> float | None:
        """Throughput after which it comes [bed volumes]; a run that ends before has none."""

    @property
    def standby_hours(self, /) -> float | None:
        """Rest in the middle of the run [h]; a limit is armed again one void volume after it."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def volume_bv(self, /) -> float | None:
        """Throughput that ends the run [bed volumes]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Site:
    """What a softener has to deliver, and what its owner allows it; figures per week come from it.

    Parameters
    ----------
    name : str
        What it is called.
    water_use_m3_per_day : float or Quantity
        Soft water used [m3/day], 1e-6 to 1e7.
    use_days : int or Quantity, optional
        Days of a week on which that much is used, 1 to 7; 7 if None; a week's figures are for these. Source: Every day
        unless given (choice, no source).
    salt_budget_kg_per_week : float or Quantity, optional
        Salt the owner pays for [kg/week], 0 to 1e9. If None: no budget.
    accepted_leakage_mg_per_l_caco3 : float or Quantity, optional
        Hardness leakage the users accept, as a mean over the run [mg/L as CaCO3], 0 to 1e6. If None: none given.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.default_case().replace({"site": bf.Site("Heron Weir", 12.0)}).site
    Site(name='Heron Weir', water_use_m3_per_day=12.0)"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        name: str,
        water_use_m3_per_day: Number | None = None,
        *,
        use_days: int | Quantity | None = None,
        salt_budget_kg_per_week: Number | None = None,
        accepted_leakage_mg_per_l_caco3: Number | None = None,
        **amounts: str | Quantity,
    ) -> Site: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def accepted_leakage_mg_per_l_caco3(self, /) -> float | None:
        """Hardness leakage the users accept, as a mean over the run [mg/L as CaCO3]."""

    @classmethod
    def from_json(cls, /, text: str) -> Site:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def name(self, /) -> str:
        """What it is called."""

    @property
    def salt_budget_kg_per_week(self, /) -> float | None:
        """Salt the owner pays for [kg/week]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def use_days(self, /) -> int:
        """Days of a week on which that much is used; a week's figures are for these."""

    @property
    def water_use_m3_per_day(self, /) -> float:
        """Soft water used [m3/day]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class SlowRinse:
    """Displacement of the brine.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity, optional
        Flow [bed volumes per hour], 0.05 to 500. A slow rinse keeps that of the brine before it, or takes the
        regeneration's `flow_bv_per_h`; a fast one takes `fast_rinse_flow_bv_per_h`. If None: as the regeneration has
        it.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service. A slow rinse keeps that of the brine before it, or takes the regeneration's; a
        fast one goes with service. If None: as the regeneration has it; a fast rinse goes with service.
    water : {"soft", "feed"}, optional
        Its water. A slow rinse takes the regeneration's `slow_rinse_water`, or that of the brine; a fast one the feed.
        If None: that of the brine for a slow rinse, the feed for a fast one and for a backwash.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 1000; the regeneration's `slow_rinse_bv` or `fast_rinse_bv` if no end is given.
        If None: as the regeneration has it.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 1e5. If None: as the volume asks.
    until_hardness_mg_per_l_caco3 : float or Quantity, optional
        Effluent hardness that ends it [mg/L as CaCO3], armed once one void volume has left, 1e-6 to 1e6. If None: ends
        on volume or time.
    until_chloride_mg_per_l : float or Quantity, optional
        Effluent chloride that ends it [mg/L], armed likewise, 1e-3 to 1e6. If None: ends on volume or time.
    at_most_bv : float or Quantity, optional
        Volume at which it ends all the same, if it ends on what leaves [bed volumes], 0.001 to 1000; must then be
        given. If None: ends on volume or time.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, or more than one end."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        *,
        flow_bv_per_h: Number | None = None,
        direction: str | None = None,
        water: str | None = None,
        volume_bv: Number | None = None,
        minutes: Number | None = None,
        until_hardness_mg_per_l_caco3: Number | None = None,
        until_chloride_mg_per_l: Number | None = None,
        at_most_bv: Number | None = None,
        **amounts: str | Quantity,
    ) -> SlowRinse: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def at_most_bv(self, /) -> float | None:
        """Volume at which it ends all the same, if it ends on what leaves [bed volumes]; must then be given."""

    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service.

        A slow rinse keeps that of the brine before it, or takes the regeneration's; a fast one goes with service."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour].

        A slow rinse keeps that of the brine before it, or takes the regeneration's `flow_bv_per_h`; a fast one takes
        `fast_rinse_flow_bv_per_h`."""

    @classmethod
    def from_json(cls, /, text: str) -> SlowRinse:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def until_chloride_mg_per_l(self, /) -> float | None:
        """Effluent chloride that ends it [mg/L], armed likewise."""

    @property
    def until_hardness_mg_per_l_caco3(self, /) -> float | None:
        """Effluent hardness that ends it [mg/L as CaCO3], armed once one void volume has left."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]; the regeneration's `slow_rinse_bv` or `fast_rinse_bv` if no end is given."""

    @property
    def water(self, /) -> _Water | None:
        """Its water.

        A slow rinse takes the regeneration's `slow_rinse_water`, or that of the brine; a fast one the feed."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Standby:
    """No flow: liquid and beads go to equilibrium with each other where they are.

    Parameters
    ----------
    minutes : float or Quantity
        Duration [min], 0.01 to 1e6.
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, minutes: Number | None = None, **amounts: str | Quantity) -> Standby: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Standby:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def minutes(self, /) -> float:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Water:
    """A water as analysed.

    With no anion given, chloride takes the balance. With any anion given, an imbalance above 5 % of the total (common
    practice, no source) is an error unless `balance` names the ion that closes it; anions are stretched to meet the
    cations below that.

    Parameters
    ----------
    ions : mapping of str to float or Quantity
        Concentration of each ion by its symbol, in `unit`, 0 to 1e6.
    unit : {"mg/L", "mg/L CaCO3", "mmol/L", "meq/L"}, default "mg/L"
        Unit of the concentrations. Source: The unit most analyses are written in (common practice, no source).
    temperature_c : float or Quantity, default 20.0
        Temperature [C], 1 to 45. Source: Room temperature; the ground's is lower in most places. Measure it: rates and
        brine depend on it (choice, no source).
    balance : str, optional
        The ion whose concentration is set so that the charges balance, whatever was given for it. If None: none given.
        Source: Chloride takes the balance where no anion is given; else an imbalance above 5 % of the total is refused
        and smaller ones are spread over the anions (the 5 %: common practice for a routine analysis, no single source)
        (common practice, no source).
    **amounts : str or Quantity
        A number by its name without the unit, as a text with one: `depth="3 ft"` stands for `depth_m` of a bed.

    Raises
    ------
    InputError
        For a value out of limits, a water without cations, or charges that do not balance.

    Examples
    --------
    >>> import brinefront as bf
    >>> water = bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 28.0}, temperature_c=15.0)
    >>> round(water.hardness_mg_per_l_caco3, 1)
    298.6
    >>> water.chloride_assumed
    True"""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(
        cls,
        /,
        ions: Mapping[str, Number | str],
        unit: str = "mg/L",
        *,
        temperature_c: Number = 20.0,
        balance: str | None = None,
        **amounts: str | Quantity,
    ) -> Water: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def balance(self, /) -> str | None:
        """The ion whose concentration is set so that the charges balance, whatever was given for it."""

    @property
    def chloride_assumed(self, /) -> bool:
        """Whether chloride was assumed because no anion was given."""

    @property
    def dissolved_solids_mg_per_l(self, /) -> float:
        """Dissolved solids [mg/L]: the mass of all ions, charges balanced, hydrogen carbonate as it stands in the water."""

    @property
    def eq_per_l(self, /) -> dict[str, float]:
        """Each ion [eq/L], charges balanced."""

    @classmethod
    def from_json(cls, /, text: str) -> Water:
        """Read one from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        object
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def hardness_mg_per_l_caco3(self, /) -> float:
        """Calcium and magnesium [mg/L as CaCO3]."""

    @property
    def ions(self, /) -> dict[str, float]:
        """Concentration of each ion by its symbol, in `unit`."""

    @property
    def normality_eq_per_l(self, /) -> float:
        """Normality [eq/L]: the sum over cations, which the anions equal."""

    @property
    def temperature_c(self, /) -> float:
        """Temperature [C]."""

    def to_json(self, /) -> str:
        """The same as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def unit(self, /) -> str:
        """Unit of the concentrations."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

def case_file(path: str | PathLike[str]) -> tuple[Case, str]:
    """A case file, read once.

    Parameters
    ----------
    path : str or path
        The file, or a pipe.

    Returns
    -------
    case : Case
        The case, checked.
    text : str
        The text of the file.

    Raises
    ------
    CaseFileError
        For a file that cannot be read, or a text that cannot be understood.
    InputError
        For a value out of limits."""

def compare(cases: Sequence[Case], at: str, progress: _Progress | None) -> _Compared:
    """Compare strategies at equal dose or equal leakage."""

def compare_at_leakage(
    cases: Sequence[Case], measure: str, mg_per_l_caco3: Number, run_bv: Number | None, progress: _Progress | None
) -> _Compared:
    """Compare strategies by the least salt with which a leakage stays within a bound, over a run that is held or free."""

def convert_concentration(symbol: str, value: Number, source: str, target: str) -> float:
    """Convert the concentration of an ion between the units that an analysis may have."""

def convert_unit(value: Number, source: str, target: str) -> float:
    """Convert a number from one unit into another that measures the same thing.

    Parameters
    ----------
    value : float or Quantity
        The number; a quantity is taken into `source` first, whatever its own unit.
    source : str
        Its unit, one of `brinefront.units.names`.
    target : str
        The unit wanted.

    Returns
    -------
    float
        The number in `target`.

    Raises
    ------
    InputError
        For a unit that is not known, or two that measure different things.

    Examples
    --------
    >>> import brinefront as bf
    >>> round(bf.units.convert(6.0, "lb/ft3", "g/L"), 2)
    96.11"""

def default_case() -> Case:
    """The built-in scenario: an invented laundry on an invented hard well, regenerated counter-current.

    Returns
    -------
    Case
        Heron Weir; `Case.mirrored` gives the other strategy.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.default_case()
    >>> case.name, case.regeneration.direction
    ('Heron Weir laundry', 'counter-current')"""

def diffusivity_sets() -> list[dict[str, Any]]:
    """The published sets of diffusivities inside beads that a resin may name.

    None was chosen for what a bed does with it. Numbers hold at 25 C; at another temperature they follow the
    resin's own activation energy, whatever a set says of one.

    Returns
    -------
    list of dict
        Each has its `name`, `source` and whether it was `read`; its `kind` ("self-diffusion", "inference", or
        "obstruction", a rule without numbers of its own); its `temperature_c`, `conditions` and `validity`; what
        its `columns` are, of which a resin reads the one nearest to its crosslinking, up to 1 % away; the `values`
        in m2/s by column and ion, with their `spread` where that is known, and the `reasons` for what is inferred;
        `neighbours`, values of ions or beads that no case reads; and the `activation` energies of ions where they
        are known.

    Examples
    --------
    >>> import brinefront as bf
    >>> "AboutTenthOfSodium" in [one["name"] for one in bf.diffusivity_sets()]
    True"""

def efficiency_ceiling(case: Case, doses_g_per_l: Sequence[Number]) -> list[dict[str, Any]]:
    """The ceiling at each dose, co-current first: a list of dicts."""

def equilibrium(
    solution: Mapping[str, Number],
    selectivity: Mapping[str, Number] | str,
    capacity_eq_per_l: Number,
    *,
    activity: str = "ideal",
    temperature_c: Number = 25.0,
) -> dict[str, float]:
    """Equivalent fractions on a resin in equilibrium with a solution.

    Parameters
    ----------
    solution : mapping of str to float or Quantity
        Cations by symbol [eq/L], 0 or more, at most ten.
    selectivity : mapping of str to float or Quantity, or str
        Gaines-Thomas coefficients against sodium in the normality/capacity form, or the name of a published set.
    capacity_eq_per_l : float or Quantity
        Total capacity [eq per litre of packed bed], 0.1 to 5.
    activity : {"ideal", "davies", "pitzer"}, default "ideal"
        With a law, coefficients are those of infinite dilution and the solution's own activities act on them; its anion
        is chloride, and the laws' parameters stand at 25 C.
    temperature_c : float or Quantity, default 25.0
        Temperature that the density of water follows [C], 1 to 45; for the laws alone.

    Returns
    -------
    dict of str to float
        Equivalent fraction of each ion, which sum to 1.

    Raises
    ------
    InputError
        For a value out of limits, or a cation without a coefficient.

    Notes
    -----
    Mass action in exchanger fractions: G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.

    Examples
    --------
    >>> import brinefront as bf
    >>> found = bf.equilibrium({"Na": 0.002, "Ca": 0.004}, {"Ca": 4.0}, 1.8)
    >>> {ion: round(fraction, 3) for ion, fraction in found.items()}
    {'Na': 0.012, 'Ca': 0.988}"""

def fields() -> list[dict[str, Any]]:
    """What is known of every field of a case: meaning, unit, limits, default and where that comes from.

    Returns
    -------
    list of dict
        `name` is the dotted name in a case file, with `*` for an ion or a place in a list; `owner` its class, so that a name
        that several steps have comes once for each. `kind`, `doc`, `words`, `unit`, `range` (least and most), `limits` (in
        words), `default`, `source`, `standing` (what the source is worth), `off` and `unset` (what absence means), `acts`
        (when it acts), `unless` (beginning of the names that take its place), `unit_of` (field that holds its unit),
        `required`, `choices`, `sample` (a value to try) and `needs` (what must be given with it); None where there is none."""

def figures() -> list[dict[str, Any]]:
    """What is said of every figure of a cycle, in their order.

    Returns
    -------
    list of dict
        `name`, `doc`, `words`, `unit` (empty for what is no number, and for a count), `kind` ("number", "whole", "flag" or
        "text"), `error_of` (the figure whose numerical error it is, or None) and `tables`, the place from 0 in each table
        that shows it, by the table's name."""

def hydraulics(case: Case) -> list[dict[str, Any]]:
    """What the flow of each step of a case does to its bed, a dict by column for each step."""

def in_cases(cases: Sequence[Case], field: str, name: str, text: str) -> float:
    """The number that a text with its unit is in a field of cases, whose beds turn volumes of water into bed volumes.

    Parameters
    ----------
    cases : sequence of Case
        Volumes of water must be one number in all of their beds.
    field : str
        Dotted name of the field, which carries the unit wanted.
    name : str
        What errors call it.
    text : str
        A number with its unit.

    Returns
    -------
    float
        The number in the field's unit.

    Raises
    ------
    InputError
        For a text without number, of another unit, or a volume of water that is another number in each of the beds."""

def ions() -> list[dict[str, Any]]:
    """The ions known here, cations first.

    Returns
    -------
    list of dict
        `symbol`, `name`, `charge` with its sign, `molar_mass_g_per_mol`, `g_per_eq` (mass of one equivalent) and
        `diffusivity_m2_per_s` (in water at infinite dilution and 25 C).

    Examples
    --------
    >>> import brinefront as bf
    >>> {ion["symbol"]: round(ion["g_per_eq"], 2) for ion in bf.ions()}["Ca"]
    20.04"""

def said_in_toml(text: str, name: str) -> dict[str, Any]:
    """What the text of a case file says, and nothing that is filled in.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        The file that errors name.

    Returns
    -------
    dict
        As it stands there; numbers that are texts with units stand as numbers under the names of their fields.

    Raises
    ------
    CaseFileError
        For a text that is not TOML.
    InputError
        For a unit that is not understood."""

def selectivity_sets() -> list[dict[str, Any]]:
    """The published sets of selectivities that a resin may name.

    Returns
    -------
    list of dict
        Each has its `name`, `source` and whether it was `read`; its `kind` ("relative" affinities or
        "separation-factor"), the `basis` of their capacity and how they are `chained` to sodium; where it holds
        (`normality_eq_per_l`, `temperature_c`, `validity`); what its `columns` are, and the `values` as printed, by
        column and ion.

    Examples
    --------
    >>> import brinefront as bf
    >>> "BonnerSmith1957" in [one["name"] for one in bf.selectivity_sets()]
    True"""

def sweep(case: Case, axes: dict[str, list[Any]], threads: int | None, progress: _Progress | None) -> list[_Found]:
    """Run a grid of cases: figures, effort and error of each point, in row-major order of the axes."""

def through_time(
    case: Case, from_new_resin: SupportsIndex | None, moments: int, progress: _Progress | None
) -> dict[str, Any]:
    """The bed at `moments` of a case's steady cycle, or of the last of `from_new_resin` cycles in a row, as arrays by name."""

def unit_names() -> list[str]:
    """The names of the units that `convert` knows.

    Returns
    -------
    list of str
        As `source` and `target` take them.

    Examples
    --------
    >>> import brinefront as bf
    >>> "gr/gal" in bf.units.names()
    True"""

def waves(case: Case, levels: int) -> dict[str, Any]:
    """The waves of a case's cycle: figures by name, steps and pieces of paths as lists of dicts."""

@dataclass(frozen=True, kw_only=True)
class _Figures:
    """The figures of a cycle, for type checkers: the package makes its class of `figures`."""

    direction: Direction
    dose_g_per_l: float
    feed_hardness_mg_per_l_caco3: float
    feed_normality_eq_per_l: float
    brine_normality_eq_per_l: float
    brine_volume_bv: float
    run_length_bv: float
    run_length_l: float
    delivers_soft_water: bool
    soft_water_used_bv: float
    soft_water_l: float
    run_hours: float
    stop_reason: StopReason
    capacity_eq_per_l: float
    capacity_kgr_per_ft3: float
    salt_efficiency_gr_per_lb: float
    salt_efficiency_fraction: float
    rinse_loss_eq_per_l: float
    loading_change_eq_per_l: float
    leakage_mean_mg_per_l_caco3: float
    leakage_half_run_mg_per_l_caco3: float
    leakage_initial_mg_per_l_caco3: float
    leakage_minimum_mg_per_l_caco3: float
    leakage_maximum_mg_per_l_caco3: float
    leakage_end_mg_per_l_caco3: float
    sodium_product_mg_per_l: float
    potassium_product_mg_per_l: float
    sodium_added_mg_per_l: float
    waste_volume_bv: float
    waste_volume_l: float
    waste_chloride_g: float
    waste_chloride_mg_per_l: float
    waste_hardness_g_caco3: float
    waste_sodium_g: float
    salt_kg: float
    salt_kg_per_m3: float
    regeneration_min: float
    regenerations_per_week: float
    salt_kg_per_week: float
    salt_as_sold_kg_per_week: float
    chloride_kg_per_week: float
    waste_m3_per_week: float
    dose_as_sold_g_per_l: float
    salt_as_sold_kg: float
    salt_efficiency_as_sold_gr_per_lb: float
    restart_before_mg_per_l_caco3: float
    restart_first_bv_mg_per_l_caco3: float
    restart_peak_mg_per_l_caco3: float
    reclaimed_volume_bv: float
    reclaimed_normality_eq_per_l: float
    reclaimed_hardness_fraction: float
    reclaimed_salt_g_per_l: float
    cells: int
    run_length_error_fraction: float
    capacity_error_fraction: float
    leakage_mean_error_fraction: float
    leakage_half_run_error_fraction: float
    leakage_initial_error_fraction: float
    leakage_minimum_error_fraction: float
    leakage_maximum_error_fraction: float
    leakage_end_error_fraction: float
    waste_curve_error_fraction: float
    profiles_error_fraction: float
    ledger_error: float
    residual: float
    distance: float
    cycles_run: int
    settled: bool
    outcome: Outcome
    search_end: SearchEnd
    longest_metered_bv: float
    soft_from_dose_g_per_l: float
