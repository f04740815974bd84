//! Softeners drawn at random within their limits, the same ones everywhere.

use std::ops::Range;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

use brinefront::Case;
use brinefront::inputs::activity::ActivityLaw;
use brinefront::inputs::bed::LiftedMixing;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::maldistribution::Maldistribution;
use brinefront::inputs::rates::{FilmCorrelation, FilmDiffusion};
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::inputs::resin::{BeadDiffusivity, BeadSize, Selectivity};
use brinefront::inputs::salt::Salt;
use brinefront::inputs::service::ServiceFlow;
use serde_json::json;

use crate::cases::softener;

/// A generator that gives the same numbers everywhere: xorshift, 64 bits (G. Marsaglia 2003, J. Stat. Softw. 8(14)).
pub struct Dice(u64);

impl Dice {
    /// A generator with a seed.
    pub fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(12345));
        (0..5).for_each(|_| {
            dice.share();
        });
        dice
    }

    /// Between 0 and 1.
    pub fn share(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Between two values, evenly on a logarithmic scale.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.share())
    }

    /// Yes in this share of the throws.
    pub fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// Nothing, or between two values.
    pub fn perhaps(&mut self, low: f64, high: f64) -> Option<f64> {
        self.chance(0.5).then(|| self.between(low, high))
    }
}

/// A softener with water, rates, flows and recipe drawn from wide ranges; none if its water holds no hardness.
pub fn drawn(seed: u64) -> Option<Case> {
    let dice = &mut Dice::new(seed);
    let direction = if dice.chance(0.5) { Direction::CoCurrent } else { Direction::CounterCurrent };
    let mut case = softener(direction, dice.between(20.0, 500.0));
    case.cells = (dice.between(4.0, 40.0) as usize).into();
    case.tolerance = dice.between(3e-5, 1e-2);
    case.kinetics = if dice.chance(0.3) { Kinetics::Equilibrium } else { Kinetics::Lumped };
    case.resin.selectivity = Selectivity::Named("BonnerSmith1957".into());
    case.water.ions.clear();
    for symbol in ["Na", "K", "NH4", "H", "Mg", "Ca", "Sr", "Ba", "Mn"] {
        if dice.chance(0.45) {
            let amount = dice.between(0.1, 500.0);
            if let Ok(ion) = Ion::parse("ion", symbol) {
                case.water.ions.insert(ion, amount);
            }
        }
    }
    case.rates.film_per_s = dice.perhaps(1e-3, 1e2);
    case.rates.bead_per_s = dice.perhaps(1e-5, 1e1);
    case.rates.dispersion_m2_per_s = if dice.chance(0.2) { Some(0.0) } else { dice.perhaps(1e-8, 1e-3) };
    case.service.flow_bv_per_h = dice.between(1.0, 100.0);
    case.service.service_flow = if dice.chance(0.5) { ServiceFlow::Down } else { ServiceFlow::Up };
    let hardness = case.water.hardness_mg_per_l_caco3(&case.hardness_ions).ok().filter(|h| *h > 0.0)?;
    case.service.limit_mg_per_l_caco3 = Some(hardness * dice.between(0.002, 0.5));
    // Up to one and a half times the water that would load the whole bed.
    let whole_bv = case.resin.capacity_eq_per_l / (hardness * 1e-3 / 50.043);
    case.service.volume_bv = Some(whole_bv * dice.between(0.05, 1.5));
    let regeneration = &mut case.regeneration;
    regeneration.strength_percent = Some(dice.between(0.5, 25.0));
    regeneration.flow_bv_per_h = dice.between(0.5, 20.0);
    regeneration.brine_water = if dice.chance(0.5) { BrineWater::Feed } else { BrineWater::Soft };
    regeneration.slow_rinse_bv = dice.perhaps(0.1, 5.0).unwrap_or(0.0);
    regeneration.fast_rinse_bv = dice.perhaps(0.1, 10.0).unwrap_or(0.0);
    if dice.chance(0.3) {
        regeneration.backwash_min = Some(10.0);
        regeneration.backwash_mixing = Some(dice.share());
    }
    Some(case)
}

