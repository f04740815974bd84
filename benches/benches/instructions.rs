//! Instructions that the hot kernels execute, counted by callgrind and compared with `instructions.json` within 2 %.
//!
//! ```sh
//! cargo bench -p brinefront-benches --bench instructions               # compare
//! cargo bench -p brinefront-benches --bench instructions -- --record   # write the file anew
//! ```
//!
//! The program runs itself under valgrind, one kernel at a time, and callgrind counts inside [`counted_kernel`] alone: no
//! set-up, no process start. Own code, because the harnesses for this want a runner installed beside cargo, in a version
//! that matches. Counts repeat to the last on one machine with one compiler; with another compiler the
//! table is shown and not judged.
#![allow(clippy::print_stdout, reason = "the figures are the output")]

use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};

use brinefront::cycle::run::Loading;
use brinefront::inputs::ion::Ion;
use brinefront::laws::equilibrium::loading_from_solution;
use brinefront_benches::{metered, strategies};
use brinefront_tests::cases::loaded;
use serde::{Deserialize, Serialize};

/// Instructions may differ from the record by this share.
const MARGIN: f64 = 0.02;
/// Local equilibria that are counted together.
const SOLVES: u64 = 1000;

type Failure = Box<dyn std::error::Error>;

/// A kernel by its name: set up, count one run of it, and return how many pieces of work that was.
type Kernel = (&'static str, &'static str, fn() -> Result<u64, Failure>);

const KERNELS: [Kernel; 6] = [
    ("equilibrium", "solve", equilibrium),
    ("loading", "cell and sweep", loading),
    ("elution", "cell and sweep", elution),
    ("cycle, counter-current", "cell and sweep", || cycle(&strategies()[0])),
    ("cycle, metered, 3 cations", "cell and sweep", || cycle(&metered(50, 3)?)),
    ("cycle, metered, 6 cations", "cell and sweep", || cycle(&metered(50, 6)?)),
];

/// The function that callgrind watches for.
#[inline(never)]
fn counted_kernel(run: &mut dyn FnMut()) {
    black_box(run)();
}

fn counted<T>(mut run: impl FnMut() -> brinefront::Result<T>) -> Result<T, Failure> {
    let mut found = None;
    counted_kernel(&mut || found = Some(run()));
    Ok(found.ok_or("the kernel did not run")??)
}

/// The loading in equilibrium with a feed of sodium, magnesium and calcium, whose strength differs a little each time.
fn equilibrium() -> Result<u64, Failure> {
    let mut solved = 0;
    counted(|| {
        for k in 0..SOLVES {
            let share = 1.0 + 1e-3 * k as f64;
            let feed = [0.00261 * share, 0.00198, 0.00399];
            // No loading at all would be a solve that failed, and cheap.
            let found = loading_from_solution(black_box(&feed), &[1.0, 1.66, 2.6], &[1, 2, 2], 1.9);
            solved += u64::from(black_box(found).is_some());
        }
        Ok(())
    })?;
    if solved == SOLVES { Ok(SOLVES) } else { Err("a local equilibrium was not found".into()) }
}

/// 600 BV through a sodium bed of 100 cells.
fn loading() -> Result<u64, Failure> {
    let [case, _] = strategies();
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    Ok(counted(|| case.load(&sodium, 600.0))?.effort.equilibria)
}

/// 2.5 BV of brine of 1.2 eq/L through a bed of 100 cells in equilibrium with the feed.
fn elution() -> Result<u64, Failure> {
    let [case, _] = strategies();
    Ok(counted(|| case.elute(&Loading::Feed, 2.5, 1.2))?.effort.equilibria)
}

/// A strategy to its steady state. A sweep solves one equilibrium in each cell, of the coarser grid too.
fn cycle(case: &brinefront::Case) -> Result<u64, Failure> {
    Ok(counted(|| case.cycle())?.effort.equilibria)
}

/// What is on record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Record {
    /// The compiler's own words for its version, and the processor's architecture.
    compiler: String,
    /// Instructions of one run of each kernel.
    instructions: BTreeMap<String, u64>,
}

