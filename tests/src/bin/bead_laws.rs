//! Table of what simpler beads are off from shells by, and what they cost:
//! `cargo run --release -p brinefront-tests --bin bead_laws [BEDS] [FIRST SEED] [REPEATS]`.
#![allow(clippy::print_stdout, reason = "prints a table")]

use std::time::Instant;

use brinefront::Case;
use brinefront::inputs::case::Kinetics;
use brinefront::numerics::effort::Effort;
use brinefront::report::figures::Figures;
use brinefront_tests::drawn::unlike;

/// What is compared with the first.
const LAWS: [Kinetics; 3] = [Kinetics::Radial, Kinetics::Lumped, Kinetics::Interdiffusion];
/// Leakages below this are not compared \[mg/L as CaCO3\].
const LEAST_LEAKAGE: f64 = 0.02;
/// Change of the bed over a cycle up to which it counts as steady.
const STEADY: f64 = 1e-5;

/// A settled bed: figures, effort, and the shortest of several times \[s\].
struct Run {
    figures: Figures,
    effort: Effort,
    seconds: f64,
}

/// What a figure is called, how it is read, and whether it is compared where it has this value.
type Compared = (&'static str, fn(&Figures) -> f64, fn(&Figures) -> bool);

const COMPARED: [Compared; 4] = [
    ("capacity", |f| f.capacity_eq_per_l, |f| f.leakage_end_mg_per_l_caco3 > LEAST_LEAKAGE),
    ("run length", |f| f.run_length_bv, |f| f.leakage_end_mg_per_l_caco3 > LEAST_LEAKAGE),
    ("leakage, mean", |f| f.leakage_mean_mg_per_l_caco3, |f| f.leakage_mean_mg_per_l_caco3 > LEAST_LEAKAGE),
    ("leakage, half run", |f| f.leakage_half_run_mg_per_l_caco3, |f| f.leakage_half_run_mg_per_l_caco3 > LEAST_LEAKAGE),
];

fn main() {
    let given =
        |place: usize, unless: u64| std::env::args().nth(place).and_then(|text| text.parse().ok()).unwrap_or(unless);
    let (number, from, repeats) = (given(1, 200), given(2, 0), given(3, 1));
    let beds: Vec<(u64, bool, [Run; 3])> = (from..from + number)
        .filter_map(|seed| {
            let case = unlike(seed)?;
            let [radial, lumped, interdiffusion] = LAWS.map(|law| run(&case, law, repeats));
            let to_limit = case.service.limit_mg_per_l_caco3.is_some();
            Some((seed, to_limit, [radial?, lumped?, interdiffusion?]))
        })
        .collect();
    println!("{} of {number} beds are steady by every law", beds.len());
    if beds.is_empty() {
        return;
    }
    for (place, law) in LAWS.into_iter().enumerate().skip(1) {
        println!("{law}, against {}:", LAWS[0]);
        for (name, read, counts) in COMPARED {
            let runs_to_limit = ["capacity", "run length"].contains(&name);
            let mut errors: Vec<(f64, u64)> = beds
                .iter()
                .filter(|(_, to_limit, runs)| counts(&runs[0].figures) && (*to_limit || !runs_to_limit))
                .map(|(seed, _, runs)| ((read(&runs[place].figures) / read(&runs[0].figures) - 1.0).abs(), *seed))
                .collect();
            errors.sort_by(|a, b| a.0.total_cmp(&b.0));
            let at = |share: f64| errors.get(((errors.len().max(1) - 1) as f64 * share) as usize).copied();
            let (median, most, worst) =
                (at(0.5).unwrap_or_default(), at(0.95).unwrap_or_default(), at(1.0).unwrap_or_default());
            println!(
                "{name:>18}: {:7.3} % in the median, {:7.2} % in 95 of 100, {:7.2} % at most (seed {}), {} beds",
                100.0 * median.0,
                100.0 * most.0,
                100.0 * worst.0,
                worst.1,
                errors.len()
            );
        }
    }
    println!("{:>15}  {:>10}  {:>12}  {:>8}  {:>10}", "", "s", "us per step", "steps", "cycles");
    for (place, law) in LAWS.into_iter().enumerate() {
        let seconds: f64 = beds.iter().map(|(_, _, runs)| runs[place].seconds).sum();
        let steps: u64 = beds.iter().map(|(_, _, runs)| runs[place].effort.steps).sum();
        let cycles: u64 = beds.iter().map(|(_, _, runs)| runs[place].effort.cycles).sum();
        println!("{law:>15}  {seconds:10.2}  {:12.2}  {steps:8}  {cycles:10}", seconds * 1e6 / steps as f64);
    }
}

fn run(case: &Case, kinetics: Kinetics, repeats: u64) -> Option<Run> {
    let case = Case { kinetics, ..case.clone() };
    let mut seconds = f64::INFINITY;
    let mut found = None;
    for _ in 0..repeats.max(1) {
        let begin = Instant::now();
        found = case.cycle().ok();
        seconds = seconds.min(begin.elapsed().as_secs_f64());
    }
    let report = found.filter(|report| report.figures.residual <= STEADY)?;
    Some(Run { figures: report.figures, effort: report.effort, seconds })
}
