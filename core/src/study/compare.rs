//! Two or more strategies set against each other, at equal dose or at equal leakage.

use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use crate::cycle::{Progress, Watch};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::plan::steps::StopReason;
use crate::report::CycleReport;
use crate::study::pool::pool;
use crate::study::single;

/// What is held equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum At {
    /// Each case as given.
    #[default]
    EqualDose,
    /// The salt each needs for the same half-run leakage and run length.
    EqualLeakage,
}

impl At {
    /// The name, as on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::EqualDose => "equal-dose",
            Self::EqualLeakage => "equal-leakage",
        }
    }

    /// Find it by name.
    ///
    /// # Errors
    /// [`Error::Value`] naming the two.
    pub fn parse(name: &str) -> Result<Self> {
        [Self::EqualDose, Self::EqualLeakage]
            .into_iter()
            .find(|at| at.name() == name)
            .ok_or_else(|| Error::value("at", name, "must be equal-dose or equal-leakage"))
    }
}

/// Strategies side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// One report a case, in the order given; a single case is followed by its mirror.
    pub cycles: Vec<CycleReport>,
    /// What was held equal.
    pub at: At,
    /// The answer in a sentence.
    pub sentence: String,
    /// What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    pub effort: Effort,
}

/// Lowest and highest dose that is tried at equal leakage \[g/L\].
const DOSES_G_PER_L: (f64, f64) = (10.0, 640.0);
/// The dose is found to this share.
const DOSE_ACCURACY: f64 = 2e-3;

/// Compare cases; one case is set against its mirror.
///
/// At equal leakage every case must deliver the shortest of the runs as given, at no more than the largest of the
/// half-run leakages as given: the smallest dose that does so is found for each, between 10 and 640 g/L.
///
/// # Errors
/// As [`single::cycle`]; [`Error::Value`] for no case, or, at equal leakage, for a case that no dose brings to the common
/// one or whose recipe gives its brine by volume alone.
pub fn compare(cases: &[Case], at: At, watch: &Watch<'_>) -> Result<Comparison> {
    let cases: Vec<Case> = match cases {
        [] => return Err(Error::value("cases", "none", "give at least one case")),
        [case] => vec![case.clone(), case.mirrored()],
        several => several.to_vec(),
    };
    for case in &cases {
        case.validate_cycle()?;
    }
    let by_volume = |case: &Case| case.recipe.as_ref().is_some_and(|recipe| !recipe.follows_dose());
    if at == At::EqualLeakage && cases.iter().any(by_volume) {
        return Err(Error::value(
            "recipe",
            "brine by volume alone",
            "at equal leakage the dose is sought, and no brine step follows it: leave one without volume_bv and minutes",
        ));
    }
    let as_given = all(&cases, watch, single::cycle)?;
    let mut effort: Effort = as_given.iter().map(|cycle| &cycle.effort).sum();
    let cycles = match at {
        At::EqualDose => as_given,
        At::EqualLeakage => {
            let duty = Duty::of(&as_given)?;
            let found = all(&cases, watch, |case, watch| duty.least_dose(case, watch))?;
            found.iter().for_each(|(_, tried)| effort.add(tried));
            found.into_iter().map(|(cycle, _)| cycle).collect()
        }
    };
    let sentence = sentence(&cycles, at);
    Ok(Comparison { cycles, at, sentence, effort })
}

