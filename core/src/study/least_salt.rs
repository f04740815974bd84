//! The least salt for each volume of soft water whose leakage stays within a bound.

use crate::cycle::Watch;
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::report::CycleReport;
use crate::report::comparison::{DOSES_G_PER_L, FREE_RUN_DOSE_G_PER_L, LeakageBound, LeakageTarget};
use crate::study::recovery::AboveLimit;
use crate::study::seeker::{Edge, Seeker, Verdict};
use crate::study::single;

/// Doses of the first look.
const DOSES: usize = 8;
/// The best dose is found to this share: salt for the water hardly changes about it.
const DOSE_ACCURACY: f64 = 0.06;

/// What was found for one strategy.
pub(super) struct LeastSalt {
    pub cycle: CycleReport,
    pub bound: LeakageBound,
    pub effort: Effort,
}

/// The least salt of a case.
pub(super) fn of(case: &Case, target: LeakageTarget, watch: &Watch<'_>) -> Result<LeastSalt> {
    let on_grid = single::cells_found(case, watch)?;
    // The run is what is sought: a meter that is set has no say.
    let mut free = on_grid.as_ref().unwrap_or(case).clone();
    free.service.volume_bv = None;
    let mut seeker = Seeker::new(&free, Some(target), watch);
    let (sought, bound) = match target.run_bv {
        None => free_run(&mut seeker)?,
        Some(run_bv) => {
            long_enough(&free, run_bv)?;
            held_run(&mut seeker, run_bv)?
        }
    };
    let mut effort = seeker.effort;
    let as_given = || case.clone();
    let cycle = single::cycle(&sought.unwrap_or_else(as_given), AboveLimit::RunsAndDose, watch)?;
    effort.add(&cycle.effort);
    Ok(LeastSalt { cycle, bound, effort })
}

type Sought = (Option<Case>, LeakageBound);

/// A run must give more water than its regeneration takes.
fn long_enough(case: &Case, run_bv: f64) -> Result<()> {
    let mut least = case.clone();
    least.regeneration.dose_g_per_l = DOSES_G_PER_L.0;
    least.service.volume_bv = Some(run_bv);
    let takes: f64 = CyclePlan::new(&least)?.regeneration.iter().map(|step| step.most_bv).sum();
    if run_bv > takes {
        return Ok(());
    }
    Err(Error::value(
        "run_bv",
        run_bv,
        format!("must be more than the water that its regeneration takes, {takes:.1} BV"),
    ))
}

/// The least dose that delivers a run; where none does, the run that needs least salt.
fn held_run(seeker: &mut Seeker<'_>, run_bv: f64) -> Result<Sought> {
    match seeker.least_dose(Some(run_bv), DOSES_G_PER_L)? {
        Some(edge) => Ok((Some(seeker.at(edge.value, Some(run_bv))), bound_of(edge, LeakageBound::LeastDose))),
        None => match free_run(seeker)? {
            (Some(found), _) => Ok((Some(found), LeakageBound::Run)),
            not_met => Ok(not_met),
        },
    }
}

/// The dose whose longest run needs least salt for its water, with that run.
fn free_run(seeker: &mut Seeker<'_>) -> Result<Sought> {
    let least = FREE_RUN_DOSE_G_PER_L;
    let ratio = (DOSES_G_PER_L.1 / least).powf(1.0 / (DOSES - 1) as f64);
    let mut tried: Vec<(f64, f64)> = Vec::with_capacity(2 * DOSES);
    for k in 0..DOSES {
        let dose = least * ratio.powi(k as i32);
        // Runs grow about as the root of the dose.
        let guess = tried.last().map(|(_, run)| run * ratio.sqrt());
        let Some(edge) = seeker.longest_run(dose, guess, true)? else { continue };
        tried.push((dose, edge.value));
        // Past the least, salt for the water only rises: runs grow more slowly than the dose. Short runs say nothing of it.
        if tried.len() >= 3
            && !edge.is_short_of(seeker.usual_run_bv(dose)?)
            && salt(tried[tried.len() - 1]) > 1.3 * tried.iter().copied().map(salt).fold(f64::INFINITY, f64::min)
        {
            break;
        }
    }
    // Halve the gaps beside the best until they are narrow.
    let mut gap = ratio;
    while gap > 1.0 + DOSE_ACCURACY && !tried.is_empty() {
        gap = gap.sqrt();
        let (dose, run) = best(&tried);
        for beside in [dose / gap, dose * gap] {
            if (least..=DOSES_G_PER_L.1).contains(&beside) {
                let guess = run * (beside / dose).sqrt();
                let edge = seeker.longest_run(beside, Some(guess), true)?;
                tried.extend(edge.map(|edge| (beside, edge.value)));
            }
        }
    }
    // The grid of the case may hold less than the coarse one did: then with a little more salt.
    let mut dose = if tried.is_empty() { DOSES_G_PER_L.1 } else { best(&tried).0 };
    let near = tried.iter().find(|(at, _)| *at == dose).map(|(_, run)| *run);
    loop {
        if let Some(edge) = seeker.longest_run(dose, near, false)? {
            let at_the_end = if dose <= least {
                Some(LeakageBound::LeastDose)
            } else if dose >= DOSES_G_PER_L.1 {
                Some(LeakageBound::MostDose)
            } else {
                None
            };
            let bound = at_the_end.unwrap_or_else(|| bound_of(edge, LeakageBound::MostDose));
            return Ok((Some(seeker.at(dose, Some(edge.value))), bound));
        }
        if dose >= DOSES_G_PER_L.1 {
            return Ok((None, LeakageBound::NotMet));
        }
        dose = (dose * 1.2).min(DOSES_G_PER_L.1);
    }
}

/// Salt for the water, up to a factor.
fn salt((dose, run): (f64, f64)) -> f64 {
    dose / run
}

fn best(tried: &[(f64, f64)]) -> (f64, f64) {
    tried.iter().copied().fold((f64::INFINITY, 1.0), |best, each| if salt(each) < salt(best) { each } else { best })
}

fn bound_of(edge: Edge, at_the_end: LeakageBound) -> LeakageBound {
    match edge.beyond {
        None => at_the_end,
        Some(Verdict::ReachesLimit) => LeakageBound::Limit,
        Some(Verdict::Unsettled) => LeakageBound::Unsteady,
        Some(Verdict::Leaks | Verdict::Holds) => LeakageBound::Leakage,
    }
}