/// The same with shells in the beads, every ion at a diffusivity of its own.
pub fn drawn_radial(seed: u64) -> Option<Case> {
    let mut case = drawn(seed)?;
    let dice = &mut Dice::new(seed + 1_000_000);
    radial(&mut case, dice);
    Some(case)
}

fn radial(case: &mut Case, dice: &mut Dice) {
    case.kinetics = Kinetics::Radial;
    if dice.chance(0.8) {
        case.rates.bead_per_s = None;
    }
    let cations = case.cations().unwrap_or_default();
    let diffusivities = cations.into_iter().map(|ion| (ion, dice.between(2e-12, 2e-10))).collect();
    case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities);
}

/// A softener in which every option of a bed as installed may be on; none if it is not valid.
pub fn drawn_with_options(seed: u64) -> Option<Case> {
    let mut case = drawn(seed)?;
    let dice = &mut Dice::new(seed + 2_000_000);
    // Rates of a real bed: those from wide ranges are drawn elsewhere.
    case.tolerance = dice.between(3e-4, 1e-2);
    case.cells = (dice.between(10.0, 45.0) as usize).into();
    if dice.chance(0.2) {
        radial(&mut case, dice);
        if dice.chance(0.3) {
            let sizes = [(0.4, 0.3), (0.6, 0.7)];
            case.resin.bead_sizes = sizes.map(|(diameter_mm, share)| BeadSize { diameter_mm, share }).to_vec();
        }
    }
    if dice.chance(0.15) {
        case.activity = if dice.chance(0.4) { ActivityLaw::Davies } else { ActivityLaw::Pitzer };
        case.water.ions.retain(|ion, _| matches!(ion.symbol(), "Na" | "K" | "Mg" | "Ca"));
        if case.activity == ActivityLaw::Davies {
            case.regeneration.strength_percent = Some(1.0);
        }
    }
    case.resin.sorbed_salt = dice.chance(0.15);
    if dice.chance(0.1) {
        case.rates.film_diffusion = FilmDiffusion::ByIon;
    }
    case.rates.film_correlation = match dice.share() {
        share if share < 0.7 => FilmCorrelation::Gnielinski,
        share if share < 0.8 => FilmCorrelation::Carberry,
        share if share < 0.9 => FilmCorrelation::WilsonGeankoplis,
        _ => FilmCorrelation::Wakao,
    };
    let volume_l = case.bed.volume_l();
    case.bed.freeboard_l = if dice.chance(0.15) { volume_l * dice.between(0.05, 1.0) } else { 0.0 };
    case.bed.under_bed_l = if dice.chance(0.1) { volume_l * dice.between(0.02, 0.2) } else { 0.0 };
    if dice.chance(0.1) {
        case.maldistribution = Some(Maldistribution {
            tubes: 3,
            correlation: if dice.chance(0.5) { 1.0 } else { dice.share() },
            ..Maldistribution::with_spread(dice.between(0.05, 0.5))
        });
    }
    match dice.share() {
        share if share < 0.1 => case.bed.lifted_mixing = LiftedMixing::Full,
        share if share < 0.15 => {
            case.bed.lifted_mixing = LiftedMixing::Dispersion;
            case.bed.solid_mixing_m2_per_s = Some(dice.between(1e-7, 1e-3));
        }
        share if share < 0.3 => case.bed.held_down = Some(true),
        _ => {}
    }
    if dice.chance(0.15) {
        let volume_bv = case.service.volume_bv.unwrap_or(100.0);
        case.service.standby_hours = Some(dice.between(0.1, 20.0));
        case.service.standby_after_bv = Some(volume_bv * dice.between(0.1, 0.9));
    }
    match dice.share() {
        share if share < 0.25 => case.service.limit_mg_per_l_caco3 = None,
        share if share < 0.5 && case.service.standby_hours.is_none() => case.service.volume_bv = None,
        _ => {}
    }
    if dice.chance(0.1) {
        case.regeneration.salt = Salt::PotassiumChloride;
        case.regeneration.strength_percent = Some(dice.between(0.5, 20.0));
    }
    if dice.chance(0.1) {
        case.regeneration.salt_impurities_percent = [(Ion::CA, 0.3), (Ion::MG, 0.05)].into();
    }
    if dice.chance(0.1) {
        case.regeneration.slow_rinse_water = Some(BrineWater::Feed);
    }
    if dice.chance(0.1) {
        (case.regeneration.reclaim_from_bv, case.regeneration.reclaim_to_bv) = (Some(0.2), Some(0.5));
    }
    case.resin.age_years = if dice.chance(0.2) { dice.between(0.5, 10.0) } else { 0.0 };
    if dice.chance(0.2) {
        case = case.with("recipe", recipe(dice)).ok()?;
    }
    case.validate_cycle().ok()?;
    Some(case)
}

