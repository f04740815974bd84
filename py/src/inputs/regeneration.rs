//! A regeneration.

use brinefront::inputs::recipe;
use brinefront::inputs::regeneration::{self, BrineWater, Direction};
use brinefront::inputs::salt::Salt;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple, PyType};

use super::Recipe;
use super::text::{self, Repr};
use crate::convert::{from_name, ion_dict, ion_map};
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// The warmest water allowed: what is above saturation there is so in every case. A case checks at its own temperature.
const WARMEST_C: f64 = 45.0;

/// A regeneration: direction of the brine, salt, brine and rinses.
///
/// Parameters
/// ----------
/// direction : {"co-current", "counter-current"}
///     Direction of the brine, relative to service.
/// dose_g_per_l : float or Quantity
///     Pure salt per litre of packed resin [g/L], 1 to 2000.
/// salt : {"NaCl", "KCl"}, default "NaCl"
///     Formula of the salt.
/// strength_percent : float or Quantity, optional
///     Strength of the brine [% by weight], 0.1 to saturation at the water's temperature; 10 if neither this nor the
///     normality is given, within the 8 to 12 % that published co-current capacities are quoted for (common practice,
///     no source).
/// normality_eq_per_l : float or Quantity, optional
///     Strength of the brine as normality of the salt alone [eq/L], 0.01 to 20, instead.
/// flow_bv_per_h : float or Quantity, optional
///     Flow of the brine and the slow rinse [bed volumes per hour], 0.05 to 100; 3 if None (a choice, no source).
/// brine_water : {"soft", "feed"}, default "soft"
///     The water that brine is made with: the feed softened, or raw.
/// soft_water_leakage_mg_per_l_caco3 : float or Quantity, default 0.0
///     Hardness left in the soft water [mg/L as CaCO3], 0 to 1e4.
/// slow_rinse_bv : float or Quantity, optional
///     Slow rinse [bed volumes], 0 to 100; 1.5 if None (common practice, no source).
/// fast_rinse_bv : float or Quantity, optional
///     Fast rinse [bed volumes], 0 to 1000; 3 if None (common practice, no source).
/// fast_rinse_flow_bv_per_h : float or Quantity, optional
///     Flow of the fast rinse [bed volumes per hour], 0.05 to 500; 12 if None (common practice, no source).
/// backwash_mixing : float or Quantity, optional
///     Fraction of the bed, from the top, that the backwash turns over, 0 to 1; 1 with a backwash and 0 without if None
///     (an assumption).
/// backwash_flow_m_per_h : float or Quantity, optional
///     Backwash flow [m/h], 0.1 to 100; 15 if None, within the 12 to 20 of Davis (2010).
/// backwash_min : float or Quantity, optional
///     Backwash time [min], 0 to 600; if None 10 for co-current, within the 5 to 15 of Davis, and 0 for
///     counter-current.
/// salt_purity_percent : float or Quantity, optional
///     Pure salt in the salt as sold [% by mass], 50 to 100. The dose stays pure salt; figures of the salt as sold
///     follow.
/// salt_impurities_percent : mapping of str to float or Quantity, optional
///     Other cations in the salt as sold [% by mass of the ion], 0 to 20 each, which go with the brine as chlorides:
///     `{"Ca": 0.3, "Mg": 0.05}`.
/// slow_rinse_water : {"soft", "feed"}, optional
///     The water of the slow rinse; that of the brine if None.
/// reclaim_from_bv : float or Quantity, optional
///     What leaves from here on [bed volumes after the first brine enters], 0 to 100, is kept in a mixed tank and comes
///     ahead of the next regeneration's own brine; none is kept if None.
/// reclaim_to_bv : float or Quantity, optional
///     Throughput to which it is kept [bed volumes], above `reclaim_from_bv`.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or strength and normality given together.
///
/// References
/// ----------
/// * Davis, M. L. (2010), Water and Wastewater Engineering, Table 8-2.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> regeneration = bf.Regeneration("counter-current", 96.0, strength_percent=10.0)
/// >>> regeneration.mirrored().direction
/// 'co-current'
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Regeneration(pub regeneration::Regeneration);