/// Run something on every case in parallel, with one count of what is done.
pub(super) fn all<T: Send>(
    cases: &[Case],
    watch: &Watch<'_>,
    run: impl Fn(&Case, &Watch<'_>) -> Result<T> + Sync,
) -> Result<Vec<T>> {
    let done = AtomicUsize::new(0);
    let total = cases.len();
    let report = |progress: Progress| watch(Progress { done: done.load(Ordering::Relaxed), total, ..progress });
    let one = |case: &Case| {
        let finished = run(case, &report);
        done.fetch_add(1, Ordering::Relaxed);
        finished
    };
    pool(Some(total.min(std::thread::available_parallelism().map_or(1, usize::from))))?
        .install(|| cases.par_iter().map(one).collect())
}

/// What every strategy must deliver.
struct Duty {
    run_bv: f64,
    half_run_mg_per_l_caco3: f64,
}

impl Duty {
    fn of(cycles: &[CycleReport]) -> Result<Self> {
        let soft: Vec<_> = cycles.iter().map(|cycle| &cycle.figures).filter(|f| f.run_length_bv > 0.0).collect();
        if soft.is_empty() {
            return Err(Error::value(
                "service.limit_mg_per_l_caco3",
                "never soft",
                "no case delivers soft water as given",
            ));
        }
        Ok(Self {
            run_bv: soft.iter().map(|f| f.run_length_bv).fold(f64::INFINITY, f64::min),
            half_run_mg_per_l_caco3: soft.iter().map(|f| f.leakage_half_run_mg_per_l_caco3).fold(0.0, f64::max),
        })
    }

    /// A case at a dose, metered at the common run.
    fn at(&self, case: &Case, dose_g_per_l: f64) -> Case {
        let mut metered = case.clone();
        metered.regeneration.dose_g_per_l = dose_g_per_l;
        metered.service.volume_bv = Some(self.run_bv);
        metered
    }

    fn met_by(&self, cycle: &CycleReport) -> bool {
        let figures = &cycle.figures;
        figures.settled
            && figures.run_length_bv >= self.run_bv * (1.0 - 1e-6)
            && figures.leakage_half_run_mg_per_l_caco3 <= self.half_run_mg_per_l_caco3 * (1.0 + 1e-6)
    }

    /// The smallest dose that meets the duty, by bisection in proportion, and what all the doses tried cost.
    fn least_dose(&self, case: &Case, watch: &Watch<'_>) -> Result<(CycleReport, Effort)> {
        let (mut low, mut high) = DOSES_G_PER_L;
        let try_at = |dose: f64| single::cycle(&self.at(case, dose), watch);
        // The dose as given is a good first cut.
        let given = case.regeneration.dose_g_per_l.clamp(low * 1.01, high / 1.01);
        let mut best = None;
        let mut effort = Effort::default();
        let mut dose = given * 1.02;
        while high / low > 1.0 + DOSE_ACCURACY {
            let cycle = try_at(dose)?;
            effort.add(&cycle.effort);
            if self.met_by(&cycle) {
                high = dose;
                best = Some(cycle);
            } else {
                low = dose;
            }
            // Next to the first cut before halving the wide range.
            dose = if best.is_some() && low == DOSES_G_PER_L.0 {
                (0.75 * high).max((low * high).sqrt())
            } else if best.is_none() {
                (1.5 * low).min((low * high).sqrt())
            } else {
                (low * high).sqrt()
            };
        }
        best.map(|cycle| (cycle, effort)).ok_or_else(|| {
            Error::value(
                "regeneration.dose_g_per_l",
                DOSES_G_PER_L.1,
                format!(
                    "no dose up to this brings {} to {:.3} mg/L as CaCO3 at half run over {:.1} BV",
                    case.regeneration.direction.name(),
                    self.half_run_mg_per_l_caco3,
                    self.run_bv
                ),
            )
        })
    }
}

/// A leakage; what no titration reads is not given digits (routine hardness titration: common practice, no source).
fn leakage(value: f64) -> String {
    if value < 0.01 { "less than 0.01".to_string() } else { short(value) }
}

/// Three figures that count, without an exponent.
fn short(value: f64) -> String {
    let digits = if value.abs() >= 100.0 {
        0
    } else if value.abs() >= 10.0 {
        1
    } else if value.abs() >= 1.0 {
        2
    } else {
        3
    };
    format!("{value:.digits$}")
}

/// A name for each strategy: its direction where that tells them apart, else with its dose.
fn names(cycles: &[CycleReport]) -> Vec<String> {
    let direction = |cycle: &CycleReport| cycle.figures.direction.name();
    let distinct = cycles.iter().enumerate().all(|(k, a)| cycles[..k].iter().all(|b| direction(a) != direction(b)));
    cycles
        .iter()
        .enumerate()
        .map(|(k, cycle)| match (&cycle.case.name, distinct) {
            (_, true) => direction(cycle).to_string(),
            (Some(name), _) => format!("{name} ({}, {} g/L)", direction(cycle), short(cycle.figures.dose_g_per_l)),
            (None, _) => format!("case {} ({}, {} g/L)", k + 1, direction(cycle), short(cycle.figures.dose_g_per_l)),
        })
        .collect()
}

/// The answer in a sentence. Direction shows in the half-run leakage: a mean taken to a breakthrough limit measures the
/// tail of the run.
fn sentence(cycles: &[CycleReport], at: At) -> String {
    let names = names(cycles);
    if let Some((cycle, name)) = cycles.iter().zip(&names).find(|(cycle, _)| cycle.figures.never_soft()) {
        return format!(
            "{} never delivers soft water here: its effluent is above {} mg/L as CaCO3 from the start.",
            capitalised(name),
            cycle.case.service.limit_mg_per_l_caco3.map_or_else(|| "the limit".to_string(), short)
        );
    }
    let key = |cycle: &CycleReport| match at {
        At::EqualDose => cycle.figures.leakage_half_run_mg_per_l_caco3,
        At::EqualLeakage => cycle.figures.dose_g_per_l,
    };
    let order = |a: &usize, b: &usize| key(&cycles[*a]).total_cmp(&key(&cycles[*b]));
    let (Some(best), Some(worst)) = ((0..cycles.len()).min_by(order), (0..cycles.len()).max_by(order)) else {
        return String::new();
    };
    let (b, w) = (&cycles[best].figures, &cycles[worst].figures);
    let (best, worst) = (&names[best], &names[worst]);
    match at {
        At::EqualDose => {
            let dose = if (b.dose_g_per_l - w.dose_g_per_l).abs() < 1e-9 * b.dose_g_per_l {
                format!("At {} g of salt per litre of resin", short(b.dose_g_per_l))
            } else {
                format!("At {} and {} g of salt per litre of resin", short(b.dose_g_per_l), short(w.dose_g_per_l))
            };
            let leaks = format!(
                "{best} leaks {} mg/L as CaCO3 at half run where {worst} leaks {}",
                leakage(b.leakage_half_run_mg_per_l_caco3),
                leakage(w.leakage_half_run_mg_per_l_caco3)
            );
            let metered = [b, w].iter().all(|figures| figures.stop_reason == StopReason::Throughput);
            if metered && (b.run_length_bv - w.run_length_bv).abs() < 1e-6 * b.run_length_bv {
                return format!("{dose} and {} bed volumes a run, {leaks}.", short(b.run_length_bv));
            }
            let difference = 100.0 * (b.capacity_eq_per_l / w.capacity_eq_per_l - 1.0);
            let capacity = if difference.abs() < 0.05 {
                "its capacity is the same".to_string()
            } else {
                let sense = if difference > 0.0 { "higher" } else { "lower" };
                format!("its capacity is {:.1} % {sense}", difference.abs())
            };
            format!(
                "{dose}, {leaks}; {capacity} ({} against {} bed volumes).",
                short(b.run_length_bv),
                short(w.run_length_bv)
            )
        }
        At::EqualLeakage => format!(
            "For {} bed volumes a run at no more than {} mg/L as CaCO3 at half run, {best} needs {} g of salt per litre of resin and {worst} {}: {:.0} % less.",
            short(b.run_length_bv),
            leakage(b.leakage_half_run_mg_per_l_caco3.max(w.leakage_half_run_mg_per_l_caco3)),
            short(b.dose_g_per_l),
            short(w.dose_g_per_l),
            100.0 * (1.0 - b.dose_g_per_l / w.dose_g_per_l),
        ),
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
