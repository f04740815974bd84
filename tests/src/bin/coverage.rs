//! Table of stated against true errors: `cargo run --release -p brinefront-tests --bin coverage [BEDS] [CELLS] [FIRST SEED]`;
//! for CELLS "auto", how many beds are within the accuracy, too.
#![allow(clippy::print_stdout, reason = "prints a table")]

use brinefront::inputs::cells::Cells;
use brinefront_tests::coverage::{beds, table};

/// The accuracy of a case unless given.
const ACCURACY: f64 = 0.01;

fn main() {
    let given =
        |place: usize, unless: u64| std::env::args().nth(place).and_then(|text| text.parse().ok()).unwrap_or(unless);
    let (number, from) = (given(1, 100), given(3, 0));
    let cells = match std::env::args().nth(2).as_deref() {
        Some("auto") => Cells::Auto,
        _ => Cells::Number(usize::try_from(given(2, 100)).unwrap_or(100)),
    };
    let all = beds(from..from + number, cells);
    let stated: Vec<_> = all.iter().flatten().cloned().collect();
    println!(
        "{} beds with a steady cycle on {cells} cells, {} of them without a stated error",
        all.len(),
        all.len() - stated.len()
    );
    if stated.is_empty() {
        return;
    }
    if std::env::var_os("SHOW").is_some() {
        for bed in &stated {
            let outside: Vec<_> = bed.judged.iter().filter(|(_, is, stated)| is > stated).collect();
            if !outside.is_empty() {
                println!("{}: {outside:.4?}", bed.seed);
            }
        }
    }
    if cells == Cells::Auto {
        let within =
            |most: f64| stated.iter().filter(|bed| bed.decisive <= most).count() as f64 / stated.len() as f64 * 100.0;
        let mut found: Vec<usize> = stated.iter().map(|bed| bed.cells).collect();
        found.sort_unstable();
        println!(
            "true errors within the accuracy: {:.0} % of them, within twice that: {:.0} %; cells: {} in the median",
            within(ACCURACY),
            within(2.0 * ACCURACY),
            found[found.len() / 2]
        );
    }
    println!("{:>17}  inside  stated/true  least (seed)    true: median, 90 %   stated: median", "");
    for row in table(&stated) {
        println!(
            "{:>17}  {:4.0} %  {:11.1}  {:5.2} ({:4})   {:8.3} %, {:7.3} %   {:8.3} %",
            row.name,
            100.0 * row.inside,
            row.median_ratio,
            row.least_ratio.0,
            row.least_ratio.1,
            100.0 * row.true_error.0,
            100.0 * row.true_error.1,
            100.0 * row.stated
        );
    }
}