#[pymethods]
impl Regeneration {
    #[new]
    #[pyo3(
        signature = (
            direction, dose_g_per_l, *, salt = "NaCl", strength_percent = None, normality_eq_per_l = None,
            flow_bv_per_h = None, brine_water = "soft", soft_water_leakage_mg_per_l_caco3 = Number::Plain(0.0),
            slow_rinse_bv = None, fast_rinse_bv = None, fast_rinse_flow_bv_per_h = None, backwash_mixing = None,
            backwash_flow_m_per_h = None, backwash_min = None, salt_purity_percent = None, salt_impurities_percent = None,
            slow_rinse_water = None, reclaim_from_bv = None, reclaim_to_bv = None,
        ),
        text_signature = "(direction, dose_g_per_l, *, salt='NaCl', strength_percent=None, normality_eq_per_l=None, \
            flow_bv_per_h=None, brine_water='soft', soft_water_leakage_mg_per_l_caco3=0.0, slow_rinse_bv=None, \
            fast_rinse_bv=None, fast_rinse_flow_bv_per_h=None, backwash_mixing=None, backwash_flow_m_per_h=None, \
            backwash_min=None, salt_purity_percent=None, salt_impurities_percent=None, slow_rinse_water=None, \
            reclaim_from_bv=None, reclaim_to_bv=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
    fn new(
        direction: &str,
        dose_g_per_l: Number<'_>,
        salt: &str,
        strength_percent: Option<Number<'_>>,
        normality_eq_per_l: Option<Number<'_>>,
        flow_bv_per_h: Option<Number<'_>>,
        brine_water: &str,
        soft_water_leakage_mg_per_l_caco3: Number<'_>,
        slow_rinse_bv: Option<Number<'_>>,
        fast_rinse_bv: Option<Number<'_>>,
        fast_rinse_flow_bv_per_h: Option<Number<'_>>,
        backwash_mixing: Option<Number<'_>>,
        backwash_flow_m_per_h: Option<Number<'_>>,
        backwash_min: Option<Number<'_>>,
        salt_purity_percent: Option<Number<'_>>,
        salt_impurities_percent: Option<&Bound<'_, PyAny>>,
        slow_rinse_water: Option<&str>,
        reclaim_from_bv: Option<Number<'_>>,
        reclaim_to_bv: Option<Number<'_>>,
    ) -> PyResult<Self> {
        numbers!("regeneration":
            dose_g_per_l, strength_percent, normality_eq_per_l, flow_bv_per_h, soft_water_leakage_mg_per_l_caco3,
            slow_rinse_bv, fast_rinse_bv, fast_rinse_flow_bv_per_h, backwash_mixing, backwash_flow_m_per_h, backwash_min,
            salt_purity_percent, reclaim_from_bv, reclaim_to_bv,
        );
        let default = regeneration::Regeneration::new(Direction::parse(direction).map_err(to_python)?, dose_g_per_l);
        Self::checked(regeneration::Regeneration {
            salt: Salt::parse(salt).map_err(to_python)?,
            strength_percent,
            normality_eq_per_l,
            flow_bv_per_h: flow_bv_per_h.unwrap_or(default.flow_bv_per_h),
            brine_water: BrineWater::parse(brine_water).map_err(to_python)?,
            soft_water_leakage_mg_per_l_caco3,
            slow_rinse_bv: slow_rinse_bv.unwrap_or(default.slow_rinse_bv),
            fast_rinse_bv: fast_rinse_bv.unwrap_or(default.fast_rinse_bv),
            fast_rinse_flow_bv_per_h: fast_rinse_flow_bv_per_h.unwrap_or(default.fast_rinse_flow_bv_per_h),
            backwash_mixing,
            backwash_flow_m_per_h,
            backwash_min,
            salt_purity_percent,
            salt_impurities_percent: match salt_impurities_percent {
                Some(given) => ion_map("regeneration.salt_impurities_percent", given)?,
                None => default.salt_impurities_percent.clone(),
            },
            slow_rinse_water: slow_rinse_water
                .map(|name| from_name("regeneration.slow_rinse_water", name, "must be soft or feed"))
                .transpose()?,
            reclaim_from_bv,
            reclaim_to_bv,
            ..default
        })
    }

