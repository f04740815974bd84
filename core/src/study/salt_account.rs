//! Where the salt of a regeneration went: what each imperfection of a real bed costs, in grams of salt per litre of resin.
//!
//! A ladder of beds with the same water, resin, recipe and dose: at its foot an ideal one (local equilibrium, plug flow,
//! soft brine water, no mixing), at its top the case as given; every rung adds one effect and is run to a cyclic steady
//! state of its own.
//!
//! ```text
//! dose = m (Q_top) + [dose - m Q_foot] + sum over effects of m (Q_below - Q_above)
//!        exchange    equilibrium         one share an effect
//! ```
//!
//! with Q hardness removed by a run \[eq/L of bed\], m the equivalent mass of the salt \[g/eq\]. Shares are signed: an effect
//! that raises the capacity has a share below 0. The share *equilibrium* is what even the ideal bed spends beyond
//! stoichiometry at this dose, with these rinses; *exchange* is the salt that took hardness off.
//!
//! # One end point for all
//!
//! Every rung runs to the same leakage. A meter would fix what is removed and leave nothing to compare, so a metered end
//! is set aside: the runs go to the limit of the case, or to [`CUSTOMARY_LIMIT_MG_PER_L_CACO3`] where it has none.
//!
//! # Order
//!
//! What an effect costs depends on what came before it: a bed blurred by its film loses less to dispersion. Up the
//! ladder, each effect is charged what it adds to those below it. [`Order::Shapley`] charges the mean over all orders
//! (L. S. Shapley 1953, in Contributions to the Theory of Games II, 307, from memory), for 2^k runs of k effects.
//!
//! # Numerical error
//!
//! All rungs stand on the grid of the case. A plug-flow rung is blurred by nothing but the grid, so its capacity is off by the
//! most, in first order of the cell: each share says by how much the two grids of its searches lead to expect it to be off.

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

use crate::cycle::{Watch, unwatched};
use crate::error::{Error, Result};
use crate::inputs::bed::LiftedMixing;
use crate::inputs::case::{Case, Kinetics};
use crate::inputs::cells::Cells;
use crate::inputs::recipe_steps::FreeStep;
use crate::inputs::regeneration::BrineWater;
use crate::inputs::service::CUSTOMARY_LIMIT_MG_PER_L_CACO3;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::steps::PlannedStep;
use crate::report::figures::Figures;
use crate::report::note::Note;
use crate::study::recovery::AboveLimit;
use crate::study::{compare, single};

/// The most effects that [`Order::Shapley`] averages over: 64 runs.
pub const MOST_EFFECTS: usize = 6;

/// One imperfection of a real bed.
struct Effect {
    name: &'static str,
    /// What it is, in words.
    adds: &'static str,
    /// Is it there in a case whose recipe has these steps?
    acts: fn(&Case, &[PlannedStep]) -> bool,
    /// Take it out of a case.
    off: fn(&mut Case),
}

