//! The bed of equilibrium theory, cycle after cycle: plug flow, equilibrium everywhere, two cations.
//!
//! The divalent cations of the feed are one, with the mean of their selectivity coefficients weighted by their equivalents
//! in the feed, which makes the feed's equilibrium exact; the monovalent ones are the salt's cation. What one divalent does
//! to another is left out: magnesium that runs ahead of calcium, or is driven off before it. In brine the coefficient is
//! either the same ([`Elution::Mean`]) or that of the divalent held least ([`Elution::LeastHeld`]), which bounds what any
//! mixture gives off: with it the liquid beside a loading holds at least as much hardness as beside the mixture.

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::laws::waves::MonoDivalent;
use crate::numerics::fronts::{Law, Line, Path, Zone};
use crate::plan::model::Model;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::service::longest_run_bv;
use crate::plan::steps::{End, PlannedStep, Watched};

/// A cycle after which no loading changes by more than this share of the capacity has settled.
const SETTLED: f64 = 1e-7;
/// Cycles after which the search for one that repeats itself ends.
const MOST_CYCLES: usize = 400;

/// Which selectivity the divalents have in brine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Elution {
    /// The mean, as in the feed.
    Mean,
    /// That of the divalent held least.
    LeastHeld,
}

/// The pair in the feed and other waters of its strength, and in brine.
#[derive(Debug, Clone, Copy)]
pub struct Pairs {
    /// In waters of the feed's strength.
    pub dilute: MonoDivalent<f64>,
    /// In brine.
    pub brine: MonoDivalent<f64>,
    /// The first normality that is brine \[eq/L\].
    brine_from: f64,
}

impl Pairs {
    /// The pair at a normality.
    pub fn at(&self, normality: f64) -> &MonoDivalent<f64> {
        if normality < self.brine_from { &self.dilute } else { &self.brine }
    }

    /// Divalent fraction of the liquid in a zone.
    pub fn liquid(&self, zone: Zone) -> f64 {
        self.carried(zone.held, zone.strength)
    }
}

impl Law for Pairs {
    fn carried(&self, held: f64, strength: f64) -> f64 {
        self.at(strength).solution(held, strength)
    }
}

/// Two cations in place of a case's, and what its waters are to them.
#[derive(Debug, Clone)]
pub struct Ideal {
    /// The pair.
    pub pairs: Pairs,
    /// Void fraction of the bed.
    pub void_fraction: f64,
    /// Share of the feed's divalent equivalents that counts as hardness.
    pub hardness_share: f64,
    /// Divalent fraction and normality \[eq/L\] of each water.
    waters: [(f64, f64); 3],
    service_down: bool,
}

/// One step as it was run.
#[derive(Debug, Clone)]
pub struct IdealStep {
    /// Its name.
    pub name: StepName,
    /// Does it flow with service?
    pub with_service: bool,
    /// Its volume \[bed volumes\].
    pub volume_bv: f64,
    /// Divalent fraction and normality that entered.
    pub inlet: (f64, f64),
    /// Did what left end it?
    pub ended: bool,
    /// The paths of its waves.
    pub paths: Vec<Path>,
    /// Divalents kept by the bed \[eq/L of bed\].
    pub kept_eq_per_l: f64,
}

/// A cycle that repeats itself, or the last that was run.
#[derive(Debug, Clone)]
pub struct IdealCycle {
    /// The steps, service last.
    pub steps: Vec<IdealStep>,
    /// Mean divalent fraction of the resin when service begins and when it ends.
    pub resin: (f64, f64),
    /// Was the effluent above the limit from the start?
    pub never_soft: bool,
    /// Does it repeat itself?
    pub settled: bool,
    /// Cycles run.
    pub cycles: usize,
}

impl IdealCycle {
    /// The service run, which is last.
    pub fn service(&self) -> Option<&IdealStep> {
        self.steps.last()
    }
}

