//! Peak resident set of a process that runs the comparison once; fails above what is allowed.
//!
//! The kernel's own count, VmHWM in /proc/self/status: a benchmark of its own, since nothing lowers that count again.
#![allow(clippy::print_stdout, reason = "the figure is the output")]

use std::process::ExitCode;

use brinefront_benches::{compare_one_after_the_other, strategies};
use brinefront_tests::process::peak_mb;

/// Most that a comparison may take \[MB\].
const MOST_MB: f64 = 50.0;

fn main() -> ExitCode {
    let before = peak_mb();
    if let Err(error) = compare_one_after_the_other(&strategies()) {
        println!("memory: the comparison failed: {error}");
        return ExitCode::FAILURE;
    }
    match (before, peak_mb()) {
        (Some(before), Some(peak)) => {
            println!(
                "memory: peak resident set {peak:.1} MB, {before:.1} MB before the comparison, at most {MOST_MB} MB"
            );
            if peak <= MOST_MB { ExitCode::SUCCESS } else { ExitCode::FAILURE }
        }
        _ => {
            println!("memory: this system does not count its peak resident set");
            ExitCode::SUCCESS
        }
    }
}
