//! How far each constant of the scheme may move before a figure does.
//!
//! ```sh
//! cargo bench -p brinefront-benches --bench scheme               # a few minutes
//! cargo bench -p brinefront-benches --bench scheme -- --quick    # coarser grids, two factors each: under a minute
//! cargo bench -p brinefront-benches --bench scheme -- moderate   # constants whose name contains a word
//! ```
//!
//! Each constant of [`Scheme`] is multiplied by a few factors, in a case that it acts in, and changes of the figures of a
//! cycle are printed, relative to those of the default scheme. Nothing is asserted.
#![allow(clippy::print_stdout, reason = "the figures are the output")]

use std::process::ExitCode;

use brinefront::Case;
use brinefront::cycle::repeat::repeat;
use brinefront::cycle::unwatched;
use brinefront::inputs::activity::ActivityLaw;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::rates::FilmDiffusion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::BeadDiffusivity;
use brinefront::plan::cycle_plan::CyclePlan;
use brinefront::plan::scheme::Scheme;
use brinefront::report::read::Cycle;
use brinefront_benches::DOSE_G_PER_L;
use brinefront_tests::cases::softener;

type Failure = Box<dyn std::error::Error>;

/// Cycles from new resin, the last of which is read: no search for the steady state, whose own accuracy would show.
const CYCLES: usize = 3;

/// A case that a constant acts in.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Bed {
    /// Lumped beads, counter-current.
    Lumped,
    /// So much dispersion that Newton solves brine and slow rinse, and the march the rest.
    Dispersed,
    /// Dispersion just below that: the march solves all of it.
    Spread,
    /// Shells, each ion with its own diffusivity.
    Radial,
    /// Activity coefficients.
    Activities,
    /// Films of unlike ions.
    Film,
}

impl Bed {
    fn case(self, quick: bool) -> Case {
        let mut case = softener(Direction::CounterCurrent, DOSE_G_PER_L);
        let cells = |fine: usize, coarse: usize| if quick { coarse } else { fine };
        case.cells = match self {
            Self::Lumped => cells(100, 50),
            Self::Dispersed | Self::Spread => 40,
            Self::Radial | Self::Activities | Self::Film => cells(50, 20),
        }
        .into();
        match self {
            Self::Lumped => {}
            Self::Dispersed => case.rates.dispersion_m2_per_s = Some(2e-5),
            Self::Spread => case.rates.dispersion_m2_per_s = Some(1e-5),
            Self::Radial => {
                case.kinetics = Kinetics::Radial;
                case.rates.bead_per_s = None;
                let by_ion = [(Ion::NA, 2e-10), (Ion::MG, 2e-11), (Ion::CA, 3e-11)];
                case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(by_ion.into());
            }
            Self::Activities => case.activity = ActivityLaw::Pitzer,
            Self::Film => {
                case.rates.film_per_s = None;
                case.rates.film_diffusion = FilmDiffusion::ByIon;
            }
        }
        case
    }

    fn name(self) -> &'static str {
        match self {
            Self::Lumped => "lumped",
            Self::Dispersed => "dispersed",
            Self::Spread => "spread",
            Self::Radial => "radial",
            Self::Activities => "activities",
            Self::Film => "film",
        }
    }
}

/// A constant: its name, the case it acts in, factors that leave it in its range, and how it is multiplied.
struct Constant {
    name: &'static str,
    bed: Bed,
    factors: [f64; 4],
    scale: fn(&mut Scheme, f64),
}

/// Factors of what may move by orders of magnitude, and of what may not; the middle two are the quick ones.
const WIDE: [f64; 4] = [0.01, 0.1, 10.0, 100.0];
const NARROW: [f64; 4] = [0.5, 0.8, 1.25, 2.0];

fn count(number: usize, factor: f64) -> usize {
    (number as f64 * factor).round() as usize
}

fn widen(range: &mut [f64; 2], factor: f64) {
    *range = [range[0] / factor, range[1] * factor];
}

const fn constant(name: &'static str, bed: Bed, factors: [f64; 4], scale: fn(&mut Scheme, f64)) -> Constant {
    Constant { name, bed, factors, scale }
}

