//! Table of how searches for a steady cycle end: `cargo run --release -p brinefront-tests --bin settling [BEDS] [FIRST SEED]`.
#![allow(clippy::print_stdout, reason = "prints a table")]

use brinefront_tests::settling::{Ending, searches};

/// Numbers of cycles that are counted up to.
const CYCLES: [u64; 5] = [5, 8, 12, 30, u64::MAX];

fn main() {
    let given =
        |place: usize, unless: u64| std::env::args().nth(place).and_then(|text| text.parse().ok()).unwrap_or(unless);
    let (number, from) = (given(1, 500), given(2, 0));
    let all = searches(from..from + number);
    println!("{} valid beds of {number} drawn", all.len());
    if all.is_empty() {
        return;
    }
    let mut least = 0;
    for most in CYCLES {
        let of = all.iter().filter(|s| s.ending() == Ending::Settled && s.cycles > least && s.cycles <= most).count();
        let name = if most == u64::MAX { format!("more than {least}") } else { format!("{} to {most}", least + 1) };
        println!("{of:5} settled in {name} cycles");
        least = most;
    }
    for (ending, words) in [
        (Ending::ComesBack, "come back after several cycles"),
        (Ending::NotSoft, "not soft where the limit is armed"),
        (Ending::GivenUp, "given up"),
        (Ending::Refused, "refused"),
    ] {
        let such: Vec<_> = all.iter().filter(|s| s.ending() == ending).collect();
        println!("{:5} {words}", such.len());
        if ending != Ending::NotSoft {
            such.iter().for_each(|s| println!("        seed {}: {:?}", s.seed, s.end));
        }
    }
    let mut steps: Vec<u64> = all.iter().map(|s| s.steps).collect();
    steps.sort_unstable();
    let at = |share: f64| steps[((steps.len() - 1) as f64 * share) as usize];
    println!("time steps: {} in the median, {} nine in ten at most, {} at most", at(0.5), at(0.9), at(1.0));
}