/// A bed as an engineer would try it: the built-in softener at the default tolerance, with what is set on site drawn around
/// it, hard rinses, spaces, uneven flow, spent brine kept, lifted beds and potassium among it; none if it is not valid.
pub fn ordinary(seed: u64) -> Option<Case> {
    let dice = &mut Dice::new(seed + 3_000_000);
    let mut case = brinefront::default_case();
    if dice.chance(0.5) {
        case = case.mirrored();
    }
    case.cells = (dice.between(20.0, 100.0) as usize).into();
    case.service.flow_bv_per_h = dice.between(3.0, 60.0);
    case.service.volume_bv = dice.chance(0.3).then(|| dice.between(50.0, 250.0));
    case.service.limit_mg_per_l_caco3 = Some(dice.between(1.0, 150.0));
    case.regeneration.dose_g_per_l = dice.between(50.0, 250.0);
    case.regeneration.strength_percent = Some(dice.between(5.0, 15.0));
    case.regeneration.flow_bv_per_h = dice.between(1.5, 8.0);
    case.regeneration.slow_rinse_bv = dice.between(0.8, 3.0);
    case.regeneration.slow_rinse_water = match dice.share() {
        share if share < 0.4 => Some(BrineWater::Feed),
        share if share < 0.5 => Some(BrineWater::Soft),
        _ => None,
    };
    case.regeneration.brine_water = if dice.chance(0.5) { BrineWater::Feed } else { BrineWater::Soft };
    if dice.chance(0.15) {
        case.kinetics = Kinetics::Equilibrium;
    }
    let volume_l = case.bed.volume_l();
    if dice.chance(0.2) {
        case.bed.freeboard_l = volume_l * dice.between(0.05, 1.0);
    }
    if dice.chance(0.2) {
        case.bed.under_bed_l = volume_l * dice.between(0.02, 0.2);
    }
    if dice.chance(0.15) {
        case.maldistribution = Some(Maldistribution {
            tubes: 3,
            correlation: dice.share(),
            ..Maldistribution::with_spread(dice.between(0.05, 0.3))
        });
    }
    if dice.chance(0.1) {
        case.bed.lifted_mixing = LiftedMixing::Full;
    }
    if dice.chance(0.1) {
        case.regeneration.salt = Salt::PotassiumChloride;
    }
    if dice.chance(0.1) {
        (case.regeneration.reclaim_from_bv, case.regeneration.reclaim_to_bv) = (Some(1.2), Some(1.7));
    }
    case.validate_cycle().ok()?;
    Some(case)
}

