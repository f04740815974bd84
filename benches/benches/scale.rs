//! How the cost grows: with cells, with ions, with cases on two cores, and the memory of a stream with its length.
//!
//! ```sh
//! cargo bench -p brinefront-benches --bench scale               # a few minutes
//! cargo bench -p brinefront-benches --bench scale -- --quick    # half a minute
//! cargo bench -p brinefront-benches --bench scale -- cases      # one table: cells, cations, cases or streams
//! ```
//!
//! Plain times, the best of a few runs, as tables; nothing is asserted.
#![allow(clippy::print_stdout, reason = "the figures are the output")]

use std::ops::ControlFlow;
use std::process::{Command, ExitCode};
use std::time::{Duration, Instant};

use brinefront::Case;
use brinefront::inputs::regeneration::Direction;
use brinefront::numerics::effort::Effort;
use brinefront::study;
use brinefront_benches::metered;
use brinefront_tests::cases::tiny;
use brinefront_tests::process::{peak_mb, processor_s};
use serde_json::Value;

type Failure = Box<dyn std::error::Error>;
/// Measures and prints one table.
type Table = fn(&Size) -> Result<(), Failure>;

/// Cycles of one measurement, from new resin: a number of its own, so that the search for the steady state adds nothing.
const CYCLES: usize = 2;

/// Values of the faster axis of a stream; the lengths are multiples of it.
const FLOWS: usize = 100;

/// How much is run.
struct Size {
    cells: &'static [usize],
    cations: &'static [usize],
    cells_for_cations: usize,
    cases: usize,
    streams: &'static [usize],
    best_of: usize,
}

const FULL: Size = Size {
    cells: &[50, 100, 200, 400, 800, 1600],
    cations: &[3, 4, 5, 6, 7, 8],
    cells_for_cations: 100,
    cases: 200,
    streams: &[200, 2000, 10_000],
    best_of: 3,
};
const QUICK: Size = Size {
    cells: &[50, 100, 200, 400],
    cations: &[3, 5, 8],
    cells_for_cations: 50,
    cases: 40,
    streams: &[200, 1000],
    best_of: 1,
};

/// The best time of a few runs, and what one of them gave.
fn best<T>(of: usize, mut run: impl FnMut() -> brinefront::Result<T>) -> brinefront::Result<(Duration, T)> {
    let mut timed = || -> brinefront::Result<(Duration, T)> {
        let begun = Instant::now();
        let found = run()?;
        Ok((begun.elapsed(), found))
    };
    let mut best = timed()?;
    for _ in 1..of {
        let again = timed()?;
        if again.0 < best.0 {
            best = again;
        }
    }
    Ok(best)
}

/// Slope of the straight line through the logarithms: y goes as x to this power.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let logs: Vec<_> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let count = logs.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| logs.iter().map(of).sum::<f64>() / count;
    let (x, y) = (mean(|p| p.0), mean(|p| p.1));
    let along: f64 = logs.iter().map(|p| (p.0 - x) * (p.1 - y)).sum();
    along / logs.iter().map(|p| (p.0 - x).powi(2)).sum::<f64>()
}

/// One measurement of a few cycles.
struct Measured {
    size: f64,
    time: Duration,
    effort: Effort,
}

impl Measured {
    fn of(size: usize, case: &Case, best_of: usize) -> brinefront::Result<Self> {
        let (time, cycles) = best(best_of, || case.cycles(CYCLES))?;
        let effort = cycles.iter().map(|cycle| &cycle.effort).sum();
        Ok(Self { size: size as f64, time, effort })
    }

    /// A sweep solves one equilibrium in each cell.
    fn ns_per_cell_and_sweep(&self) -> f64 {
        self.time.as_secs_f64() * 1e9 / self.effort.equilibria as f64
    }

    fn head(what: &str) {
        println!(
            "{what:>8}{:>12}{:>10}{:>10}{:>16}{:>16}{:>12}",
            "ms", "steps", "sweeps", "sweeps/step", "factorisations", "ns/cell/sw"
        );
    }

    fn print(&self) {
        let Effort { steps, sweeps, factorisations, .. } = self.effort;
        println!(
            "{:>8}{:>12.1}{steps:>10}{sweeps:>10}{:>16.2}{factorisations:>16}{:>12.1}",
            self.size,
            self.time.as_secs_f64() * 1e3,
            sweeps as f64 / steps as f64,
            self.ns_per_cell_and_sweep()
        );
    }
}

/// The fitted power of each column.
fn print_exponents(all: &[Measured]) {
    let fit = |of: fn(&Measured) -> f64| exponent(&all.iter().map(|m| (m.size, of(m))).collect::<Vec<_>>());
    println!(
        "  exponents: time {:.2}, steps {:.2}, sweeps {:.2}, time a cell and sweep {:.2}\n",
        fit(|m| m.time.as_secs_f64()),
        fit(|m| m.effort.steps as f64),
        fit(|m| m.effort.sweeps as f64),
        fit(Measured::ns_per_cell_and_sweep)
    );
}

