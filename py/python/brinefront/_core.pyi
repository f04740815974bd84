# Written by `py/stubs.py`; change that, or the signatures and docstrings in `py/src`.
"""Native half of brinefront; import `brinefront` instead.

A free-threaded Python turns its lock on when it loads this module, and says so in a `RuntimeWarning`: what the module
holds is frozen and a run releases the interpreter, but it has not been tested without the lock."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from os import PathLike
from typing import Any, ClassVar, Final, Literal, SupportsIndex, TypeAlias, final

from brinefront.results import Cycle, Run, SaltAccount
from brinefront.units.quantity import Number, Quantity

_Progress: TypeAlias = Callable[[int, int, int, float], object]
_Direction: TypeAlias = Literal["co-current", "counter-current"]
_Water: TypeAlias = Literal["soft", "feed"]
_Step: TypeAlias = Backwash | Brine | SlowRinse | FastRinse | Standby
_Found: TypeAlias = tuple[dict[str, Any] | None, dict[str, int], str]
__all__ = [
    "VERSION",
    "Backwash",
    "Bed",
    "Brine",
    "Case",
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
    "compare",
    "convert_concentration",
    "convert_unit",
    "default_case",
    "efficiency_ceiling",
    "equilibrium",
    "hydraulics",
    "ions",
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
        Flow [m/h], 0.1 to 100; the regeneration's if None, else 15 (Davis 2010).
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 600; the regeneration's if no end is given, else 10 (Davis).
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 1000, instead of a duration.
    mixing : float or Quantity, optional
        Fraction of the bed, from the top, that is turned over, 0 to 1; the regeneration's if None, else 1 (an
        assumption).
    water : {"feed", "soft"}, optional
        Its water; the feed if None.

    Raises
    ------
    InputError
        For a value out of limits, or two ends.

    References
    ----------
    * Davis, M. L. (2010), Water and Wastewater Engineering, Table 8-2: 12 to 20 m/h, 5 to 15 min."""

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
    ) -> Backwash: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def flow_m_per_h(self, /) -> float | None:
        """Flow [m/h]."""

    @classmethod
    def from_json(cls, /, text: str) -> Backwash:
        """Read a backwash from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Backwash
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

    @property
    def mixing(self, /) -> float | None:
        """Fraction of the bed, from the top, that is turned over."""

    def to_json(self, /) -> str:
        """The backwash as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""

    @property
    def water(self, /) -> _Water | None:
        """Its water: "feed" or "soft"."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Bed:
    """A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`.

    Parameters
    ----------
    depth_m : float or Quantity, optional
        Depth [m], 0.01 to 20.
    diameter_m : float or Quantity, optional
        Inner diameter of the vessel [m], 0.005 to 20.
    volume_l : float or Quantity, optional
        Volume of resin, sodium form, backwashed and settled [L], 0.001 to 1e6.
    held_down : bool, default False
        Whether the bed is kept from rising when brine or rinse goes up through it; a backwash raises it all the same.
    lifted_mixing : {"none", "full", "dispersion"}, default "none"
        How beads mix in a step that lifts a bed nothing holds: not, the lifted part mixed through, or with a
        coefficient.
    solid_mixing_m2_per_s : float or Quantity, optional
        That coefficient [m2/s], 1e-12 to 1000. It has no default, for no source was found.
    freeboard_l : float or Quantity, default 0.0
        Liquid above the bed, ideally stirred [L], 0 to ten bed volumes: a height times the section. 0 leaves it out.
    under_bed_l : float or Quantity, default 0.0
        Liquid below the bed, around the lower collector [L], likewise.

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
        held_down: bool = False,
        lifted_mixing: str = "none",
        solid_mixing_m2_per_s: Number | None = None,
        freeboard_l: Number = 0.0,
        under_bed_l: Number = 0.0,
    ) -> Bed: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def depth_m(self, /) -> float:
        """Depth [m]."""

    @property
    def diameter_m(self, /) -> float:
        """Inner diameter of the vessel [m]."""

    @property
    def freeboard_l(self, /) -> float:
        """Liquid between the bed and the top of the vessel, ideally stirred [L]; 0 where it is left out."""

    @classmethod
    def from_json(cls, /, text: str) -> Bed:
        """Read a bed from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Bed
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def held_down(self, /) -> bool:
        """Whether the bed is kept from rising when brine or rinse goes up through it."""

    @property
    def lifted_mixing(self, /) -> str:
        """How beads mix in a step that lifts the bed: "none", "dispersion" or "full"."""

    @property
    def solid_mixing_m2_per_s(self, /) -> float | None:
        """Coefficient with which beads wander in a lifted bed [m2/s], if given."""

    def to_json(self, /) -> str:
        """The bed as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def under_bed_l(self, /) -> float:
        """Liquid below the bed, ideally stirred [L]; 0 where it is left out."""

    @property
    def volume_l(self, /) -> float:
        """Volume of resin [L]: one bed volume."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Brine:
    """Brine through the bed.

    Its volume is its `share` of what the dose makes at the brine's strength, or `volume_bv`, or `minutes` at its flow,
    whatever the dose; brine steps that say none of these share equally what the others leave of the dose.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity, optional
        Flow [bed volumes per hour], 0.05 to 100; the regeneration's if None.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service; the regeneration's if None.
    share : float or Quantity, optional
        Share of the dose, 0.001 to 1.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 100.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 1e5.

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
    ) -> Brine: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service: "co-current" or "counter-current"."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> Brine:
        """Read a brine from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Brine
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

    @property
    def share(self, /) -> float | None:
        """Share of the dose."""

    def to_json(self, /) -> str:
        """The brine as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""
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
    rates : Rates, optional
        Rates that replace a correlation; all are correlated if None.
    cells : int, "auto" or Quantity, optional
        Cells along the bed, 4 to 20000, 100 if None (a choice, no source); or "auto", doubled from 25 to at most 800
        until the estimated numerical error is within `accuracy`.
    kinetics : {"lumped", "equilibrium", "radial"}, default "lumped"
        How exchange is limited: film and bead as two resistances in series, beads in equilibrium with the liquid
        around them, or beads cut into `shells` with every ion at its own diffusivity by Nernst-Planck.
    hardness_ions : sequence of str, optional
        The divalent cations that count as hardness; magnesium and calcium if None (by definition).
    tolerance : float or Quantity, optional
        Error allowed in one time step, relative to the bed's capacity and to the larger normality in the bed, 1e-7 to
        0.1; 3e-4 if None (a choice, no source: leakages are within 0.1 %, run lengths and capacities within 0.001 %).
    accuracy : float or Quantity, optional
        Where cells are found automatically: numerical error allowed in leakages as a share of them, 1e-4 to 0.5, in run
        length and capacity a tenth of it; 0.01 if None (common practice, no source).
    name : str, optional
        What the case is called.
    site : Site, optional
        Where the softener stands; without it there are no figures per week.
    recipe : Recipe, optional
        The steps between two service runs; those that the regeneration stands for if None.
    shells : int, optional
        Shells in a bead, 2 to 100; 10 if None, a ladder that follows a sphere within 0.003 %, any other number is
        an ordinary grid.
    activity : {"ideal", "davies", "pitzer"}, default "ideal"
        Activity coefficients of each cell's own liquid: 1, for an ionic strength to 0.5 mol/kg, or in brine.
    maldistribution : Maldistribution, optional
        How unevenly water goes through the bed; evenly if None.

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
    * A sphere: J. Crank (1975), The Mathematics of Diffusion, sec. 6.3.
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
        rates: Rates | None = None,
        cells: int | Quantity | Literal["auto"] | None = None,
        kinetics: str = "lumped",
        hardness_ions: Sequence[str] | None = None,
        tolerance: Number | None = None,
        accuracy: Number | None = None,
        name: str | None = None,
        site: Site | None = None,
        recipe: Recipe | None = None,
        shells: int | Quantity | None = None,
        activity: str = "ideal",
        maldistribution: Maldistribution | None = None,
    ) -> Case: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def accuracy(self, /) -> float:
        """Where cells are found automatically: numerical error allowed in leakages, as a share of them."""

    @property
    def activity(self, /) -> str:
        """Activity coefficients of the liquid: "ideal", "davies" or "pitzer"."""

    @property
    def bed(self, /) -> Bed:
        """The bed."""

    @property
    def cells(self, /) -> int | Literal["auto"]:
        """Cells along the bed, or "auto"."""

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
        """Read a case from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Case
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @classmethod
    def from_toml(cls, /, path: str | PathLike[str]) -> Case:
        """Read a case from a TOML file.

        Parameters
        ----------
        path : str or path
            The file, as `to_toml` writes its text.

        Returns
        -------
        Case
            The case, checked.

        Raises
        ------
        CaseFileNotFoundError
            For a file that does not exist.
        CaseFileAccessError
            For a file that cannot be read or is not UTF-8.
        CaseFileError
            For a text that cannot be understood; line and key are named.
        InputError
            For a value out of limits."""

    @property
    def hardness_ions(self, /) -> tuple[str, ...]:
        """The ions that count as hardness."""

    @property
    def kinetics(self, /) -> str:
        """How exchange is limited: "equilibrium", "lumped" or "radial"."""

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
    def name(self, /) -> str | None:
        """What the case is called."""

    @property
    def rates(self, /) -> Rates:
        """Rates that replace a correlation."""

    @property
    def recipe(self, /) -> Recipe | None:
        """The steps between two service runs, if they are not those of the regeneration by itself."""

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
            of water are divided by its volume.

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
    def shells(self, /) -> int:
        """Shells in a bead, where kinetics are "radial"."""

    @property
    def site(self, /) -> Site | None:
        """Where the softener stands."""

    def to_json(self, /) -> str:
        """The case as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    def to_toml(self, /) -> str:
        """The case as the text of a TOML file.

        Returns
        -------
        str
            What `from_toml` reads from a file."""

    @property
    def tolerance(self, /) -> float:
        """Error allowed in one time step."""

    @property
    def water(self, /) -> Water:
        """The feed."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class FastRinse:
    """Rinse to service quality.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity, optional
        Flow [bed volumes per hour], 0.05 to 500; the regeneration's `fast_rinse_flow_bv_per_h` if None.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service; that of service if None.
    water : {"soft", "feed"}, optional
        Its water; the feed if None.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 1000; the regeneration's `fast_rinse_bv` if no end is given.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 1e5.
    until_hardness_mg_per_l_caco3 : float or Quantity, optional
        Hardness of what leaves that ends the step [mg/L as CaCO3], 1e-6 to 1e6, armed once one void volume has
        left.
    until_chloride_mg_per_l : float or Quantity, optional
        Chloride of what leaves that ends the step [mg/L], 0.001 to 1e6, armed likewise.
    at_most_bv : float or Quantity, optional
        Volume at which such a step ends all the same [bed volumes], 0.001 to 1000; must be given with either.

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
    ) -> FastRinse: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def at_most_bv(self, /) -> float | None:
        """Volume at which it ends all the same, if it ends on what leaves [bed volumes]."""

    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service: "co-current" or "counter-current"."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> FastRinse:
        """Read a rinse from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        SlowRinse or FastRinse
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
        """The rinse as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def until_chloride_mg_per_l(self, /) -> float | None:
        """Effluent chloride that ends it [mg/L]."""

    @property
    def until_hardness_mg_per_l_caco3(self, /) -> float | None:
        """Effluent hardness that ends it [mg/L as CaCO3]."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""

    @property
    def water(self, /) -> _Water | None:
        """Its water: "feed" or "soft"."""
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
        Standard deviation of the logarithm of the flow, 0 to 1; 0 is even.
    tubes : int, optional
        Tubes of the spread, 1 to 20; 5 if None, which takes up within 0.3 % of what many tubes do (measured on this
        model).
    fast_flow_share : float or Quantity, optional
        Share of the flow in the fast tube, `fast_area_share` to 0.999.
    fast_area_share : float or Quantity, optional
        Share of the area that the fast tube has, 0.001 to 0.999.
    correlation : float or Quantity, default 1.0
        Coefficient of correlation of service and regenerant flows over the area, 0 to 1: that share of the bed has the
        same rank in both (a choice, no source: what makes a tube fast is there in both).

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
        """Correlation of service and regenerant flows."""

    @property
    def fast_area_share(self, /) -> float | None:
        """Share of the area that the fast tube has, if given."""

    @property
    def fast_flow_share(self, /) -> float | None:
        """Share of the flow in the fast tube, if given."""

    @classmethod
    def from_json(cls, /, text: str) -> Maldistribution:
        """Read an uneven flow from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Maldistribution
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def spread(self, /) -> float | None:
        """Standard deviation of the logarithm of the flow, if given."""

    def stream_tubes(self, /) -> list[tuple[float, float, float]]:
        """Every stream tube: share of the area, and velocities over the mean of the section.

        Returns
        -------
        list of tuple of float
            Share of the area, velocity in service and velocity of the regenerant of each tube, the velocities over the
            mean."""

    def to_json(self, /) -> str:
        """The uneven flow as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def tubes(self, /) -> int:
        """Tubes of the log-normal spread."""
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
        Film rate per volume of bed [1/s], 1e-8 to 1e8; by `film_correlation` if None.
    bead_per_s : float or Quantity, optional
        Bead rate [1/s], 1e-8 to 1e8; from diffusivity and diameter of the bead if None (Glueckauf 1955).
    dispersion_m2_per_s : float or Quantity, optional
        Interstitial dispersion along the bed [m2/s], 0 to 1; by Chung and Wen (1968) if None.
    film_correlation : {"gnielinski", "carberry", "wilson-geankoplis", "wakao"}, default "gnielinski"
        Where the film rate comes from. The default's range holds the slow flow of a brine as well as service.
    film_diffusion : {"mean", "by-ion"}, default "mean"
        One diffusivity for all ions in the film, the mean of the feed's hardness; or each its own, held together by
        electroneutrality (Nernst and Planck), so that loading and regeneration differ in rate.

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
        bead_per_s: Number | None = None,
        dispersion_m2_per_s: Number | None = None,
        film_correlation: str = "gnielinski",
        film_diffusion: str = "mean",
    ) -> Rates: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def bead_per_s(self, /) -> float | None:
        """Bead rate [1/s]."""

    @property
    def dispersion_m2_per_s(self, /) -> float | None:
        """Interstitial dispersion [m2/s]."""

    @property
    def film_correlation(self, /) -> str:
        """Correlation that the film rate comes from where none is given."""

    @property
    def film_diffusion(self, /) -> str:
        """Whether ions diffuse through the film with one diffusivity ("mean") or each with its own ("by-ion")."""

    @property
    def film_per_s(self, /) -> float | None:
        """Film rate per volume of bed [1/s]."""

    @classmethod
    def from_json(cls, /, text: str) -> Rates:
        """Read rates from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Rates
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    def to_json(self, /) -> str:
        """The rates as JSON text.

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
        The steps, at least one of them a brine. What a step leaves out, the case's regeneration says.

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
        Formula of the salt.
    strength_percent : float or Quantity, optional
        Strength of the brine [% by weight], 0.1 to saturation at the water's temperature; 10 if neither this nor the
        normality is given, within the 8 to 12 % that published co-current capacities are quoted for (common practice,
        no source).
    normality_eq_per_l : float or Quantity, optional
        Strength of the brine as normality of the salt alone [eq/L], 0.01 to 20, instead.
    flow_bv_per_h : float or Quantity, optional
        Flow of the brine and the slow rinse [bed volumes per hour], 0.05 to 100; 3 if None (a choice, no source).
    brine_water : {"soft", "feed"}, default "soft"
        The water that brine is made with: the feed softened, or raw.
    soft_water_leakage_mg_per_l_caco3 : float or Quantity, default 0.0
        Hardness left in the soft water [mg/L as CaCO3], 0 to 1e4.
    slow_rinse_bv : float or Quantity, optional
        Slow rinse [bed volumes], 0 to 100; 1.5 if None (common practice, no source).
    fast_rinse_bv : float or Quantity, optional
        Fast rinse [bed volumes], 0 to 1000; 3 if None (common practice, no source).
    fast_rinse_flow_bv_per_h : float or Quantity, optional
        Flow of the fast rinse [bed volumes per hour], 0.05 to 500; 12 if None (common practice, no source).
    backwash_mixing : float or Quantity, optional
        Fraction of the bed, from the top, that the backwash turns over, 0 to 1; 1 with a backwash and 0 without if None
        (an assumption).
    backwash_flow_m_per_h : float or Quantity, optional
        Backwash flow [m/h], 0.1 to 100; 15 if None, within the 12 to 20 of Davis (2010).
    backwash_min : float or Quantity, optional
        Backwash time [min], 0 to 600; if None 10 for co-current, within the 5 to 15 of Davis, and 0 for
        counter-current.
    salt_purity_percent : float or Quantity, optional
        Pure salt in the salt as sold [% by mass], 50 to 100. The dose stays pure salt; figures of the salt as sold
        follow.
    salt_impurities_percent : mapping of str to float or Quantity, optional
        Other cations in the salt as sold [% by mass of the ion], 0 to 20 each, which go with the brine as chlorides:
        `{"Ca": 0.3, "Mg": 0.05}`.
    slow_rinse_water : {"soft", "feed"}, optional
        The water of the slow rinse; that of the brine if None.
    reclaim_from_bv : float or Quantity, optional
        What leaves from here on [bed volumes after the first brine enters], 0 to 100, is kept in a mixed tank and comes
        ahead of the next regeneration's own brine; none is kept if None.
    reclaim_to_bv : float or Quantity, optional
        Throughput to which it is kept [bed volumes], above `reclaim_from_bv`.

    Raises
    ------
    InputError
        For a value out of limits, or strength and normality given together.

    References
    ----------
    * Davis, M. L. (2010), Water and Wastewater Engineering, Table 8-2.

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
        dose_g_per_l: Number,
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
    ) -> Regeneration: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def backwash_flow_m_per_h(self, /) -> float | None:
        """Backwash flow [m/h]; `None` is 15."""

    @property
    def backwash_min(self, /) -> float | None:
        """Backwash time [min]; `None` is 10 for co-current, none for counter-current."""

    @property
    def backwash_mixing(self, /) -> float | None:
        """Fraction of the bed, from the top, that the backwash turns over; `None` is 1 with a backwash, 0 without."""

    @property
    def brine_water(self, /) -> str:
        """The water that brine is made with: "soft" or "feed"."""

    @property
    def direction(self, /) -> _Direction:
        """Direction of the brine, relative to service: "co-current" or "counter-current"."""

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
        """Read a regeneration from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Regeneration
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
        """Strength of the brine as normality of the salt alone [eq/L], if given so."""

    def recipe(self, /) -> Recipe:
        """The recipe that this regeneration stands for; its steps leave open what the regeneration says.

        Returns
        -------
        Recipe
            A backwash where it has one, brine, slow rinse, fast rinse."""

    @property
    def reclaim_from_bv(self, /) -> float | None:
        """Throughput from which spent regenerant is kept [bed volumes since the first brine enters]."""

    @property
    def reclaim_to_bv(self, /) -> float | None:
        """Throughput to which it is kept [bed volumes]."""

    @property
    def salt(self, /) -> str:
        """Formula of the salt."""

    @property
    def salt_g_per_eq(self, /) -> float:
        """Mass of one equivalent of the salt [g/eq]."""

    @property
    def salt_impurities_percent(self, /) -> dict[str, float]:
        """Other cations in the salt as sold [mass % of the ion], a dict by ion."""

    @property
    def salt_purity_percent(self, /) -> float | None:
        """Pure salt in the salt as sold [mass %], if given."""

    @property
    def slow_rinse_bv(self, /) -> float:
        """Slow rinse [bed volumes]."""

    @property
    def slow_rinse_water(self, /) -> _Water | None:
        """The water of the slow rinse; `None` is that of the brine."""

    @property
    def soft_water_leakage_mg_per_l_caco3(self, /) -> float:
        """Hardness left in the soft water [mg/L as CaCO3]."""

    @property
    def strength_percent(self, /) -> float | None:
        """Strength of the brine [% by weight], if given so."""

    def to_json(self, /) -> str:
        """The regeneration as JSON text.

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
        Total capacity [eq per litre of packed bed], 0.1 to 5; 1.8 if None, the low end of the 1.8 to 2.0 of Davis
        (2010).
    selectivity : mapping of str to float or Quantity, or str, optional
        Gaines-Thomas coefficients against sodium by ion, in the normality/capacity form (sodium is 1), 0.001 to
        1000; or the name of a published set, as `selectivity_sets` has them. "BonnerSmith1957" if None: per litre of
        bed Mg 2.7 and Ca 4.2, inside the 1.7 to 3.3 and 3 to 6 quoted for softening resin (from memory).
    bead_diameter_mm : float or Quantity, optional
        Bead diameter [mm], 0.05 to 5; 0.5 if None, the geometric mean of 20 to 50 mesh (Lin).
    void_fraction : float or Quantity, optional
        Void fraction between the beads of the settled bed, 0.2 to 0.7; 0.38 if None, within the 0.35 to 0.40 of Perry.
    bead_diffusivity_m2_per_s : float or Quantity, or mapping of str to float or Quantity, optional
        Diffusivity in the bead at 25 C [m2/s], one value or by ion, 1e-14 to 1e-8. 2e-11 if None, the top of a bracket
        around zinc and cadmium, chosen for co-current capacity: the least certain constant here (from memory).
    bead_activation_kj_per_mol : float or Quantity, optional
        Activation energy of that diffusivity [kJ/mol], 0 to 100; 28 if None, from two values of sodium (from memory).
    wet_bead_kg_per_m3 : float or Quantity, optional
        Density of a wet bead [kg/m3], 900 to 2000, for hydraulics alone; 1280 if None, near the middle of 1260 to 1320
        for gel beads in sodium form (from memory).
    selectivity_basis : {"bed", "bead"}, default "bed"
        Volume that the capacity in given coefficients is counted on; a named set has its own.
    bead_sizes : sequence of pairs of float or Quantity, optional
        Diameters [mm], 0.05 to 5, and shares of the volume that sum to 1, for radial kinetics; they lie behind one
        film. Hydraulics and dispersion keep to `bead_diameter_mm`.
    sorbed_salt : bool, default False
        Whether the liquid in the beads takes up salt from the brine, by Donnan's equilibrium, and gives it back in the
        rinse.
    bead_water_fraction : float or Quantity, optional
        Water in a bead as a share of its volume, 0.1 to 0.95, where salt is sorbed; 0.59 if None, a moisture of 0.46 by
        mass (from memory).
    age_years : float or Quantity, default 0.0
        Time in service [years], 0 to 50. Capacity falls with them; selectivity and rates stay.
    capacity_loss_percent_per_year : float or Quantity, optional
        Capacity lost in a year [% of what the year began with], 0 to 50, compounded (a choice, no source); 5 if None
        (UFC 2005).
    crosslinking_percent : float or Quantity, optional
        Crosslinking [% divinylbenzene], the column of a named set; 8 if None.
    selectivity_at_eq_per_l : float or Quantity, optional
        Normality [eq/L] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients
        were measured with concentrations, 1e-4 to 5; at infinite dilution if None.

    Raises
    ------
    InputError
        For a value out of limits, an anion among the coefficients, or a set or column that is not there.

    References
    ----------
    * M. L. Davis (2010), Water and Wastewater Engineering, ch. 8.
    * G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.
    * S. D. Lin, Water and Wastewater Calculations Manual, ch. 5.
    * Perry's Chemical Engineers' Handbook, sec. 16.
    * UFC 3-240-13FN (2005), sec. 2-2.5.1.4.1; 1 to 5 % by Davis.

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
        bead_diameter_mm: Number | None = None,
        void_fraction: Number | None = None,
        bead_diffusivity_m2_per_s: Number | Mapping[str, Number] | None = None,
        bead_activation_kj_per_mol: Number | None = None,
        wet_bead_kg_per_m3: Number | None = None,
        selectivity_basis: str = "bed",
        bead_sizes: Sequence[tuple[Number, Number]] | None = None,
        sorbed_salt: bool = False,
        bead_water_fraction: Number | None = None,
        age_years: Number = 0.0,
        capacity_loss_percent_per_year: Number | None = None,
        crosslinking_percent: Number | None = None,
        selectivity_at_eq_per_l: Number | None = None,
    ) -> Resin: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def age_years(self, /) -> float:
        """Years in service."""

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
    def bead_diffusivity_m2_per_s(self, /) -> float | dict[str, float]:
        """Diffusivity inside the bead at 25 C [m2/s], one value or a dict by ion."""

    @property
    def bead_sizes(self, /) -> tuple[tuple[float, float], ...]:
        """Sizes of bead where there are several: pairs of diameter [mm] and share of the volume."""

    @property
    def bead_water_fraction(self, /) -> float:
        """Water in a bead, as a share of its volume."""

    @property
    def capacity_eq_per_l(self, /) -> float:
        """Total capacity [eq per litre of packed bed]."""

    @property
    def capacity_loss_percent_per_year(self, /) -> float:
        """Capacity lost in a year [% of what the year began with]."""

    @property
    def crosslinking_percent(self, /) -> float | None:
        """Crosslinking [percent divinylbenzene]: the column of a named set, if one was picked."""

    @classmethod
    def from_json(cls, /, text: str) -> Resin:
        """Read a resin from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Resin
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def selectivity(self, /) -> dict[str, float] | str:
        """Selectivity coefficients against sodium, a dict by ion or the name of a set."""

    @property
    def selectivity_at_eq_per_l(self, /) -> float | None:
        """Normality [eq/L] of the solution that the coefficients were measured in, if not at infinite dilution."""

    @property
    def selectivity_basis(self, /) -> str:
        """Volume that the capacity in the coefficients is counted on: "bed" or "bead"."""

    @property
    def sorbed_salt(self, /) -> bool:
        """Whether the liquid in the beads takes up salt from the brine."""

    def to_json(self, /) -> str:
        """The resin as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def void_fraction(self, /) -> float:
        """Void fraction between the beads."""

    @property
    def wet_bead_kg_per_m3(self, /) -> float:
        """Density of a wet bead [kg/m3]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Service:
    """The service run: its flow, and where it ends, at a leakage limit or a throughput, whichever is first.

    Parameters
    ----------
    flow_bv_per_h : float or Quantity
        Flow [bed volumes per hour], 0.01 to 1000.
    limit_mg_per_l_caco3 : float or Quantity, optional
        Leakage that ends the run [mg/L as CaCO3], 1e-6 to below the feed's hardness.
    volume_bv : float or Quantity, optional
        Throughput that ends the run [bed volumes], 0.01 to 1e7. One of limit and volume must be given.
    service_flow : {"down", "up"}, default "down"
        The way through the vessel.
    standby_hours : float or Quantity, optional
        Rest in the middle of the run [h], 0.001 to 1e5; none if None. A limit is armed again one void volume after it.
    standby_after_bv : float or Quantity, optional
        Throughput after which the rest comes [bed volumes], 0.01 to 1e7 and below `volume_bv`.

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
        flow_bv_per_h: Number,
        *,
        limit_mg_per_l_caco3: Number | None = None,
        volume_bv: Number | None = None,
        service_flow: str = "down",
        standby_hours: Number | None = None,
        standby_after_bv: Number | None = None,
    ) -> Service: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def flow_bv_per_h(self, /) -> float:
        """Flow [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> Service:
        """Read a service run from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Service
            As it was.

        Raises
        ------
        CaseFileError
            For a text that cannot be understood.
        InputError
            For a value out of limits."""

    @property
    def limit_mg_per_l_caco3(self, /) -> float | None:
        """Leakage that ends the run [mg/L as CaCO3]."""

    @property
    def service_flow(self, /) -> str:
        """The way through the vessel: "down" or "up"."""

    @property
    def standby_after_bv(self, /) -> float | None:
        """Throughput after which the rest comes [bed volumes]."""

    @property
    def standby_hours(self, /) -> float | None:
        """Rest in the middle of the run [h], if it has one."""

    def to_json(self, /) -> str:
        """The service run as JSON text.

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
    salt_budget_kg_per_week : float or Quantity, optional
        Salt the owner pays for [kg/week], 0 to 1e9.
    accepted_leakage_mg_per_l_caco3 : float or Quantity, optional
        Leakage that the users accept, as a mean over the run [mg/L as CaCO3], 0 to 1e6.

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
        water_use_m3_per_day: Number,
        *,
        salt_budget_kg_per_week: Number | None = None,
        accepted_leakage_mg_per_l_caco3: Number | None = None,
    ) -> Site: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def accepted_leakage_mg_per_l_caco3(self, /) -> float | None:
        """Mean leakage that the users accept [mg/L as CaCO3]."""

    @classmethod
    def from_json(cls, /, text: str) -> Site:
        """Read a site from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Site
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
        """The site as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

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
        Flow [bed volumes per hour], 0.05 to 500; that of the brine before it if None.
    direction : {"co-current", "counter-current"}, optional
        Direction, relative to service; that of the brine before it if None.
    water : {"soft", "feed"}, optional
        Its water; the regeneration's `slow_rinse_water` if None, else that of the brine.
    volume_bv : float or Quantity, optional
        Volume [bed volumes], 0.001 to 1000; the regeneration's `slow_rinse_bv` if no end is given.
    minutes : float or Quantity, optional
        Duration [min], 0.01 to 1e5.
    until_hardness_mg_per_l_caco3 : float or Quantity, optional
        Hardness of what leaves that ends the step [mg/L as CaCO3], 1e-6 to 1e6, armed once one void volume has
        left.
    until_chloride_mg_per_l : float or Quantity, optional
        Chloride of what leaves that ends the step [mg/L], 0.001 to 1e6, armed likewise.
    at_most_bv : float or Quantity, optional
        Volume at which such a step ends all the same [bed volumes], 0.001 to 1000; must be given with either.

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
    ) -> SlowRinse: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def at_most_bv(self, /) -> float | None:
        """Volume at which it ends all the same, if it ends on what leaves [bed volumes]."""

    @property
    def direction(self, /) -> _Direction | None:
        """Direction, relative to service: "co-current" or "counter-current"."""

    @property
    def flow_bv_per_h(self, /) -> float | None:
        """Flow [bed volumes per hour]."""

    @classmethod
    def from_json(cls, /, text: str) -> SlowRinse:
        """Read a rinse from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        SlowRinse or FastRinse
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
        """The rinse as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def until_chloride_mg_per_l(self, /) -> float | None:
        """Effluent chloride that ends it [mg/L]."""

    @property
    def until_hardness_mg_per_l_caco3(self, /) -> float | None:
        """Effluent hardness that ends it [mg/L as CaCO3]."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""

    @property
    def water(self, /) -> _Water | None:
        """Its water: "feed" or "soft"."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Standby:
    """No flow: liquid and beads go to equilibrium with each other where they are.

    Parameters
    ----------
    minutes : float or Quantity
        Duration [min], 0.01 to 1e6.

    Raises
    ------
    InputError
        For a value out of limits."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, minutes: Number) -> Standby: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Standby:
        """Read a standby from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Standby
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
        """The standby as JSON text.

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
        Concentration of each ion by its symbol, as `ions` has them, 0 to 1e6 in `unit`. Quantities are converted into
        it, whether mass, moles, equivalents or mass as calcium carbonate.
    unit : {"mg/L", "mg/L CaCO3", "mmol/L", "meq/L"}, default "mg/L"
        Unit of the concentrations.
    temperature_c : float or Quantity, default 20.0
        Temperature [C], 1 to 45. The default is room temperature (a choice, no source): rates and brine depend on it.
    balance : str, optional
        Symbol of the ion whose concentration is set so that charges balance, whatever was given for it.

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
        ions: Mapping[str, Number],
        unit: str = "mg/L",
        *,
        temperature_c: Number = 20.0,
        balance: str | None = None,
    ) -> Water: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @property
    def balance(self, /) -> str | None:
        """The ion that closes the charge balance, if one was named."""

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
        """Read a water from JSON text.

        Parameters
        ----------
        text : str
            What `to_json` wrote.

        Returns
        -------
        Water
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
        """Concentration of each ion as given, in `unit`."""

    @property
    def normality_eq_per_l(self, /) -> float:
        """Normality [eq/L]: the sum over cations, which the anions equal."""

    @property
    def temperature_c(self, /) -> float:
        """Temperature [C]."""

    def to_json(self, /) -> str:
        """The water as JSON text.

        Returns
        -------
        str
            A JSON object, which `from_json` reads."""

    @property
    def unit(self, /) -> str:
        """Unit of the analysis."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

def compare(cases: Sequence[Case], at: str, progress: _Progress | None) -> tuple[list[Cycle], str, str, dict[str, int]]:
    """Compare strategies at equal dose or equal leakage."""

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

def hydraulics(case: Case) -> list[dict[str, Any]]:
    """What the flow of each step of a case does to its bed, a dict by column for each step."""

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