const CONSTANTS: [Constant; 26] = [
    constant("march_peclet", Bed::Dispersed, [0.1, 0.5, 2.0, 10.0], |s, f| s.march_peclet *= f),
    constant("rounding", Bed::Lumped, WIDE, |s, f| s.rounding *= f),
    constant("lagged_damping", Bed::Lumped, NARROW, |s, f| s.lagged_damping *= f),
    constant("lagged_range", Bed::Lumped, NARROW, |s, f| widen(&mut s.lagged_range, f)),
    constant("guess_range", Bed::Lumped, [0.6, 0.8, 1.25, 2.0], |s, f| widen(&mut s.guess_range, f)),
    constant("moderate", Bed::Lumped, [0.1, 0.5, 2.0, 3.0], |s, f| s.moderate *= f),
    constant("steep", Bed::Lumped, [0.3, 0.5, 2.0, 4.0], |s, f| s.steep *= f),
    constant("counts", Bed::Lumped, WIDE, |s, f| s.counts *= f),
    constant("trace", Bed::Lumped, WIDE, |s, f| s.trace *= f),
    constant("vanished", Bed::Lumped, [1e-6, 1e-3, 1e3, 1e6], |s, f| s.vanished *= f),
    constant("backward", Bed::Spread, [0.5, 0.8, 1.1, 1.25], |s, f| s.backward *= f),
    constant("all_backward", Bed::Spread, [0.8, 0.9, 1.25, 2.0], |s, f| s.all_backward *= f),
    constant("most_backward", Bed::Spread, NARROW, |s, f| s.most_backward *= f),
    constant("last_correction", Bed::Lumped, WIDE, |s, f| s.last_correction *= f),
    constant("last_correction_ahead", Bed::Lumped, WIDE, |s, f| s.last_correction_ahead *= f),
    constant("most_explicit", Bed::Lumped, [0.5, 0.8, 1.05, 1.1], |s, f| s.most_explicit *= f),
    constant("newton_most_iterations", Bed::Dispersed, [0.3, 0.5, 2.0, 5.0], |s, f| {
        s.newton_most_iterations = count(s.newton_most_iterations, f);
    }),
    constant("newton_renewed", Bed::Dispersed, [0.0, 0.5, 1.5, 2.0], |s, f| {
        s.newton_renewed = count(s.newton_renewed, f);
    }),
    constant("newton_converged", Bed::Dispersed, WIDE, |s, f| s.newton_converged *= f),
    constant("newton_rounding", Bed::Dispersed, WIDE, |s, f| s.newton_rounding *= f),
    constant("newton_least_share", Bed::Dispersed, [0.1, 0.5, 2.0, 10.0], |s, f| s.newton_least_share *= f),
    constant("shells_least_share", Bed::Radial, [0.5, 0.91, 1.2, 1.8], |s, f| s.shells_least_share *= f),
    constant("shells_flat", Bed::Radial, [1e-4, 1e-2, 1e2, 1e4], |s, f| s.shells_flat *= f),
    constant("most_explicit", Bed::Radial, [0.5, 0.8, 1.05, 1.1], |s, f| s.most_explicit *= f),
    constant("selectivity_renewed_beyond", Bed::Activities, [0.0, 0.1, 5.0, 50.0], |s, f| {
        s.selectivity_renewed_beyond *= f;
    }),
    constant("film_accuracy", Bed::Film, WIDE, |s, f| s.film_accuracy *= f),
];

/// What is compared.
#[derive(Debug, Clone, Copy)]
struct Measured {
    capacity_eq_per_l: f64,
    run_length_bv: f64,
    leakage_mg_per_l_caco3: f64,
    steps: u64,
}

fn measured(case: &Case, scheme: Scheme) -> brinefront::Result<Measured> {
    let mut plan = CyclePlan::new(case)?;
    plan.model.scheme = scheme;
    let cycles = repeat(&plan, CYCLES, &unwatched)?;
    let steps = cycles.iter().map(|(_, settling)| settling.effort.steps).sum();
    let (history, settling) = cycles.last().ok_or_else(|| brinefront::Error::value("n", CYCLES, "no cycle was run"))?;
    let figures = Cycle::new(&plan, history, settling).key_figures();
    Ok(Measured {
        capacity_eq_per_l: figures.capacity_eq_per_l,
        run_length_bv: figures.run_length_bv,
        leakage_mg_per_l_caco3: figures.leakage_half_run_mg_per_l_caco3,
        steps,
    })
}

fn print_row(constant: &Constant, factor: f64, was: &Measured, now: brinefront::Result<Measured>) {
    print!("{:<28}{:<12}{factor:>9}", constant.name, constant.bed.name());
    match now {
        Ok(now) => {
            let change = |of: fn(&Measured) -> f64| of(&now) / of(was) - 1.0;
            println!(
                "{:>12.1e}{:>12.1e}{:>12.1e}{:>8}{:>+9.1} %",
                change(|m| m.capacity_eq_per_l),
                change(|m| m.run_length_bv),
                change(|m| m.leakage_mg_per_l_caco3),
                now.steps,
                100.0 * change(|m| m.steps as f64)
            );
        }
        Err(error) => println!("  fails: {error}"),
    }
}

fn run(words: &[String]) -> Result<(), Failure> {
    let quick = words.iter().any(|word| word == "--quick");
    let wanted: Vec<&String> = words.iter().filter(|word| !word.starts_with("--")).collect();
    println!("changes of the figures of cycle {CYCLES} from new resin, relative to the default scheme");
    println!(
        "{:<28}{:<12}{:>9}{:>12}{:>12}{:>12}{:>8}{:>11}",
        "constant", "case", "factor", "capacity", "run length", "half run", "steps", "change"
    );
    let mut default: Option<(Bed, Measured)> = None;
    for constant in &CONSTANTS {
        if !wanted.is_empty() && !wanted.iter().any(|word| constant.name.contains(word.as_str())) {
            continue;
        }
        let case = constant.bed.case(quick);
        let was = match default {
            Some((bed, was)) if bed == constant.bed => was,
            _ => measured(&case, Scheme::DEFAULT)?,
        };
        default = Some((constant.bed, was));
        let factors = if quick { &constant.factors[1..3] } else { &constant.factors[..] };
        for factor in factors {
            let mut scheme = Scheme::DEFAULT;
            (constant.scale)(&mut scheme, *factor);
            print_row(constant, *factor, &was, measured(&case, scheme));
        }
    }
    Ok(())
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match run(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            println!("scheme: {error}");
            ExitCode::FAILURE
        }
    }
}
