//! The wave picture of a case's cycle: where concentration, shocks and fans are, in depth and throughput.

use serde::Serialize;

use crate::cycle::ideal::{Elution, Ideal};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::inputs::recipe_steps::StepName;
use crate::inputs::regeneration::Direction;
use crate::numerics::fronts::Kind;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::resolved_steps::StepWater;
use crate::plan::steps::StopReason;
use crate::report::wording::as_words::step_in_words;
use crate::study::no_march::any_grid;
use crate::units::convert::eq_per_l_to_mg_per_l_caco3;

/// Levels of the resin's fraction that fans are made of.
pub const LEVELS: usize = 200;
/// What a number of levels may be.
const LEVELS_LIMITS: (usize, usize) = (10, 2000);

/// A straight piece of a wave's path.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct WavePiece {
    /// Place of the step in [`WavePicture::steps`].
    pub step: usize,
    /// Pieces of one wave of a step share a number.
    pub wave: usize,
    /// `shock`, `fan` (one level of a wave that spreads or closes up) or `concentration`.
    pub kind: &'static str,
    /// Throughput of the step where the piece begins \[bed volumes\].
    pub from_bv: f64,
    /// Depth there \[m from the service inlet\].
    pub from_depth_m: f64,
    /// Throughput where it ends.
    pub to_bv: f64,
    /// Depth there.
    pub to_depth_m: f64,
    /// Divalent fraction of the resin upstream of it.
    pub resin_behind: f64,
    /// Downstream of it.
    pub resin_ahead: f64,
    /// Divalent fraction of the liquid upstream of it.
    pub liquid_behind: f64,
    /// Downstream of it.
    pub liquid_ahead: f64,
    /// Normality upstream of it \[eq/L\].
    pub normality_behind_eq_per_l: f64,
    /// Downstream of it.
    pub normality_ahead_eq_per_l: f64,
}

/// A step of the cycle.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct WaveStep {
    /// Its name.
    #[serde(serialize_with = "step_in_words")]
    pub step: StepName,
    /// Does it flow with service?
    pub with_service: bool,
    /// Its volume \[bed volumes\].
    pub volume_bv: f64,
    /// Normality that enters \[eq/L\].
    pub normality_eq_per_l: f64,
    /// Divalent fraction of it.
    pub divalent_fraction: f64,
    /// Divalents that the bed took up \[eq/L of bed\], negative where they were driven off.
    pub kept_eq_per_l: f64,
}

/// A cycle of equilibrium theory.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct WavePicture {
    /// Direction of the brine.
    pub direction: Direction,
    /// K of the divalents together against the salt's cation, per litre of bed.
    pub selectivity: f64,
    /// Q \[eq/L of bed\].
    pub capacity_total_eq_per_l: f64,
    /// N at which selectivity reverses, K Q \[eq/L\].
    pub reversal_eq_per_l: f64,
    /// Normality of the feed \[eq/L\].
    pub feed_normality_eq_per_l: f64,
    /// Its divalent fraction.
    pub feed_divalent_fraction: f64,
    /// Resin in equilibrium with it.
    pub feed_resin_fraction: f64,
    /// Normality of the brine \[eq/L\].
    pub brine_normality_eq_per_l: f64,
    /// Divalent fraction of the liquid in equilibrium with a loaded bed, in brine.
    pub eluted_divalent_fraction: f64,
    /// Separation factor in the feed.
    pub separation_factor_feed: f64,
    /// Separation factor in brine, for a loaded bed.
    pub separation_factor_brine: f64,
    /// Throughput of the feed's shock through a bed without hardness \[bed volumes\].
    pub front_bv: f64,
    /// Service run \[bed volumes\]; 0 if never soft.
    pub run_length_bv: f64,
    /// Why service ended: leakage limit, throughput or never soft.
    pub stop_reason: StopReason,
    /// Hardness removed in service \[eq/L of bed\].
    pub capacity_eq_per_l: f64,
    /// Hardness removed over the salt's equivalents.
    pub salt_efficiency_fraction: f64,
    /// Mean divalent fraction of the resin when service begins.
    pub resin_fraction_at_service: f64,
    /// When it ends.
    pub resin_fraction_after: f64,
    /// Hardness of the feed \[mg/L as CaCO3\].
    pub feed_hardness_mg_per_l_caco3: f64,
    /// Does the cycle repeat itself?
    pub settled: bool,
    /// Cycles run.
    pub cycles_run: usize,
    /// The steps, service last.
    pub steps: Vec<WaveStep>,
    /// Every piece of every wave.
    pub pieces: Vec<WavePiece>,
}