/// The effects from the foot of the ladder to its top.
const EFFECTS: [Effect; 6] = [
    Effect {
        name: "dispersion",
        adds: "liquid spreads along the bed",
        acts: |case, _| case.rates.dispersion_m2_per_s != Some(0.0),
        off: |case| case.rates.dispersion_m2_per_s = Some(0.0),
    },
    Effect {
        name: "film and bead",
        adds: "slow exchange: ions take time to reach the bead and to cross it",
        acts: |case, _| case.kinetics != Kinetics::Equilibrium,
        off: |case| {
            case.kinetics = Kinetics::Equilibrium;
            // Sizes of bead are told apart by their rates alone.
            case.resin.bead_sizes.clear();
        },
    },
    Effect {
        name: "stirred spaces",
        adds: "liquid above and below the bed mixes brine, rinse and soft water",
        acts: |case, _| case.bed.freeboard_l > 0.0 || case.bed.under_bed_l > 0.0,
        off: |case| (case.bed.freeboard_l, case.bed.under_bed_l) = (0.0, 0.0),
    },
    Effect {
        name: "brine water",
        adds: "hardness in the salt and in the water of brine and slow rinse",
        acts: |case, _| {
            let regeneration = &case.regeneration;
            regeneration.brine_water == BrineWater::Feed
                || regeneration.slow_rinse_water == Some(BrineWater::Feed)
                || regeneration.soft_water_leakage_mg_per_l_caco3 > 0.0
                || regeneration.impurities_eq_per_g().any(|(_, eq_per_g)| eq_per_g > 0.0)
        },
        off: |case| {
            case.regeneration.salt_impurities_percent.clear();
            case.regeneration.brine_water = BrineWater::Soft;
            case.regeneration.slow_rinse_water = None;
            case.regeneration.soft_water_leakage_mg_per_l_caco3 = 0.0;
        },
    },
    Effect {
        name: "bed mixing",
        adds: "backwash, or brine that lifts the bed, turns beads over",
        acts: |case, steps| {
            let lifted = case.bed.lifted_mixing != LiftedMixing::None && !case.bed.is_held_down();
            lifted || steps.iter().any(|step| step.mixing > 0.0)
        },
        off: |case| {
            case.bed.lifted_mixing = LiftedMixing::None;
            case.bed.solid_mixing_m2_per_s = None;
            case.regeneration.backwash_mixing = Some(0.0);
            for step in case.recipe.iter_mut().flat_map(|recipe| &mut recipe.steps) {
                if let FreeStep::Backwash(backwash) = step {
                    backwash.mixing = Some(0.0);
                }
            }
        },
    },
    Effect {
        name: "maldistribution",
        adds: "some of the bed gets more of the flow than the rest",
        acts: |case, _| case.maldistribution.is_some(),
        off: |case| case.maldistribution = None,
    },
];

/// How an effect is charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "order")]
#[non_exhaustive]
pub enum Order {
    /// What it adds to the effects below it on the ladder.
    #[default]
    Ladder,
    /// The mean of what it adds over all orders of the effects.
    Shapley,
}

/// One share of the salt.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Share {
    /// `equilibrium`, an effect, or `exchange`.
    pub name: &'static str,
    /// What it is, in words.
    pub adds: &'static str,
    /// Hardness removed by the bed that has this effect and those above in the list \[eq/L of bed\]; none where the share is a
    /// mean over several beds.
    pub capacity_eq_per_l: Option<f64>,
    /// The share \[g of salt per litre of resin\]; below 0 for an effect that raises the capacity.
    pub share_g_per_l: f64,
    /// The share over the dose.
    pub share_of_dose: f64,
    /// Numerical error of the share to be expected from the grid \[g/L\]; none if no coarser grid was run.
    pub share_error_g_per_l: Option<f64>,
    /// Did every run behind it deliver soft water and settle? [`SaltAccount::notes`] and `warnings` say which did not.
    pub sound: bool,
}

/// Where the salt of one regeneration went.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct SaltAccount {
    /// The case at the top of the ladder: as given, with the common end point and a number of cells.
    pub case: Case,
    /// How effects are charged.
    pub order: Order,
    /// Salt of one regeneration \[g per litre of resin\].
    pub dose_g_per_l: f64,
    /// Leakage that ended every run \[mg/L as CaCO3\].
    pub limit_mg_per_l_caco3: f64,
    /// The shares: `equilibrium`, the effects that act in the case, `exchange`. They sum to the dose.
    pub shares: Vec<Share>,
    /// Effects that are off in the case as given and have no share.
    pub without: Vec<&'static str>,
    /// How the end point was chosen; shares that the grid blurs; beds with some of the effects that were above the limit from
    /// the start, soft nowhere or after shorter runs, or did not settle.
    pub notes: Vec<Note>,
    /// Was the case itself above the limit from the start, or did it not settle? Then a note on it.
    pub warnings: Vec<Note>,
    /// Steady cycles that were run.
    pub runs: usize,
    /// What all of it cost.
    pub effort: Effort,
}