fn cells(size: &Size) -> Result<(), Failure> {
    for (words, dispersion) in [("dispersion 2e-6 m2/s", 2e-6), ("no dispersion", 0.0)] {
        println!("{CYCLES} cycles of 120 BV from new resin, 3 cations, {words}");
        Measured::head("cells");
        let mut all = Vec::new();
        for &cells in size.cells {
            let mut case = metered(cells, 3)?;
            case.rates.dispersion_m2_per_s = Some(dispersion);
            let measured = Measured::of(cells, &case, size.best_of)?;
            measured.print();
            all.push(measured);
        }
        print_exponents(&all);
    }
    Ok(())
}

fn cations(size: &Size) -> Result<(), Failure> {
    println!("{CYCLES} cycles of 120 BV from new resin, {} cells", size.cells_for_cations);
    Measured::head("cations");
    let mut all = Vec::new();
    for &cations in size.cations {
        let measured = Measured::of(cations, &metered(size.cells_for_cations, cations)?, size.best_of)?;
        measured.print();
        all.push(measured);
    }
    print_exponents(&all);
    Ok(())
}

fn cases(size: &Size) -> Result<(), Failure> {
    let case = metered(20, 3)?;
    let doses = (0..size.cases).map(|k| (70.0 + 60.0 * k as f64 / size.cases as f64).into()).collect();
    let axes = [("regeneration.dose_g_per_l".to_string(), doses)];
    println!("sweep of {} doses to their steady states, 20 cells", size.cases);
    println!("{:>8}{:>12}{:>20}", "threads", "s", "processor time, s");
    let mut times = Vec::new();
    for threads in [1, 2] {
        let (time, processor) = best(size.best_of, || {
            let before = processor_s();
            study::sweep(&case, &axes, Some(threads))?;
            Ok(processor_s().zip(before).map_or(f64::NAN, |(after, before)| after - before))
        })?;
        println!("{threads:>8}{:>12.2}{processor:>20.2}", time.as_secs_f64());
        times.push((time.as_secs_f64(), processor));
    }
    // Where other programs hold a processor, the first figure says nothing about this one; the second does.
    println!(
        "  two threads are {:.2} times as fast, for {:+.1} % of processor time\n",
        times[0].0 / times[1].0,
        100.0 * (times[1].1 / times[0].1 - 1.0)
    );
    Ok(())
}

/// A stream of tiny cases, then the peak of this process: run as a process of its own, since nothing lowers a peak.
fn stream_and_tell(length: usize) -> Result<(), Failure> {
    // Two axes, so that their own values, which are held, are few.
    let rows = length / FLOWS;
    let doses: Vec<Value> = (0..rows).map(|k| (60.0 + 60.0 * k as f64 / rows as f64).into()).collect();
    let flows: Vec<Value> = (0..FLOWS).map(|k| (2.0 + 0.02 * k as f64).into()).collect();
    let axes = [("regeneration.dose_g_per_l".to_string(), doses), ("regeneration.flow_bv_per_h".to_string(), flows)];
    let mut taken = 0;
    study::sweep_each(&tiny(Direction::CounterCurrent, 96.0), &axes, Some(2), |_, point| {
        taken += usize::from(point.is_ok());
        ControlFlow::Continue(())
    })?;
    println!("{taken} {}", peak_mb().unwrap_or(f64::NAN));
    Ok(())
}

fn streams(size: &Size) -> Result<(), Failure> {
    println!("peak resident set of a stream, 10 cells, two threads");
    println!("{:>8}{:>12}{:>12}", "points", "MB", "s");
    for length in size.streams {
        let begun = Instant::now();
        let done = Command::new(std::env::current_exe()?).args(["--stream", &length.to_string()]).output()?;
        let said = String::from_utf8_lossy(&done.stdout);
        let (taken, peak) = said.trim().split_once(' ').ok_or("the stream ended without a figure")?;
        if taken != length.to_string() {
            return Err(format!("{taken} of {length} points had figures").into());
        }
        println!("{length:>8}{:>12.2}{:>12.1}", peak.parse::<f64>()?, begun.elapsed().as_secs_f64());
    }
    Ok(())
}

fn run(words: &[String]) -> Result<(), Failure> {
    if let Some(length) = words.iter().position(|word| word == "--stream").and_then(|at| words.get(at + 1)) {
        return stream_and_tell(length.parse()?);
    }
    let size = if words.iter().any(|word| word == "--quick") { QUICK } else { FULL };
    let tables: [(&str, Table); 4] = [("cells", cells), ("cations", cations), ("cases", cases), ("streams", streams)];
    let named = |name: &str| words.iter().any(|word| word == name);
    let all = !tables.iter().any(|(name, _)| named(name));
    for (_, table) in tables.iter().filter(|(name, _)| all || named(name)) {
        table(&size)?;
    }
    Ok(())
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match run(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            println!("scale: {error}");
            ExitCode::FAILURE
        }
    }
}