impl Case {
    /// The waves of the cycle at its steady state, in equilibrium theory: the case's recipe, its limit or meter, plug
    /// flow, no resistance, divalents lumped into one. `levels` is how many fractions a fan is made of, 10 to 2000;
    /// 200 are usual, the crate's `WAVE_LEVELS`.
    ///
    /// # Errors
    /// [`Error::Value`] for a case that is not valid, a feed without hardness, or levels out of limits.
    pub fn waves(&self, levels: usize) -> Result<WavePicture> {
        self.validate_cycle()?;
        let (low, high) = LEVELS_LIMITS;
        if !(low..=high).contains(&levels) {
            return Err(Error::value("levels", levels, format!("must be {low} to {high}")));
        }
        let plan = CyclePlan::of_recipe(&any_grid(self))?;
        picture(&plan, &Ideal::new(&plan.model, Elution::Mean)?, levels)
    }
}

fn picture(plan: &CyclePlan, ideal: &Ideal, levels: usize) -> Result<WavePicture> {
    let (model, regeneration, service) = (&plan.model, &plan.regeneration, &plan.service);
    let cycle = ideal.steady(regeneration, service.limit_eq_per_l, service.metered_bv, levels)?;

    let pair = ideal.pairs.dilute;
    let (x, normality) = ideal.water(StepWater::Feed);
    let (_, brine) = ideal.water(StepWater::Brine);
    let loaded = ideal.zone(StepWater::Feed).held;
    let eluted = pair.solution(loaded, brine);
    let depth_m = model.depth_m;
    let mut pieces = Vec::new();
    for (place, step) in cycle.steps.iter().enumerate() {
        let mut paths = step.paths.clone();
        paths.sort_by(|a, b| a.wave.cmp(&b.wave).then(a.from.0.total_cmp(&b.from.0)));
        pieces.extend(paths.iter().filter(|path| path.to.0 > path.from.0).map(|path| WavePiece {
            step: place,
            wave: path.wave,
            kind: match path.kind {
                Kind::Shock => "shock",
                Kind::Level => "fan",
                Kind::Strength => "concentration",
            },
            from_bv: path.from.0,
            from_depth_m: path.from.1 * depth_m,
            to_bv: path.to.0,
            to_depth_m: path.to.1 * depth_m,
            resin_behind: path.behind.held,
            resin_ahead: path.ahead.held,
            liquid_behind: ideal.pairs.liquid(path.behind),
            liquid_ahead: ideal.pairs.liquid(path.ahead),
            normality_behind_eq_per_l: path.behind.strength,
            normality_ahead_eq_per_l: path.ahead.strength,
        }));
    }
    let salt: f64 = cycle
        .steps
        .iter()
        .zip(regeneration)
        .filter(|(_, step)| step.water == StepWater::Brine)
        .map(|(step, _)| step.volume_bv * model.waters.salt_normality)
        .sum();
    let (run, ended) = cycle.service().map_or((0.0, false), |step| (step.volume_bv, step.ended));
    let kept = cycle.service().map_or(0.0, |step| step.kept_eq_per_l) * ideal.hardness_share;
    let (run, capacity) = if cycle.never_soft { (0.0, 0.0) } else { (run, kept) };
    Ok(WavePicture {
        direction: plan.direction,
        selectivity: pair.selectivity,
        capacity_total_eq_per_l: pair.capacity,
        reversal_eq_per_l: pair.reversal_eq_per_l(),
        feed_normality_eq_per_l: normality,
        feed_divalent_fraction: x,
        feed_resin_fraction: loaded,
        brine_normality_eq_per_l: brine,
        eluted_divalent_fraction: eluted,
        separation_factor_feed: pair.separation_factor(x, normality),
        separation_factor_brine: pair.separation_factor(eluted, brine),
        front_bv: pair.front_bv(x, 0.0, normality, ideal.void_fraction),
        run_length_bv: run,
        stop_reason: match (cycle.never_soft, ended) {
            (true, _) => StopReason::NeverSoft,
            (_, true) => StopReason::LeakageLimit,
            _ => StopReason::Throughput,
        },
        capacity_eq_per_l: capacity,
        salt_efficiency_fraction: capacity / salt.max(f64::MIN_POSITIVE),
        resin_fraction_at_service: cycle.resin.0,
        resin_fraction_after: cycle.resin.1,
        feed_hardness_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(x * normality * ideal.hardness_share),
        settled: cycle.settled,
        cycles_run: cycle.cycles,
        steps: cycle
            .steps
            .iter()
            .map(|step| WaveStep {
                step: step.name,
                with_service: step.with_service,
                volume_bv: step.volume_bv,
                normality_eq_per_l: step.inlet.1,
                divalent_fraction: step.inlet.0,
                kept_eq_per_l: step.kept_eq_per_l,
            })
            .collect(),
        pieces,
    })
}
