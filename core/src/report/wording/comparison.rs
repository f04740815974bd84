//! What a comparison found, in a sentence.

use crate::plan::steps::StopReason;
use crate::report::CycleReport;
use crate::report::comparison::{At, Comparison};

impl Comparison {
    /// The answer in a sentence.
    pub fn sentence(&self) -> String {
        sentence(&self.cycles, self.at)
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
