//! Beds to run: one softener with given rates, and columns of which closed forms know every parameter.

use brinefront::Case;
use brinefront::cycle::run::Loading;
use brinefront::inputs::bed::Bed;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::rates::Rates;
use brinefront::inputs::regeneration::{Direction, Regeneration};
use brinefront::inputs::resin::{BeadDiffusivity, Resin, Selectivity};
use brinefront::inputs::service::{Service, ServiceFlow};
use brinefront::inputs::water::{ConcentrationUnit, Water};

/// A softener on a water of three cations, 100 cells, with film, bead and dispersion given.
///
/// Service runs at 20 BV/h to 17 mg/L as CaCO3; brine of 10 % at 3 BV/h. A co-current recipe turns the bed over.
pub fn softener(direction: Direction, dose_g_per_l: f64) -> Case {
    let water = Water {
        ions: [(Ion::NA, 60.0), (Ion::MG, 24.0), (Ion::CA, 80.0)].into(),
        unit: ConcentrationUnit::MgPerL,
        temperature_c: 15.0,
        balance: None,
    };
    let resin = Resin {
        capacity_eq_per_l: 1.9,
        selectivity: Selectivity::Given([(Ion::MG, 1.66), (Ion::CA, 2.6)].into()),
        bead_diameter_mm: 0.6,
        void_fraction: 0.38,
        bead_diffusivity_m2_per_s: BeadDiffusivity::One(1.5e-11),
        ..Resin::default()
    };
    let bed = Bed { depth_m: Some(0.9), diameter_m: Some(0.3), ..Bed::default() };
    let service = Service {
        flow_bv_per_h: 20.0,
        limit_mg_per_l_caco3: Some(17.0),
        volume_bv: None,
        service_flow: ServiceFlow::Down,
        standby_hours: None,
        standby_after_bv: None,
    };
    let mut case = Case::new(water, resin, bed, service, Regeneration::new(direction, dose_g_per_l));
    case.regeneration.strength_percent = Some(10.0);
    case.rates = rates(0.1, 0.006, 2e-6);
    case.cells = 100.into();
    case
}

/// The softener on 10 cells with loose time steps and a metered service: a case that costs next to nothing.
pub fn tiny(direction: Direction, dose_g_per_l: f64) -> Case {
    let mut case = softener(direction, dose_g_per_l);
    case.cells = 10.into();
    case.tolerance = 0.01;
    case.service.volume_bv = Some(60.0);
    case
}

/// Total capacity of a column for closed forms \[eq/L of bed\].
pub const COLUMN_CAPACITY: f64 = 2.0;
/// Its void fraction.
pub const COLUMN_VOID: f64 = 0.38;
/// Its depth \[m\].
pub const COLUMN_DEPTH_M: f64 = 0.9;
/// Flow of its service \[BV/h\].
pub const COLUMN_SERVICE_BV_PER_H: f64 = 20.0;
/// Time in which its service water passes one bed volume \[s\].
pub const COLUMN_SERVICE_S_PER_BV: f64 = 3600.0 / COLUMN_SERVICE_BV_PER_H;
/// Flow of its brine \[BV/h\].
pub const COLUMN_BRINE_BV_PER_H: f64 = 3.0;

/// A column on 100 cells fed with a water \[meq/L\] whose ions have these coefficients against sodium.
pub fn column(water_meq_per_l: &[(Ion, f64)], selectivity: &[(Ion, f64)], rates: Rates) -> Case {
    let water = Water {
        ions: water_meq_per_l.iter().copied().collect(),
        unit: ConcentrationUnit::MeqPerL,
        temperature_c: 20.0,
        balance: None,
    };
    let resin = Resin {
        capacity_eq_per_l: COLUMN_CAPACITY,
        selectivity: Selectivity::Given(selectivity.iter().copied().collect()),
        void_fraction: COLUMN_VOID,
        ..Resin::default()
    };
    let bed = Bed { depth_m: Some(COLUMN_DEPTH_M), diameter_m: Some(0.3), ..Bed::default() };
    let service = Service {
        flow_bv_per_h: COLUMN_SERVICE_BV_PER_H,
        limit_mg_per_l_caco3: None,
        volume_bv: Some(100.0),
        service_flow: ServiceFlow::Down,
        standby_hours: None,
        standby_after_bv: None,
    };
    let mut case = Case::new(water, resin, bed, service, Regeneration::new(Direction::CoCurrent, 100.0));
    case.regeneration.flow_bv_per_h = COLUMN_BRINE_BV_PER_H;
    case.rates = rates;
    case.cells = 100.into();
    case
}

/// A column of sodium alone: nothing exchanges, whatever flows is an inert tracer.
pub fn sodium_column(normality_meq_per_l: f64, dispersion_m2_per_s: f64) -> Case {
    column(&[(Ion::NA, normality_meq_per_l)], &[], rates(0.1, 0.006, dispersion_m2_per_s))
}

/// A column fed with sodium and potassium.
pub fn sodium_potassium_column(na_meq_per_l: f64, k_meq_per_l: f64, selectivity: f64, rates: Rates) -> Case {
    column(&[(Ion::NA, na_meq_per_l), (Ion::K, k_meq_per_l)], &[(Ion::K, selectivity)], rates)
}

/// A column fed with sodium and calcium.
pub fn sodium_calcium_column(na_meq_per_l: f64, ca_meq_per_l: f64, selectivity: f64, rates: Rates) -> Case {
    column(&[(Ion::NA, na_meq_per_l), (Ion::CA, ca_meq_per_l)], &[(Ion::CA, selectivity)], rates)
}

/// Film and bead rates \[1/s\] and interstitial dispersion \[m2/s\], all given.
pub fn rates(film_per_s: f64, bead_per_s: f64, dispersion_m2_per_s: f64) -> Rates {
    Rates {
        film_per_s: Some(film_per_s),
        bead_per_s: Some(bead_per_s),
        dispersion_m2_per_s: Some(dispersion_m2_per_s),
        ..Rates::default()
    }
}

/// A loading from fractions of the capacity.
pub fn loaded(fractions: &[(Ion, f64)]) -> Loading {
    Loading::Fractions(fractions.iter().copied().collect())
}