impl Case {
    /// Where the salt went.
    ///
    /// # Errors
    /// As [`Case::cycle`]; [`Error::Value`] for a feed softer than the customary limit where the case has none, and for
    /// more than [`MOST_EFFECTS`] effects in all orders.
    pub fn salt_account(&self, order: Order) -> Result<SaltAccount> {
        self.salt_account_watched(order, &unwatched)
    }

    /// [`Case::salt_account`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::salt_account`]; [`Error::Interrupted`] from the watcher.
    pub fn salt_account_watched(&self, order: Order, watch: &Watch<'_>) -> Result<SaltAccount> {
        self.validate_cycle()?;
        let (mut top, limit_mg_per_l_caco3, mut notes) = to_a_limit(self)?;
        let mut effort = Effort::default();
        if top.cells == Cells::Auto {
            // The rungs need one grid: the one that the case as a whole needs.
            let found = single::cycle(&top, AboveLimit::Leave, watch)?;
            effort.add(&found.effort);
            top.cells = found.figures.cells.into();
        }
        let steps = CyclePlan::of_recipe(&top)?.regeneration;
        let (acting, off): (Vec<_>, Vec<_>) = EFFECTS.iter().partition(|effect| (effect.acts)(&top, &steps));
        if order == Order::Shapley {
            not_too_many(acting.len())?;
        }
        let sets = match order {
            Order::Ladder => (0..=acting.len()).map(|k| (1 << k) - 1).collect(),
            Order::Shapley => (0..1 << acting.len()).collect::<Vec<usize>>(),
        };
        let cases: Vec<Case> = sets.iter().map(|set| with_effects(&top, &acting, *set)).collect();
        let found = compare::all(&cases, watch, |case, watch| {
            single::cycle(case, AboveLimit::Runs, watch).map(|report| (report.figures, report.effort))
        })?;
        found.iter().for_each(|(_, cost)| effort.add(cost));
        let beds = Beds {
            effects: &acting,
            g_per_eq: top.regeneration.salt.g_per_eq(),
            runs: sets.into_iter().zip(found.into_iter().map(|(figures, _)| figures)).collect(),
        };
        let dose_g_per_l = beds.at(beds.all())?.dose_g_per_l;
        let shares = beds.shares(order, dose_g_per_l)?;
        let cells = top.cells.number()?;
        notes.extend(shares.iter().filter_map(|share| blurred(share, cells)));
        notes.extend(beds.unsound(|set| set != beds.all()));
        Ok(SaltAccount {
            shares,
            without: off.iter().map(|effect| effect.name).collect(),
            warnings: beds.unsound(|set| set == beds.all()),
            runs: beds.runs.len(),
            case: top,
            order,
            dose_g_per_l,
            limit_mg_per_l_caco3,
            notes,
            effort,
        })
    }
}

/// The case with a leakage limit as its only end, the limit, and what a reader should know about it.
fn to_a_limit(case: &Case) -> Result<(Case, f64, Vec<Note>)> {
    let mut notes = Vec::new();
    let limit = if let Some(limit) = case.service.limit_mg_per_l_caco3 {
        limit
    } else {
        let hardness = case.water.hardness_mg_per_l_caco3(&case.hardness_ions)?;
        if hardness <= CUSTOMARY_LIMIT_MG_PER_L_CACO3 {
            return Err(Error::value(
                "service.limit_mg_per_l_caco3",
                "none",
                format!(
                    "the runs of an account end on a leakage, {CUSTOMARY_LIMIT_MG_PER_L_CACO3} mg/L as CaCO3 unless given, and the feed holds only {hardness:.1}: give a lower one"
                ),
            ));
        }
        notes.push(Note::CustomaryLimit { limit_mg_per_l_caco3: CUSTOMARY_LIMIT_MG_PER_L_CACO3 });
        CUSTOMARY_LIMIT_MG_PER_L_CACO3
    };
    let mut to_limit = case.clone();
    to_limit.service.limit_mg_per_l_caco3 = Some(limit);
    if let Some(volume_bv) = to_limit.service.volume_bv.take() {
        notes.push(Note::MeterSetAside { volume_bv, limit_mg_per_l_caco3: limit });
    }
    Ok((to_limit, limit, notes))
}