    /// Direction of the brine, relative to service: "co-current" or "counter-current".
    #[getter]
    fn direction(&self) -> &'static str {
        self.0.direction.name()
    }

    /// Formula of the salt.
    #[getter]
    fn salt(&self) -> &'static str {
        self.0.salt.formula()
    }

    /// Mass of one equivalent of the salt [g/eq].
    #[getter]
    fn salt_g_per_eq(&self) -> f64 {
        self.0.salt.g_per_eq()
    }

    /// Pure salt per litre of packed resin [g/L].
    #[getter]
    fn dose_g_per_l(&self) -> f64 {
        self.0.dose_g_per_l
    }

    /// Strength of the brine [% by weight], if given so.
    #[getter]
    fn strength_percent(&self) -> Option<f64> {
        self.0.strength_percent
    }

    /// Strength of the brine as normality of the salt alone [eq/L], if given so.
    #[getter]
    fn normality_eq_per_l(&self) -> Option<f64> {
        self.0.normality_eq_per_l
    }

    /// Flow of the brine and the slow rinse [bed volumes per hour].
    #[getter]
    fn flow_bv_per_h(&self) -> f64 {
        self.0.flow_bv_per_h
    }

    /// The water that brine is made with: "soft" or "feed".
    #[getter]
    fn brine_water(&self) -> &'static str {
        self.0.brine_water.name()
    }

    /// Hardness left in the soft water [mg/L as CaCO3].
    #[getter]
    fn soft_water_leakage_mg_per_l_caco3(&self) -> f64 {
        self.0.soft_water_leakage_mg_per_l_caco3
    }

    /// Slow rinse [bed volumes].
    #[getter]
    fn slow_rinse_bv(&self) -> f64 {
        self.0.slow_rinse_bv
    }

    /// Fast rinse [bed volumes].
    #[getter]
    fn fast_rinse_bv(&self) -> f64 {
        self.0.fast_rinse_bv
    }

    /// Flow of the fast rinse [bed volumes per hour].
    #[getter]
    fn fast_rinse_flow_bv_per_h(&self) -> f64 {
        self.0.fast_rinse_flow_bv_per_h
    }

    /// Fraction of the bed, from the top, that the backwash turns over; `None` is 1 with a backwash, 0 without.
    #[getter]
    fn backwash_mixing(&self) -> Option<f64> {
        self.0.backwash_mixing
    }

    /// Backwash flow [m/h]; `None` is 15.
    #[getter]
    fn backwash_flow_m_per_h(&self) -> Option<f64> {
        self.0.backwash_flow_m_per_h
    }

    /// Backwash time [min]; `None` is 10 for co-current, none for counter-current.
    #[getter]
    fn backwash_min(&self) -> Option<f64> {
        self.0.backwash_min
    }

    /// Pure salt in the salt as sold [mass %], if given.
    #[getter]
    fn salt_purity_percent(&self) -> Option<f64> {
        self.0.salt_purity_percent
    }

    /// Other cations in the salt as sold [mass % of the ion], a dict by ion.
    #[getter]
    fn salt_impurities_percent<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        ion_dict(py, &self.0.salt_impurities_percent)
    }

    /// The water of the slow rinse; `None` is that of the brine.
    #[getter]
    fn slow_rinse_water(&self) -> Option<&'static str> {
        self.0.slow_rinse_water.map(BrineWater::name)
    }

    /// Throughput from which spent regenerant is kept [bed volumes since the first brine enters].
    #[getter]
    fn reclaim_from_bv(&self) -> Option<f64> {
        self.0.reclaim_from_bv
    }

    /// Throughput to which it is kept [bed volumes].
    #[getter]
    fn reclaim_to_bv(&self) -> Option<f64> {
        self.0.reclaim_to_bv
    }

    /// The other direction, all else equal.
    ///
    /// Returns
    /// -------
    /// Regeneration
    ///     Co-current with a backwash that turns the bed over, counter-current without.
    fn mirrored(&self) -> Self {
        Self(self.0.mirrored())
    }

    /// The recipe that this regeneration stands for; its steps leave open what the regeneration says.
    ///
    /// Returns
    /// -------
    /// Recipe
    ///     A backwash where it has one, brine, slow rinse, fast rinse.
    fn recipe(&self) -> Recipe {
        Recipe(recipe::Recipe::of(&self.0))
    }

    /// Read a regeneration from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Regeneration
    ///     As it was.
    ///
    /// Raises
    /// ------
    /// CaseFileError
    ///     For a text that cannot be understood.
    /// InputError
    ///     For a value out of limits.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "regeneration")?)
    }

    /// The regeneration as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.0)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    pub(super) fn __repr__(&self) -> String {
        let it = &self.0;
        let repr = Repr::of("Regeneration")
            .word("direction", self.direction())
            .word("salt", self.salt())
            .number("dose_g_per_l", it.dose_g_per_l)
            .number_if("strength_percent", it.strength_percent)
            .number_if("normality_eq_per_l", it.normality_eq_per_l)
            .number("flow_bv_per_h", it.flow_bv_per_h)
            .word("brine_water", self.brine_water())
            .number_if(
                "soft_water_leakage_mg_per_l_caco3",
                Some(it.soft_water_leakage_mg_per_l_caco3).filter(|v| *v > 0.0),
            )
            .number("slow_rinse_bv", it.slow_rinse_bv)
            .number("fast_rinse_bv", it.fast_rinse_bv)
            .number("fast_rinse_flow_bv_per_h", it.fast_rinse_flow_bv_per_h)
            .number_if("backwash_mixing", it.backwash_mixing)
            .number_if("backwash_flow_m_per_h", it.backwash_flow_m_per_h)
            .number_if("backwash_min", it.backwash_min)
            .number_if("salt_purity_percent", it.salt_purity_percent);
        let impurities = &it.salt_impurities_percent;
        let repr = match impurities.is_empty() {
            true => repr,
            false => repr.raw("salt_impurities_percent", &text::dict_repr(impurities)),
        };
        match self.slow_rinse_water() {
            Some(water) => repr.word("slow_rinse_water", water),
            None => repr,
        }
        .number_if("reclaim_from_bv", it.reclaim_from_bv)
        .number_if("reclaim_to_bv", it.reclaim_to_bv)
        .end()
    }
}

impl Regeneration {
    fn checked(regeneration: regeneration::Regeneration) -> PyResult<Self> {
        regeneration.validate(WARMEST_C).map_err(to_python)?;
        Ok(Self(regeneration))
    }
}
