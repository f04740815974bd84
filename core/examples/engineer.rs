//! The engineer: one site, brine with the flow of service or against it, at the same dose of salt.
//!
//! `cargo run --release --example engineer`; the name of a case file as an argument takes the place of the built-in
//! site.
#![allow(clippy::print_stdout, reason = "a program that prints")]

use std::path::Path;

use brinefront::{At, Case, Result, compare, default_case};

const WEEKS_A_YEAR: f64 = 365.25 / 7.0;

fn main() -> Result<()> {
    let case = match std::env::args().nth(1) {
        Some(file) => Case::from_toml_file(Path::new(&file))?,
        None => default_case(),
    };
    let both = compare(&[case], At::EqualDose)?;
    println!("{}\n", both.sentence());
    println!("{:<16} {:>12} {:>24} {:>12}", "direction", "run", "leakage at half run", "salt");
    for cycle in &both.cycles {
        let figures = &cycle.figures;
        let salt = figures.salt_kg_per_week.map(|kg| format!("{:.0} kg/year", kg * WEEKS_A_YEAR));
        println!(
            "{:<16} {:>9.1} BV {:>12.3} mg/L CaCO3 {:>12}",
            figures.direction,
            figures.run_length_bv,
            figures.leakage_half_run_mg_per_l_caco3,
            salt.unwrap_or_else(|| "no site".into()),
        );
    }
    for cycle in both.cycles.iter().filter(|cycle| !cycle.figures.settled) {
        println!("\n{}: {}", cycle.figures.direction, cycle.figures.outcome);
    }
    Ok(())
}
