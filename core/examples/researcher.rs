//! The researcher: a grid of doses, flows and directions, point by point as CSV; memory does not grow with the grid.
//!
//! `cargo run --release --example researcher > points.csv`; the number of threads may be given, all cores otherwise.
#![allow(clippy::print_stdout, reason = "a program that prints")]

use std::io::{self, Write};
use std::ops::ControlFlow;

use brinefront::{Direction, Error, Value, default_case, sweep_each};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let threads = std::env::args().nth(1).map(|number| number.parse()).transpose()?;
    let mut case = default_case();
    case.cells = 50.into();
    case.service.volume_bv = None;
    let doses: Vec<f64> = (2..=12).map(|step| 20.0 * f64::from(step)).collect();
    let flows = [2.0, 4.0];
    let values = |numbers: &[f64]| numbers.iter().map(|number| Value::from(*number)).collect::<Vec<_>>();
    let axes = [
        ("regeneration.direction".to_string(), Direction::NAMES.iter().map(|name| Value::from(*name)).collect()),
        ("regeneration.flow_bv_per_h".to_string(), values(&flows)),
        ("regeneration.dose_g_per_l".to_string(), values(&doses)),
    ];

    let mut out = io::stdout().lock();
    let columns = [
        "direction",
        "flow_bv_per_h",
        "dose_g_per_l",
        "run_length_bv",
        "capacity_eq_per_l",
        "leakage_half_run_mg_per_l_caco3",
        "error",
    ];
    let mut written = writeln!(out, "{}", columns.join(","));
    sweep_each(&case, &axes, threads, |index, point| {
        // The last axis varies fastest.
        let dose = doses[index % doses.len()];
        let flow = flows[index / doses.len() % flows.len()];
        let direction = Direction::ALL[index / (doses.len() * flows.len())];
        let row = match point {
            Ok(point) => {
                let f = point.figures;
                let leakage = f.leakage_half_run_mg_per_l_caco3;
                format!("{direction},{flow},{dose},{},{},{leakage},", f.run_length_bv, f.capacity_eq_per_l)
            }
            Err(Error::Value { field, limits, .. }) => format!("{direction},{flow},{dose},,,,\"{field} {limits}\""),
            Err(other) => format!("{direction},{flow},{dose},,,,\"{other}\""),
        };
        written = writeln!(out, "{row}");
        // Nobody reads any more: end the sweep.
        if written.is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    })?;
    Ok(written?)
}
