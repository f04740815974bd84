//! The trainer: the brine-efficiency curve. Each kilogram of salt buys less than the one before, and equilibrium says
//! how much it could buy at best.
//!
//! `cargo run --release --example trainer`
#![allow(clippy::print_stdout, reason = "a program that prints")]

use brinefront::{Direction, Result, default_case, sweep};

const DOSES_G_PER_L: [f64; 7] = [40.0, 60.0, 80.0, 120.0, 160.0, 200.0, 240.0];

fn main() -> Result<()> {
    // Runs go to the leakage limit: a meter would stop each of them at the same volume.
    let mut case = default_case();
    case.service.volume_bv = None;
    // Counter-current: an ideal bed whose brine goes the other way leaks from the start at a small dose.
    let mut ceilings = case.efficiency_ceiling(&DOSES_G_PER_L)?;
    ceilings.retain(|ceiling| ceiling.direction == Direction::CounterCurrent);
    println!("{:>10} {:>10} {:>10} {:>14} {:>14}", "g/L", "eq/L", "kgr/ft3", "gr/lb", "at best gr/lb");
    for case in [case.mirrored(), case] {
        println!("{}", case.regeneration.direction);
        let doses = DOSES_G_PER_L.map(Into::into).to_vec();
        let found = sweep(&case, &[("regeneration.dose_g_per_l".into(), doses)], None)?;
        for (point, ceiling) in found.points.into_iter().zip(&ceilings) {
            let figures = point?.figures;
            println!(
                "{:>10.0} {:>10.3} {:>10.1} {:>14.0} {:>14.0}",
                figures.dose_g_per_l,
                figures.capacity_eq_per_l,
                figures.capacity_kgr_per_ft3,
                figures.salt_efficiency_gr_per_lb,
                ceiling.salt_efficiency_gr_per_lb,
            );
        }
    }
    Ok(())
}