impl Ideal {
    /// The pair of a model, whatever its grid.
    ///
    /// # Errors
    /// [`Error::Value`] for a feed without hardness.
    pub fn new(model: &Model, elution: Elution) -> Result<Self> {
        let mixture = |water: StepWater| {
            let composition = model.waters.of_step(water);
            let divalent: f64 = of_valence(model, 2).map(|(ion, _)| composition.of(ion)).sum();
            (divalent / composition.normality(), composition.normality())
        };
        let (fraction, normality) = mixture(StepWater::Feed);
        let divalent = fraction * normality;
        let hardness = model.waters.feed_hardness;
        if hardness <= 0.0 {
            return Err(Error::value("water.ions", "hardness 0", "the feed holds none of the hardness ions"));
        }
        let weighted: f64 = of_valence(model, 2).map(|(ion, k)| model.waters.feed.of(ion) * k).sum();
        let salt =
            model.ions.iter().position(|ion| *ion == model.waters.salt.cation()).map_or(1.0, |i| model.selectivity[i]);
        // Against the salt's cation: K of the divalent over that cation's squared.
        let pair = |k: f64| MonoDivalent { selectivity: k / (salt * salt), capacity: model.capacity };
        let mean = weighted / divalent;
        let present = of_valence(model, 2).filter(|(ion, _)| model.waters.feed.of(*ion) > 0.0);
        let in_brine = match elution {
            Elution::Mean => mean,
            Elution::LeastHeld => present.map(|(_, k)| k).fold(mean, f64::min),
        };
        let brine_from = (normality * model.waters.brine.normality()).sqrt();
        Ok(Self {
            pairs: Pairs { dilute: pair(mean), brine: pair(in_brine), brine_from },
            void_fraction: model.void_fraction,
            hardness_share: hardness / divalent,
            waters: [(fraction, normality), mixture(StepWater::Soft), mixture(StepWater::Brine)],
            service_down: model.service_down,
        })
    }

    fn capacity(&self) -> f64 {
        self.pairs.dilute.capacity
    }

    /// Divalent fraction and normality \[eq/L\] of a water.
    pub fn water(&self, water: StepWater) -> (f64, f64) {
        match water {
            StepWater::Feed => self.waters[0],
            StepWater::Soft => self.waters[1],
            StepWater::Brine => self.waters[2],
        }
    }

    /// Resin in equilibrium with a water.
    pub fn zone(&self, water: StepWater) -> Zone {
        let (x, normality) = self.water(water);
        Zone { held: self.pairs.at(normality).resin(x, normality), strength: normality }
    }

    /// Hardness \[eq/L\] of the liquid in a zone.
    pub fn hardness(&self, zone: Zone) -> f64 {
        zone.strength * self.pairs.liquid(zone) * self.hardness_share
    }

    /// The cycle that repeats itself: `regeneration`, then service to `limit` \[eq/L\] or `metered` \[BV\].
    ///
    /// # Errors
    /// [`Error::Value`] if the waves meet without end.
    pub fn steady(
        &self,
        regeneration: &[PlannedStep],
        limit: Option<f64>,
        metered: Option<f64>,
        levels: usize,
    ) -> Result<IdealCycle> {
        let grid: Vec<f64> = (0..=levels).map(|k| k as f64 / levels as f64).collect();
        let mut fixed = grid;
        fixed.extend([StepWater::Feed, StepWater::Soft, StepWater::Brine].map(|water| self.zone(water).held));
        if let Some(limit) = limit {
            let (_, normality) = self.water(StepWater::Feed);
            fixed.push(self.pairs.dilute.resin((limit / self.hardness_share / normality).min(1.0), normality));
        }
        let mut line = Line::new(&self.pairs, self.capacity(), self.void_fraction, &fixed, self.zone(StepWater::Feed));
        let mut last = (f64::NAN, f64::NAN);
        let mut cycles = 0;
        loop {
            cycles += 1;
            let mut steps = Vec::with_capacity(regeneration.len() + 1);
            for step in regeneration {
                steps.push(self.run(&mut line, step, &fixed)?);
            }
            let resin_before = resin(&line);
            let (service, never_soft) = self.serve(&mut line, limit, metered, &fixed)?;
            let resin = (resin_before, resin(&line));
            steps.push(service);
            let settled = (resin.0 - last.0).abs() < SETTLED && (resin.1 - last.1).abs() < SETTLED;
            if settled || never_soft || cycles >= MOST_CYCLES {
                return Ok(IdealCycle { steps, resin, never_soft, settled: settled && !never_soft, cycles });
            }
            last = resin;
        }
    }

    fn run(&self, line: &mut Line<'_, Pairs>, step: &PlannedStep, levels: &[f64]) -> Result<IdealStep> {
        let volume = step.most_bv;
        let with_service = step.direction == StepDirection::WithService;
        let inlet = self.water(step.water);
        if step.name == StepName::Backwash {
            return Ok(self.backwash(line, step, volume));
        }
        if step.flow_bv_per_h <= 0.0 {
            let ended = IdealStep {
                name: step.name,
                with_service,
                volume_bv: 0.0,
                inlet,
                ended: false,
                paths: Vec::new(),
                kept_eq_per_l: 0.0,
            };
            return Ok(ended);
        }
        let enough = |zone: Zone| match step.end {
            End::Fall { of: Watched::Hardness, level, .. } => self.hardness(zone) <= level,
            End::Fall { of: Watched::Normality, level, .. } => zone.strength <= level,
            End::After(..) | End::Rise { .. } => false,
        };
        self.flow(line, (step.name, with_service, self.zone(step.water), inlet), volume, levels, enough)
    }