fn record_file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("instructions.json")
}

fn compiler() -> String {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let version = Command::new(rustc).arg("--version").output();
    let words =
        version.map_or_else(|_| "unknown".into(), |out| String::from_utf8_lossy(&out.stdout).trim().to_string());
    format!("{words}, {}", std::env::consts::ARCH)
}

fn valgrind_is_there() -> bool {
    let asked = Command::new("valgrind").arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    asked.is_ok_and(|status| status.success())
}

/// Instructions and pieces of work of one kernel, from this program run under callgrind.
fn count(name: &str) -> Result<(u64, u64), Failure> {
    let done = Command::new("valgrind")
        .args(["--tool=callgrind", "--callgrind-out-file=/dev/null", "--toggle-collect=*counted_kernel*"])
        .arg(std::env::current_exe()?)
        .args(["--kernel", name])
        .output()?;
    let said = String::from_utf8_lossy(&done.stderr);
    if !done.status.success() {
        return Err(format!("{name}: {said}").into());
    }
    let collected = said.lines().find_map(|line| line.split_once("Collected :")).ok_or("callgrind gave no count")?.1;
    let instructions: u64 = collected.trim().parse()?;
    if instructions == 0 {
        return Err(format!("{name}: callgrind did not find the function to count in").into());
    }
    Ok((instructions, String::from_utf8_lossy(&done.stdout).trim().parse()?))
}

/// One line of the table, and whether the count is within the margin of the record.
fn judged(now: u64, was: Option<u64>) -> (String, bool) {
    match was {
        None => ("not on record".to_string(), false),
        Some(was) => {
            let change = now as f64 / was as f64 - 1.0;
            (format!("{:+.2} %", 100.0 * change), change.abs() <= MARGIN)
        }
    }
}

fn compare_all(record_anew: bool) -> Result<bool, Failure> {
    let compiler = compiler();
    let known: Option<Record> = match std::fs::read_to_string(record_file()) {
        Ok(text) => Some(serde_json::from_str(&text)?),
        Err(_) => None,
    };
    let mut instructions = BTreeMap::new();
    let mut all_within = true;
    println!("{:<28}{:>16}{:>16}  {:<24}on record", "kernel", "instructions", "pieces", "instructions for one");
    for (name, piece, _) in KERNELS {
        let (counted, pieces) = count(name)?;
        let (change, within) = judged(counted, known.as_ref().and_then(|known| known.instructions.get(name).copied()));
        all_within &= within;
        let each = format!("{:.1} a {piece}", counted as f64 / pieces as f64);
        println!("{name:<28}{counted:>16}{pieces:>16}  {each:<24}{change}");
        instructions.insert(name.to_string(), counted);
    }
    if record_anew {
        let text = serde_json::to_string_pretty(&Record { compiler, instructions })? + "\n";
        std::fs::write(record_file(), text)?;
        println!("recorded in {}", record_file().display());
        return Ok(true);
    }
    match known {
        Some(known) if known.compiler != compiler => {
            println!("the record is of {}, this is {compiler}: not judged", known.compiler);
            Ok(true)
        }
        _ => {
            if !all_within {
                println!("beyond {} % of the record; if that was meant, record anew with --record", 100.0 * MARGIN);
            }
            Ok(all_within)
        }
    }
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match words.iter().position(|word| word == "--kernel").and_then(|at| words.get(at + 1)) {
        Some(name) => match KERNELS.iter().find(|(known, ..)| known == name) {
            Some((_, _, run)) => run().map(|pieces| {
                println!("{pieces}");
                true
            }),
            None => Err(format!("no kernel is called {name}").into()),
        },
        None if !valgrind_is_there() => {
            println!("instructions: valgrind is not installed, nothing was counted");
            Ok(true)
        }
        None => compare_all(words.iter().any(|word| word == "--record")),
    };
    match outcome {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            println!("instructions: {error}");
            ExitCode::FAILURE
        }
    }
}