/// A note on a share that the grid blurs.
fn blurred(share: &Share, cells: usize) -> Option<Note> {
    let (share_g_per_l, error_g_per_l) = (share.share_g_per_l, share.share_error_g_per_l?);
    (error_g_per_l > share_g_per_l.abs()).then_some(Note::ShareBlurred {
        effect: share.name,
        share_g_per_l,
        error_g_per_l,
        cells,
    })
}

fn not_too_many(effects: usize) -> Result<()> {
    if effects > MOST_EFFECTS {
        return Err(Error::value(
            "order",
            Order::Shapley.name(),
            format!(
                "averages over at most {MOST_EFFECTS} effects ({} runs), {effects} act here: take the ladder",
                1 << MOST_EFFECTS
            ),
        ));
    }
    Ok(())
}

/// The case with a set of the acting effects, one bit for each, and the others switched off.
fn with_effects(top: &Case, acting: &[&Effect], set: usize) -> Case {
    let mut case = top.clone();
    for (place, effect) in acting.iter().enumerate() {
        if set & (1 << place) == 0 {
            (effect.off)(&mut case);
        }
    }
    case
}

/// The figures of beds with sets of the acting effects.
struct Beds<'a> {
    effects: &'a [&'a Effect],
    g_per_eq: f64,
    runs: Vec<(usize, Figures)>,
}

impl Beds<'_> {
    /// The set of all effects: the case itself.
    fn all(&self) -> usize {
        (1 << self.effects.len()) - 1
    }

    fn at(&self, set: usize) -> Result<&Figures> {
        self.runs
            .iter()
            .find(|(found, _)| *found == set)
            .map(|(_, figures)| figures)
            .ok_or_else(|| Error::value("order", format!("{set:b}"), "a set of effects that was not run"))
    }

    /// Salt that the exchange of a bed takes, with its numerical error \[g/L\].
    fn salt(&self, figures: &Figures) -> Term {
        let g_per_l = figures.capacity_eq_per_l * self.g_per_eq;
        Term { g_per_l, error: figures.capacity_error_fraction.map(|share| share * g_per_l), sound: sound(figures) }
    }

    fn shares(&self, order: Order, dose: f64) -> Result<Vec<Share>> {
        let (foot, top) = (self.at(0)?, self.at(self.all())?);
        let row = |name, adds, capacity_eq_per_l, term: Term| Share {
            name,
            adds,
            capacity_eq_per_l,
            share_g_per_l: term.g_per_l,
            share_of_dose: term.g_per_l / dose,
            share_error_g_per_l: term.error,
            sound: term.sound,
        };
        let whole = Term { g_per_l: dose, error: Some(0.0), sound: true };
        let mut shares = vec![row(
            "equilibrium",
            "what even an ideal bed spends beyond stoichiometry",
            Some(foot.capacity_eq_per_l),
            whole.plus(-1.0, self.salt(foot)),
        )];
        for (place, effect) in self.effects.iter().enumerate() {
            let bit = 1 << place;
            let (capacity, term) = match order {
                Order::Ladder => {
                    let above = self.at(2 * bit - 1)?;
                    (Some(above.capacity_eq_per_l), self.salt(self.at(bit - 1)?).plus(-1.0, self.salt(above)))
                }
                Order::Shapley => (None, self.mean_over_orders(bit)?),
            };
            shares.push(row(effect.name, effect.adds, capacity, term));
        }
        let work = self.salt(top);
        shares.push(row("exchange", "salt that took hardness off the resin", Some(top.capacity_eq_per_l), work));
        Ok(shares)
    }

    /// What an effect costs, in the mean over all orders of the effects.
    fn mean_over_orders(&self, bit: usize) -> Result<Term> {
        let mut mean = Term { g_per_l: 0.0, error: Some(0.0), sound: true };
        for (set, without) in self.runs.iter().filter(|(set, _)| set & bit == 0) {
            let step = self.salt(without).plus(-1.0, self.salt(self.at(set | bit)?));
            mean = mean.plus(weight(set.count_ones() as usize, self.effects.len()), step);
        }
        Ok(mean)
    }

    /// A note on each bed with one of these sets whose figures belong to no soft water or no steady cycle.
    fn unsound(&self, of: impl Fn(usize) -> bool) -> Vec<Note> {
        let names = |set: usize| {
            let within = self.effects.iter().enumerate().filter(|(place, _)| set & (1 << place) != 0);
            within.map(|(_, effect)| effect.name).collect()
        };
        let unsound = self.runs.iter().filter(|(set, figures)| of(*set) && !sound(figures));
        unsound
            .map(|(set, figures)| Note::BedWithEffects {
                effects: names(*set),
                search_end: figures.search_end,
                never_soft: figures.never_soft(),
            })
            .collect()
    }
}