    fn serve(
        &self,
        line: &mut Line<'_, Pairs>,
        limit: Option<f64>,
        metered: Option<f64>,
        levels: &[f64],
    ) -> Result<(IdealStep, bool)> {
        let feed = self.zone(StepWater::Feed);
        let whole = longest_run_bv(self.capacity(), self.hardness(feed));
        let flow = (StepName::Service, true, feed, self.water(StepWater::Feed));
        let most = metered.unwrap_or(whole);
        let step =
            self.flow(line, flow, most, levels, |zone| limit.is_some_and(|limit| self.hardness(zone) >= limit))?;
        // Asked for the first time when one void volume has been delivered.
        let never_soft = step.ended && step.volume_bv <= self.void_fraction;
        Ok((step, never_soft))
    }

    fn flow(
        &self,
        line: &mut Line<'_, Pairs>,
        (name, with_service, zone, inlet): (StepName, bool, Zone, (f64, f64)),
        volume: f64,
        levels: &[f64],
        ends: impl FnMut(Zone) -> bool,
    ) -> Result<IdealStep> {
        if with_service == line.is_turned() {
            line.turn();
        }
        // Values that are on no grid, from an earlier backwash, are corners too, so that one law holds for a whole step.
        let mut corners = levels.to_vec();
        corners.extend(line.zones().iter().map(|(_, zone)| zone.held));
        line.set_levels(&corners);
        let before = line.total();
        let run = line
            .run(zone, volume, self.void_fraction, ends)
            .ok_or_else(|| Error::value(name.words(), volume, "its waves meet without end: take fewer levels"))?;
        let kept_eq_per_l = line.total() - before;
        Ok(IdealStep {
            name,
            with_service,
            volume_bv: run.time,
            inlet,
            ended: run.ended,
            paths: run.paths,
            kept_eq_per_l,
        })
    }

    /// The void is replaced by the wash water, and the top of the bed gets its mean loading; then both come to equilibrium.
    fn backwash(&self, line: &mut Line<'_, Pairs>, step: &PlannedStep, volume_bv: f64) -> IdealStep {
        let before = line.total();
        let inlet @ (x, normality) = self.water(step.water);
        let replaced = (volume_bv / self.void_fraction).min(1.0);
        let from_inlet = self.service_down;
        let mut zones = line.zones();
        if !from_inlet {
            zones.reverse();
        }
        // Lengths inside and outside of what is turned over, from the top.
        let mut inside = step.mixing;
        let mut parts = Vec::with_capacity(zones.len() + 1);
        for (length, zone) in zones {
            let mixed = length.min(inside);
            inside -= mixed;
            parts.push((mixed, zone, true));
            parts.push((length - mixed, zone, false));
        }
        let mean = parts.iter().filter(|part| part.2).map(|(length, zone, _)| length * zone.held).sum::<f64>()
            / step.mixing.max(f64::MIN_POSITIVE);
        let mut washed: Vec<_> = parts
            .into_iter()
            .filter(|(length, ..)| *length > 0.0)
            .map(|(length, zone, mixed)| {
                let old = zone.strength * self.pairs.liquid(zone);
                let liquid = old + replaced * (normality * x - old);
                let strength = zone.strength + replaced * (normality - zone.strength);
                let held = if mixed { mean } else { zone.held };
                (length, self.settled(held, liquid, strength))
            })
            .collect();
        // Pieces of one state are one zone.
        washed.dedup_by(|next, zone| {
            let same = (next.1.held - zone.1.held).abs() < 1e-12 && next.1.strength == zone.1.strength;
            if same {
                zone.0 += next.0;
            }
            same
        });
        if !from_inlet {
            washed.reverse();
        }
        line.set_zones(&washed);
        IdealStep {
            name: step.name,
            with_service: true,
            volume_bv,
            inlet,
            ended: false,
            paths: Vec::new(),
            kept_eq_per_l: line.total() - before,
        }
    }

    /// A loading and a liquid of `divalent` \[eq/L\] come to equilibrium.
    fn settled(&self, held: f64, divalent: f64, strength: f64) -> Zone {
        let all = self.capacity() * held + self.void_fraction * divalent;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let there = self.capacity() * middle + self.void_fraction * strength * self.pairs.carried(middle, strength);
            if there < all { low = middle } else { high = middle }
        }
        Zone { held: 0.5 * (low + high), strength }
    }
}

/// Mean divalent fraction of the resin.
fn resin(line: &Line<'_, Pairs>) -> f64 {
    line.zones().iter().map(|(length, zone)| length * zone.held).sum()
}

/// The ions of a valence and their selectivity coefficients.
fn of_valence(model: &Model, valence: u32) -> impl Iterator<Item = (Ion, f64)> + '_ {
    let all = model.ions.iter().zip(&model.valence).zip(&model.selectivity);
    all.filter(move |((_, z), _)| **z == valence).map(|((ion, _), k)| (*ion, *k))
}