/// A softener of the default resin whose ions have unlike diffusivities in the bead, on 100 cells: sodium up to fifteen times as
/// fast as calcium, potassium about as fast as sodium, magnesium unlike calcium in half of them; water, flow, dose and rinses of
/// practice, both directions, metered or to a limit, a fifth of them regenerated with potassium chloride; none if it is not valid.
pub fn unlike(seed: u64) -> Option<Case> {
    let dice = &mut Dice::new(seed + 5_000_000);
    let mut case = brinefront::default_case();
    if dice.chance(0.5) {
        case = case.mirrored();
    }
    case.cells = 100.into();
    case.water.ions = [
        (Ion::NA, dice.between(10.0, 200.0)),
        (Ion::MG, dice.between(5.0, 60.0)),
        (Ion::CA, dice.between(20.0, 150.0)),
    ]
    .into();
    let potassium_chloride = dice.chance(0.2);
    if potassium_chloride || dice.chance(0.4) {
        case.water.ions.insert(Ion::K, dice.between(1.0, 30.0));
    }
    case.water.balance = None;
    let calcium = dice.between(1e-11, 3e-11);
    let sodium = calcium * dice.between(1.0, 15.0);
    let magnesium = if dice.chance(0.5) { dice.between(0.5, 2.0) } else { 1.0 } * calcium;
    let potassium = sodium * dice.between(0.7, 1.4);
    let diffusivities = [(Ion::NA, sodium), (Ion::K, potassium), (Ion::MG, magnesium), (Ion::CA, calcium)];
    case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities.into());
    case.service.flow_bv_per_h = dice.between(8.0, 60.0);
    let metered = dice.chance(0.5);
    let hardness = case.water.hardness_mg_per_l_caco3(&case.hardness_ions).ok()?;
    case.regeneration.dose_g_per_l = dice.between(60.0, 240.0);
    case.service.volume_bv = metered.then(|| {
        let usable = case.resin.capacity_eq_per_l * (1.0 - (-case.regeneration.dose_g_per_l / 100.0).exp());
        usable / (hardness * 1e-3 / 50.043) * dice.between(0.5, 0.9)
    });
    case.service.limit_mg_per_l_caco3 = (!metered).then(|| hardness * dice.between(0.02, 0.2));
    case.regeneration.strength_percent = Some(dice.between(5.0, 14.0));
    case.regeneration.flow_bv_per_h = dice.between(1.5, 6.0);
    case.regeneration.slow_rinse_bv = dice.between(0.8, 3.0);
    let hard_or_soft = |dice: &mut Dice| if dice.chance(0.5) { BrineWater::Feed } else { BrineWater::Soft };
    case.regeneration.slow_rinse_water = Some(hard_or_soft(dice));
    case.regeneration.brine_water = hard_or_soft(dice);
    if potassium_chloride {
        case.regeneration.salt = Salt::PotassiumChloride;
    }
    case.validate_cycle().ok()?;
    Some(case)
}

/// What is made of each seed of a range, in their order, on all processors; what comes to nothing is left out.
pub fn each<T: Send>(seeds: Range<u64>, make: impl Fn(u64) -> Option<T> + Sync) -> Vec<T> {
    let next = AtomicU64::new(seeds.start);
    let found = Mutex::new(Vec::new());
    let work = || {
        loop {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= seeds.end {
                return;
            }
            if let Some(made) = make(seed)
                && let Ok(mut found) = found.lock()
            {
                found.push((seed, made));
            }
        }
    };
    std::thread::scope(|scope| {
        (0..std::thread::available_parallelism().map_or(1, usize::from)).for_each(|_| {
            scope.spawn(work);
        });
    });
    let mut found = found.into_inner().unwrap_or_default();
    found.sort_by_key(|(seed, _)| *seed);
    found.into_iter().map(|(_, made)| made).collect()
}

/// One of a few recipes that are not those of a regeneration.
fn recipe(dice: &mut Dice) -> serde_json::Value {
    match dice.share() {
        share if share < 0.4 => json!([
            {"step": "brine", "share": 0.5},
            {"step": "standby", "minutes": 20.0},
            {"step": "brine"},
            {"step": "slow-rinse", "volume_bv": 1.5},
            {"step": "fast-rinse", "until_hardness_mg_per_l_caco3": 20.0, "at_most_bv": 6.0},
        ]),
        share if share < 0.7 => json!([
            {"step": "backwash", "mixing": 0.4, "minutes": 5.0},
            {"step": "brine", "volume_bv": 0.8},
            {"step": "slow-rinse", "minutes": 20.0, "water": "feed"},
            {"step": "fast-rinse", "volume_bv": 2.0, "direction": "counter-current"},
            {"step": "standby", "minutes": 240.0},
        ]),
        _ => json!([
            {"step": "brine", "minutes": 25.0, "flow_bv_per_h": 2.0},
            {"step": "brine"},
            {"step": "slow-rinse", "until_chloride_mg_per_l": 5000.0, "at_most_bv": 4.0},
            {"step": "fast-rinse", "volume_bv": 2.0},
        ]),
    }
}