fn sound(figures: &Figures) -> bool {
    figures.settled && !figures.never_soft()
}

/// Share of the orders of `effects` in which a given one comes right after a given set of `before` others.
fn weight(before: usize, effects: usize) -> f64 {
    // before! (effects - before - 1)!/effects! = 1/(effects binomial(effects - 1, before))
    let ways = (0..before).fold(1.0, |ways, k| ways * (effects - 1 - k) as f64 / (k + 1) as f64);
    1.0 / (effects as f64 * ways)
}

/// An amount of salt \[g/L\] with what is known of it.
#[derive(Debug, Clone, Copy)]
struct Term {
    g_per_l: f64,
    /// Numerical error; errors add, because nothing says that they would cancel.
    error: Option<f64>,
    sound: bool,
}

impl Term {
    fn plus(self, factor: f64, other: Self) -> Self {
        Self {
            g_per_l: self.g_per_l + factor * other.g_per_l,
            error: self.error.zip(other.error).map(|(a, b)| a + factor.abs() * b),
            sound: self.sound && other.sound,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::scenario::default_case;

    #[test]
    fn weights_of_all_places_sum_to_one() {
        for effects in 1..=MOST_EFFECTS {
            let sum: f64 = (0..1_usize << (effects - 1)).map(|set| weight(set.count_ones() as usize, effects)).sum();
            assert!((sum - 1.0).abs() < 1e-14, "{effects}: {sum}");
        }
        // Of three, an effect comes first in 2 of 6 orders and after a given one of the others in 1.
        assert!((weight(0, 3) - 2.0 / 6.0).abs() < 1e-15 && (weight(1, 3) - 1.0 / 6.0).abs() < 1e-15);
    }

    #[test]
    fn too_many_effects_for_all_orders_are_refused() {
        assert!(not_too_many(MOST_EFFECTS).is_ok());
        let message = not_too_many(MOST_EFFECTS + 1).unwrap_err().to_string();
        assert!(message.contains("at most 6 effects (64 runs), 7 act here"), "{message}");
    }

    /// Each switch takes out what its test looks for, alone.
    #[test]
    fn an_effect_switched_off_acts_no_more() {
        let mut case = Case { cells: 10.into(), ..default_case().mirrored() };
        case.regeneration.brine_water = BrineWater::Feed;
        case.bed.freeboard_l = 20.0;
        case.maldistribution = Some(serde_json::from_str(r#"{"spread": 0.2}"#).unwrap());
        let acting = |case: &Case| -> Vec<&str> {
            let steps = CyclePlan::of_recipe(case).unwrap().regeneration;
            EFFECTS.iter().filter(|effect| (effect.acts)(case, &steps)).map(|effect| effect.name).collect()
        };
        let all = acting(&case);
        assert_eq!(all.len(), EFFECTS.len());
        for effect in &EFFECTS {
            let mut without = case.clone();
            (effect.off)(&mut without);
            without.validate().unwrap();
            let left: Vec<_> = all.iter().copied().filter(|name| *name != effect.name).collect();
            assert_eq!(acting(&without), left);
        }
    }
}
