# Written by `py/stubs.py`; change that, or the signatures and docstrings in `py/src`.
"""Native half of brinefront; import `brinefront` instead.

A free-threaded Python turns its lock on when it loads this module, and says so in a `RuntimeWarning`: what the module
holds is frozen and a run releases the interpreter, but it has not been tested without the lock."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from os import PathLike
from typing import Any, ClassVar, Final, Literal, SupportsIndex, TypeAlias, final

from brinefront.quantity import Number, Quantity
from brinefront.results import Cycle, Run
from brinefront.salt_account import SaltAccount

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

    It ends on `minutes` or `volume_bv`. What is left out, the case's regeneration says (`backwash_flow_m_per_h`,
    `backwash_min`, `backwash_mixing`), else 15 m/h, 10 min, 1.0. `water` is "feed" unless "soft"."""

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
        """Read a backwash from JSON text."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    @property
    def mixing(self, /) -> float | None:
        """Fraction of the bed, from the top, that is turned over."""

    def to_json(self, /) -> str:
        """The backwash as JSON text."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""

    @property
    def water(self, /) -> _Water | None:
        """Its water: "feed" or "soft"."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Bed:
    """A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`. `held_down` says that it is kept from rising when
    brine or rinse goes up through it.

    `lifted_mixing` says how beads mix in a step that lifts a bed nothing holds: "none", "full" (the lifted part mixed through)
    or "dispersion", with a coefficient of your own, `solid_mixing_m2_per_s`.

    `freeboard_l` and `under_bed_l` are the liquid above and below the bed [L], each ideally stirred: bed volumes times the bed's
    own litres, or a height times the section. What enters goes through the one at its end, the bed, and the other; both keep
    what they hold through stops and reversals. A leakage limit, and a rinse that ends on what leaves, are armed once as much as
    void and spaces hold has been delivered. A backwash replaces what they hold, as it does the void. 0 leaves them out."""

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
        """Read a bed from JSON text."""

    @property
    def held_down(self, /) -> bool:
        """Is the bed kept from rising when brine or rinse goes up through it?"""

    @property
    def lifted_mixing(self, /) -> str:
        """How beads mix in a step that lifts the bed: "none", "dispersion" or "full"."""

    @property
    def solid_mixing_m2_per_s(self, /) -> float | None:
        """Coefficient with which beads wander in a lifted bed [m2/s], if given."""

    def to_json(self, /) -> str:
        """The bed as JSON text."""

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
    whatever the dose; brine steps that say none of these share equally what the others leave of the dose. Flow and
    `direction` ("co-current" or "counter-current", relative to service) are the regeneration's where left out."""

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
        """Read a brine from JSON text."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    @property
    def share(self, /) -> float | None:
        """Share of the dose."""

    def to_json(self, /) -> str:
        """The brine as JSON text."""

    @property
    def volume_bv(self, /) -> float | None:
        """Volume [bed volumes]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Case:
    """A water, a resin, a bed, a service run and a regeneration: everything one simulation needs.

    `kinetics` is "equilibrium" (beads in equilibrium with the liquid around them), "lumped" (film and bead as two
    resistances in series) or "radial" (beads cut into `shells`, every ion at its own diffusivity by Nernst-Planck; 10 shells
    are a ladder that follows a sphere within 0.003 %, any other number from 2 to 100 an ordinary grid). `tolerance` is the error allowed
    in one time step, relative to the bed's capacity and to the larger normality in the bed. `cells` is a number, or "auto":
    doubled from 25 to at most 800 until the estimated numerical error of leakages is within `accuracy` of them, that of run
    length and capacity within a tenth of it. `activity` is "ideal", "davies" (to an ionic strength of 0.5 mol/kg) or "pitzer"
    (in brine): the activity coefficients of each cell's own liquid. `maldistribution` says how unevenly water goes through the
    bed; evenly without. `recipe` gives the steps between two service runs; without, they are those
    that the regeneration stands for."""

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
        """Run to the cyclic steady state; `progress` is called with `(done, total, cycle, residual)`."""

    def cycles(self, /, n: int, *, progress: _Progress | None = None) -> list[Cycle]:
        """Run `n` cycles from new resin; a list, the first cycle first."""

    def elute(
        self,
        /,
        from_loading: Mapping[str, Number] | str,
        volume_bv: Number,
        normality_eq_per_l: Number,
        *,
        progress: _Progress | None = None,
    ) -> Run:
        """One elution of `volume_bv` bed volumes with the salt alone, at the brine's flow and direction.

        `normality_eq_per_l` is the total normality at the inlet."""

    @property
    def feed_hardness_mg_per_l_caco3(self, /) -> float:
        """Hardness of the feed [mg/L as CaCO3], from the ions that count as hardness here."""

    @classmethod
    def from_json(cls, /, text: str) -> Case:
        """Read a case from JSON text."""

    @classmethod
    def from_toml(cls, /, path: str | PathLike[str]) -> Case:
        """Read a case from a TOML file."""

    @property
    def hardness_ions(self, /) -> tuple[str, ...]:
        """The ions that count as hardness."""

    @property
    def kinetics(self, /) -> str:
        """How exchange is limited: "equilibrium", "lumped" or "radial"."""

    def load(
        self, /, from_loading: Mapping[str, Number] | str, volume_bv: Number, *, progress: _Progress | None = None
    ) -> Run:
        """One loading run of `volume_bv` bed volumes with the feed, at the service flow and without a limit.

        `from_loading` is the resin's loading as equivalent fractions by ion, or "feed": in equilibrium with the feed."""

    @property
    def maldistribution(self, /) -> Maldistribution | None:
        """How unevenly water goes through the bed; evenly without."""

    def mirrored(self, /) -> Case:
        """The mirror of this case: the brine in the other direction, with the backwash that direction has.

        Brine and slow rinses of a recipe change direction, fast rinses stay. Every backwash of a co-current recipe turns the
        whole bed over, and one is put first where there is none; a counter-current recipe has none."""

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
        """The case with fields changed by their dotted names, all at once: `{"regeneration.dose_g_per_l": 120.0}`.

        `None` takes an optional field away. A whole part may be given: `{"water": Water(...)}`, `{"recipe": Recipe(...)}`.
        Steps of a recipe are counted from 0: `{"recipe.1.flow_bv_per_h": 2.0}`. Quantities with units are converted; where
        the bed stays as it is, volumes and flows of water are divided by its volume."""

    @property
    def resin(self, /) -> Resin:
        """The resin."""

    def salt_account(self, /, order: str = "ladder", *, progress: _Progress | None = None) -> SaltAccount:
        """Where the salt of a regeneration went: beds that gain one effect after the other, each at its own steady cycle.

        `order` is "ladder" (each effect is charged what it adds to those before it) or "shapley" (the mean over all orders
        of at most six effects). A metered end of service is set aside: every run goes to the limit of the case, or to 17 mg/L
        as CaCO3 where it has none."""

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
        """The case as JSON text."""

    def to_toml(self, /) -> str:
        """The case as the text of a TOML file."""

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

    It ends on `volume_bv`, on `minutes`, or where what leaves, once one void volume has left, is down to
    `until_hardness_mg_per_l_caco3` or `until_chloride_mg_per_l`; then at `at_most_bv` all the same. Left out, flow and volume are the regeneration's
    (`fast_rinse_flow_bv_per_h`, `fast_rinse_bv`), `direction` is that of service and `water` the feed."""

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
        """Read a rinse from JSON text."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The rinse as JSON text."""

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
    """How unevenly water goes through the section of a bed, as stream tubes that run its whole depth and do not mix.

    Either a log-normal `spread` (standard deviation of the logarithm of the flow, 0 to 1) over `tubes` of equal area, each with
    the mean flow of its share of the section; or two tubes, of which the fast one has `fast_flow_share` of the flow in
    `fast_area_share` of the area. What leaves is mixed by flow. The tail of a log-normal is cut finer by more tubes: a run to a
    low limit, which the fastest tube decides, becomes shorter with them.

    Service and fast rinse go by the tubes' service flows, brine and slow rinse by their regenerant flows, which have the same
    distribution. `correlation` (0 to 1) is their coefficient of correlation over the area of the bed: that share of it has the
    same rank in both, in the rest every rank in service meets every rank in regeneration. 1 takes n tubes, less n x n; the time
    of a run rises with them."""

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
        """Read it from JSON text."""

    @property
    def spread(self, /) -> float | None:
        """Standard deviation of the logarithm of the flow, if given."""

    def stream_tubes(self, /) -> list[tuple[float, float, float]]:
        """Every stream tube: share of the area, and velocities in service and of the regenerant over the mean of the section."""

    def to_json(self, /) -> str:
        """It as JSON text."""

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
    """Given rates; `None` is correlated. A given rate holds in every step.

    `film_correlation` is "gnielinski", "carberry", "wilson-geankoplis" or "wakao".

    `film_diffusion` is "mean", one diffusivity for all ions in the film, or "by-ion", each its own, held together by
    electroneutrality (Nernst and Planck); loading and regeneration then differ in rate."""

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
        """Read rates from JSON text."""

    def to_json(self, /) -> str:
        """The rates as JSON text."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Recipe:
    """The steps between two service runs, in the order given; at least one is a brine.

    What a step leaves out, the case's regeneration says."""

    def __eq__(self, value: object, /) -> bool: ...
    def __getitem__(self, index: SupportsIndex, /) -> _Step: ...
    def __len__(self, /) -> int: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, steps: Iterable[_Step]) -> Recipe: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Recipe:
        """Read a recipe from JSON text."""

    @property
    def steps(self, /) -> tuple[_Step, ...]:
        """The steps, in their order."""

    def to_json(self, /) -> str:
        """The recipe as JSON text."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Regeneration:
    """A regeneration: direction of the brine ("co-current" or "counter-current", relative to service), salt, brine, rinses.

    `dose_g_per_l` is pure salt per litre of packed resin. The brine's strength is `strength_percent` by weight (10 if
    nothing is given) or `normality_eq_per_l` of the salt alone. `brine_water` is "soft" or "feed". A co-current
    regeneration starts with a backwash of 15 m/h for 10 min that turns the whole bed over (`backwash_mixing` 1); a
    counter-current one has none.

    `salt_purity_percent` is the pure salt in the salt as sold, `salt_impurities_percent` other cations in it (mass % of the
    ion, a dict as `{"Ca": 0.3, "Mg": 0.05}`), which go with the brine as chlorides; the dose stays pure salt. The slow rinse
    takes `slow_rinse_water`, else that of the brine. What leaves from `reclaim_from_bv` to `reclaim_to_bv` bed volumes after
    the first brine enters is kept in a mixed tank and comes ahead of the next regeneration's own brine."""

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
        """Read a regeneration from JSON text."""

    def mirrored(self, /) -> Regeneration:
        """The other direction, all else equal: co-current with a backwash that turns the bed over, counter-current without."""

    @property
    def normality_eq_per_l(self, /) -> float | None:
        """Strength of the brine as normality of the salt alone [eq/L], if given so."""

    def recipe(self, /) -> Recipe:
        """The recipe that this regeneration stands for; its steps leave open what the regeneration says."""

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
        """The regeneration as JSON text."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Resin:
    """A strong-acid cation resin as packed in a bed; `Resin()` is a new gel resin with 8 % divinylbenzene.

    `capacity_eq_per_l` is per litre of packed bed. `selectivity` holds Gaines-Thomas coefficients against sodium in the
    normality/capacity form (sodium is 1), or names a published set ("BonnerSmith1957"); `selectivity_basis` says whether
    they count the capacity per litre of "bed" or of "bead". `crosslinking_percent` picks the column of a named set (8
    without). `selectivity_at_eq_per_l` is the normality of the chloride solution, half sodium and half the ion in
    equivalents, in which coefficients were measured with concentrations; without, they are those of infinite dilution.

    `bead_diffusivity_m2_per_s` is stated at 25 C, one value or a dict by ion. `bead_sizes` are pairs of diameter [mm] and
    share of the volume, for radial kinetics; they lie behind one film. With `sorbed_salt` the liquid in the beads takes up
    salt from the brine by Donnan's equilibrium, `bead_water_fraction` being the water in a bead by volume.
    `wet_bead_kg_per_m3` is for hydraulics alone. After `age_years` a bed has lost `capacity_loss_percent_per_year` (5) of its
    capacity each year, compounded; selectivity and rates stay."""

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
        """Read a resin from JSON text."""

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
        """Does the liquid in the beads take up salt from the brine?"""

    def to_json(self, /) -> str:
        """The resin as JSON text."""

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

    `service_flow` is the way through the vessel, "down" or "up". `standby_hours` of rest come after `standby_after_bv` bed
    volumes of the run, if both are given; a limit is armed again one void volume after it."""

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
        """Read a service run from JSON text."""

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
        """The service run as JSON text."""

    @property
    def volume_bv(self, /) -> float | None:
        """Throughput that ends the run [bed volumes]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Site:
    """What a softener has to deliver, and what its owner allows it."""

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
        """Read a site from JSON text."""

    @property
    def name(self, /) -> str:
        """What it is called."""

    @property
    def salt_budget_kg_per_week(self, /) -> float | None:
        """Salt the owner pays for [kg/week]."""

    def to_json(self, /) -> str:
        """The site as JSON text."""

    @property
    def water_use_m3_per_day(self, /) -> float:
        """Soft water used [m3/day]."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class SlowRinse:
    """Displacement of the brine.

    It ends on `volume_bv`, on `minutes`, or where what leaves, once one void volume has left, is down to
    `until_hardness_mg_per_l_caco3` or `until_chloride_mg_per_l`; then at `at_most_bv` all the same. Left out, flow and `direction` are those of the brine
    before it, `water` that of the brine, and the volume `regeneration.slow_rinse_bv`."""

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
        """Read a rinse from JSON text."""

    @property
    def minutes(self, /) -> float | None:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The rinse as JSON text."""

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
    """No flow for `minutes`: liquid and beads go to equilibrium with each other where they are."""

    def __eq__(self, value: object, /) -> bool: ...
    def __ne__(self, value: object, /) -> bool: ...
    def __new__(cls, /, minutes: Number) -> Standby: ...
    def __reduce__(self, /) -> tuple[Callable[[str], object], tuple[str]]: ...
    @classmethod
    def from_json(cls, /, text: str) -> Standby:
        """Read a standby from JSON text."""

    @property
    def minutes(self, /) -> float:
        """Duration [min]."""

    def to_json(self, /) -> str:
        """The standby as JSON text."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

@final
class Water:
    """A water as analysed.

    Concentrations are in `unit`: "mg/L", "mg/L CaCO3", "mmol/L" or "meq/L"; those given with units of their own are
    converted into it, whether mass, moles, equivalents or mass as calcium carbonate. With no anion given, chloride takes the
    balance. With any anion given, an imbalance above 5 % of the total is an error unless `balance` names the ion that
    closes it."""

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
        """Was chloride assumed because no anion was given?"""

    @property
    def dissolved_solids_mg_per_l(self, /) -> float:
        """Dissolved solids [mg/L]: the mass of all ions, charges balanced, hydrogen carbonate as it stands in the water."""

    @property
    def eq_per_l(self, /) -> dict[str, float]:
        """Each ion [eq/L], charges balanced."""

    @classmethod
    def from_json(cls, /, text: str) -> Water:
        """Read a water from JSON text."""

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
        """The water as JSON text."""

    @property
    def unit(self, /) -> str:
        """Unit of the analysis."""
    __hash__: ClassVar[None]  # type: ignore[assignment]

def compare(cases: Sequence[Case], at: str, progress: _Progress | None) -> tuple[list[Cycle], str, str, dict[str, int]]:
    """Compare strategies at equal dose or equal leakage."""

def convert_concentration(symbol: str, value: Number, source: str, target: str) -> float:
    """Convert the concentration of an ion between the units that an analysis may have."""

def convert_unit(value: Number, source: str, target: str) -> float:
    """Convert `value` from one unit into another that measures the same thing.

    A quantity is taken into `source` first, whatever its own unit."""

def default_case() -> Case:
    """The built-in scenario: an invented laundry on an invented hard well, regenerated counter-current."""

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
    """Equivalent fractions on a resin in equilibrium with a solution, a dict by ion.

    `solution` holds cations in eq/L. `selectivity` holds Gaines-Thomas coefficients against sodium in the
    normality/capacity form, or names a published set. The capacity is per litre of packed bed. With `activity` "davies" or
    "pitzer" the coefficients are those of infinite dilution and the solution's own activities act on them; its anion is
    chloride, and the laws' parameters stand at 25 C whatever `temperature_c` (which the density of water follows)."""

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
    """The published sets of selectivities that a resin may name, a list of dicts.

    Each has its `name`, `source` and whether it was `read`; its `kind` ("relative" affinities or "separation-factor"), the
    `basis` of their capacity and how they are `chained` to sodium; where it holds (`normality_eq_per_l`, `temperature_c`,
    `validity`); what its `columns` are, and the `values` as printed, by column and ion."""

def sweep(case: Case, axes: dict[str, list[Any]], threads: int | None, progress: _Progress | None) -> list[_Found]:
    """Run a grid of cases: figures, effort and error of each point, in row-major order of the axes."""

def through_time(
    case: Case, from_new_resin: SupportsIndex | None, moments: int, progress: _Progress | None
) -> dict[str, Any]:
    """The bed at `moments` of a case's steady cycle, or of the last of `from_new_resin` cycles in a row, as arrays by name."""

def unit_names() -> list[str]:
    """The names of the units that `convert` knows."""

def waves(case: Case, levels: int) -> dict[str, Any]:
    """The waves of a case's cycle: figures by name, steps and pieces of paths as lists of dicts."""
