//! Many cations at once: every one of the table goes through loading and regeneration, and what a stronger one displaces
//! leaves above its feed concentration, as high and as long as equilibrium theory says.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::cycle::run::Loading;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::rates::Rates;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::Selectivity;
use brinefront::report::RunReport;
use brinefront_tests::cases::{COLUMN_CAPACITY, COLUMN_VOID, column, loaded, rates, softener};
use brinefront_tests::curves::{ion_of, rises_through, value_at};

/// Coefficients against sodium, in the order of affinity of strong-acid resin (US DOE Handbook 1015/2-93, ch. 4, for most);
/// the numbers themselves only need to differ.
const SELECTIVITY: [(&str, f64); 9] = [
    ("H", 0.64),
    ("NH4", 1.29),
    ("K", 1.46),
    ("Mg", 1.66),
    ("Mn", 2.07),
    ("Fe", 1.7),
    ("Ca", 2.6),
    ("Sr", 3.29),
    ("Ba", 5.8),
];

fn ion(symbol: &str) -> Ion {
    Ion::parse("ion", symbol).unwrap()
}

/// The softener with more cations in its water [mg/L].
fn with_more(direction: Direction, more: &[(&str, f64)]) -> Case {
    let mut case = softener(direction, 120.0);
    case.cells = 40.into();
    case.resin.selectivity = Selectivity::Given(SELECTIVITY.iter().map(|(symbol, k)| (ion(symbol), *k)).collect());
    case.water.ions.extend(more.iter().map(|(symbol, mg_per_l)| (ion(symbol), *mg_per_l)));
    case
}

const MORE: [(&str, f64); 7] =
    [("K", 4.0), ("Sr", 1.5), ("NH4", 0.8), ("Ba", 0.3), ("Fe", 0.4), ("Mn", 0.2), ("H", 0.01)];

/// Cycles of three to six cations and of ten settle, close their ledgers, fill the capacity and hold nothing negative.
#[test]
fn cycles_of_three_to_ten_cations_close() {
    for (direction, count) in [
        (Direction::CounterCurrent, 0),
        (Direction::CoCurrent, 1),
        (Direction::CounterCurrent, 2),
        (Direction::CoCurrent, 3),
        (Direction::CounterCurrent, 7),
        (Direction::CoCurrent, 7),
    ] {
        let case = with_more(direction, &MORE[..count]);
        let cycle = case.cycle().unwrap();
        let figures = &cycle.figures;
        assert!(figures.settled, "{count} more: {}", figures.search_end);
        assert_eq!(cycle.leakage.ions.len(), 3 + count);
        println!("{} cations: {} cycles, ledger {:.1e}", 3 + count, figures.cycles_run, figures.ledger_error);
        assert!(figures.ledger_error < 1e-10, "{}", figures.ledger_error);
        assert!(cycle.leakage.eq_per_l.iter().chain(&cycle.profiles.loading_eq_per_l).all(|v| *v >= 0.0));
        for step in cycle.profiles.loading_eq_per_l.outer_iter() {
            for cell in step.outer_iter() {
                assert!((cell.sum() / case.resin.capacity_eq_per_l - 1.0).abs() < 1e-8);
            }
        }
    }
}

/// All ten, alone with the brine: loaded to equilibrium with their water and eluted again, every equivalent is found.
#[test]
fn all_ten_load_and_elute() {
    let case = with_more(Direction::CounterCurrent, &MORE);
    let feed = case.water.composition().unwrap();
    let load = case.load(&loaded(&[(Ion::NA, 1.0)]), 8000.0).unwrap();
    assert_eq!(load.effluent.ions.len(), 10);
    assert!(load.ledger_error < 1e-10);
    let last = load.effluent.bv.len() - 1;
    for (place, ion) in load.effluent.ions.iter().enumerate() {
        let (left, fed) = (load.effluent.eq_per_l[[last, place]], feed.of(*ion));
        assert!((left / fed - 1.0).abs() < 1e-4, "{ion}: {left} leaves, {fed} enters");
    }
    let elute = case.elute(&Loading::Feed, 30.0, 1.8).unwrap();
    assert!(elute.ledger_error < 1e-10);
    for ion in elute.effluent.ions.iter().filter(|ion| **ion != Ion::NA) {
        let eluted = integral(&elute.effluent.bv, &ion_of(&elute.effluent, *ion));
        let held = held(&case, &elute, *ion);
        assert!((eluted / held - 1.0).abs() < 5e-3, "{ion}: {eluted} eluted of {held}");
    }
}

/// What a bed in equilibrium with its feed holds of an ion, on beads and between them [eq/L of bed]: by mass action, with
/// r = y_Na/x_Na from bisection.
fn held(case: &Case, run: &RunReport, ion: Ion) -> f64 {
    let feed = case.water.composition().unwrap();
    let fractions: Vec<(f64, f64, i32)> = run
        .effluent
        .ions
        .iter()
        .map(|i| (feed.of(*i) / feed.normality(), case.resin.selectivity_of(*i).unwrap(), i.valence() as i32))
        .collect();
    let ratio = case.resin.capacity_eq_per_l / feed.normality();
    let r = root(1e-6, 1.0, |r| {
        fractions.iter().map(|(x, k, z)| loading_fraction(*x, *k, *z, r, ratio)).sum::<f64>() - 1.0
    });
    let k = case.resin.selectivity_of(ion).unwrap();
    let y = loading_fraction(feed.of(ion) / feed.normality(), k, ion.valence() as i32, r, ratio);
    case.resin.capacity_eq_per_l * y + case.resin.void_fraction * feed.of(ion)
}

fn loading_fraction(x: f64, k: f64, z: i32, r: f64, capacity_over_normality: f64) -> f64 {
    k * x * r.powi(z) * capacity_over_normality.powi(z - 1)
}

/// Root of a function that changes sign between two places.
fn root(mut low: f64, mut high: f64, of: impl Fn(f64) -> f64) -> f64 {
    let rising = of(high) > 0.0;
    assert!(rising != (of(low) > 0.0), "no change of sign");
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if (of(middle) > 0.0) == rising { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

fn integral(x: &[f64], y: &[f64]) -> f64 {
    x.windows(2).zip(y.windows(2)).map(|(x, y)| 0.5 * (y[0] + y[1]) * (x[1] - x[0])).sum()
}

/// A bed in equilibrium everywhere, hardly dispersed: what is left is how fronts travel.
fn sharp(water: &[(Ion, f64)], selectivity: &[(Ion, f64)]) -> Case {
    let given: Rates = rates(0.1, 0.01, 1e-7);
    let mut case = column(water, selectivity, given);
    case.kinetics = Kinetics::Equilibrium;
    case.cells = 300.into();
    case
}

/// Ions of one charge have constant separation factors: y_i = alpha_i x_i/sum alpha x. A bed of hydrogen fed with sodium,
/// ammonium and potassium gives sharp fronts only (F. Helfferich and G. Klein 1970, *Multicomponent Chromatography*, from
/// memory): hydrogen, then sodium alone, then sodium with ammonium, then the feed. At each front every ion travels at one
/// speed, (y - y')/(x - x') = lambda, and the ion that ends there sets it: lambda = alpha/sum alpha x on its own side.
#[test]
fn plateaus_of_one_charge_are_those_of_the_theory_of_fronts() {
    let (na, nh4, k, h) = (Ion::NA, ion("NH4"), Ion::K, ion("H"));
    let alpha = [1.0, 2.0, 4.0];
    let (feed, normality) = ([0.4, 0.35, 0.25], 10e-3);
    let water: Vec<(Ion, f64)> = [na, nh4, k].into_iter().zip(feed.map(|x| 1e3 * normality * x)).collect();
    let case = sharp(&water, &[(nh4, alpha[1]), (k, alpha[2]), (h, 0.5)]);
    let run = case.load(&loaded(&[(h, 1.0)]), 500.0).unwrap();

    let sum: f64 = alpha.iter().zip(feed).map(|(a, x)| a * x).sum();
    let last_front = alpha[2] / sum;
    let of_zone = |x: f64| alpha[0] * x / (alpha[0] * x + alpha[1] * (1.0 - x));
    let sodium =
        root(feed[0] + 1e-6, 1.0 - 1e-9, |x| (alpha[0] * feed[0] / sum - of_zone(x)) - last_front * (feed[0] - x));
    let middle_front = alpha[1] / (alpha[0] * sodium + alpha[1] * (1.0 - sodium));
    let bv = |lambda: f64| COLUMN_VOID + COLUMN_CAPACITY / normality * lambda;
    let (first, middle, last) = (bv(1.0), bv(middle_front), bv(last_front));
    println!("fronts at {first:.1}, {middle:.1}, {last:.1} BV; sodium {sodium:.4} in the middle zone");
    assert!(sodium > 1.1 * feed[0], "no overshoot to be tested");

    let curve = |ion| ion_of(&run.effluent, ion).iter().map(|c| c / normality).collect::<Vec<_>>();
    let at = |ion, bv: f64| value_at(&run.effluent.bv, &curve(ion), bv);
    let between = |a: f64, b: f64| 0.5 * (a + b);
    assert!((at(na, between(first, middle)) - 1.0).abs() < 1e-4);
    assert!((at(na, between(middle, last)) - sodium).abs() < 1e-4 && at(k, between(middle, last)) < 1e-4);
    assert!((at(nh4, between(middle, last)) - (1.0 - sodium)).abs() < 1e-4);
    for (place, ion) in [na, nh4, k].into_iter().enumerate() {
        assert!((at(ion, 499.0) - feed[place]).abs() < 1e-5);
    }
    for (ion, share, expected) in [(na, 0.5, first), (nh4, 0.5 * (1.0 - sodium), middle), (k, 0.5 * feed[2], last)] {
        let found = rises_through(&run.effluent.bv, &curve(ion), share);
        assert!((found / expected - 1.0).abs() < 3e-3, "{ion}: {found} BV, not {expected}");
    }
    // What leaves above the feed had been held and was displaced.
    let excess = (last - middle) * (sodium - feed[0]) + (middle - first) * (1.0 - feed[0]);
    // By the balance of the whole run: fed until the first front, less what bed and void hold of it at the end.
    let given_back = first * feed[0] - (COLUMN_VOID * feed[0] + COLUMN_CAPACITY / normality * alpha[0] * feed[0] / sum);
    let measured: f64 = {
        let sodium = curve(na);
        let above: Vec<f64> = sodium.iter().map(|x| (x - feed[0]).max(0.0)).collect();
        integral(&run.effluent.bv, &above)
    };
    println!("excess of sodium {measured:.2} BV, theory {excess:.2}, {given_back:.2}");
    assert!((measured / excess - 1.0).abs() < 3e-3);
    assert!((excess / given_back - 1.0).abs() < 1e-9);
}

/// The same of a softener's water: sodium beads fed with sodium, magnesium and calcium. Calcium displaces magnesium, which
/// leaves above its feed between the two fronts; mass action is solved here by itself.
#[test]
fn magnesium_leaves_above_its_feed_as_high_as_calcium_pushes_it() {
    let (feed, normality) = ([0.3, 0.25, 0.45], 10e-3);
    let k = [1.0, 1.66, 2.6];
    let ions = [Ion::NA, Ion::MG, Ion::CA];
    let water: Vec<(Ion, f64)> = ions.into_iter().zip(feed.map(|x| 1e3 * normality * x)).collect();
    let case = sharp(&water, &[(Ion::MG, k[1]), (Ion::CA, k[2])]);
    let run = case.load(&loaded(&[(Ion::NA, 1.0)]), 700.0).unwrap();

    let ratio = COLUMN_CAPACITY / normality;
    let loading = |x: [f64; 3]| {
        let fractions = |r: f64| [x[0] * r, k[1] * x[1] * r * r * ratio, k[2] * x[2] * r * r * ratio];
        fractions(root(1e-9, 1.0 / x[0], |r| fractions(r).iter().sum::<f64>() - 1.0))
    };
    let y = loading(feed);
    let last_front = y[2] / feed[2];
    let miss = |magnesium: f64| {
        let zone = loading([1.0 - magnesium, magnesium, 0.0]);
        (y[1] - zone[1]) - last_front * (feed[1] - magnesium)
    };
    let magnesium = root(feed[1] + 1e-6, 1.0 - feed[0] * 0.5, miss);
    let first_front = loading([1.0 - magnesium, magnesium, 0.0])[1] / magnesium;
    let bv = |lambda: f64| COLUMN_VOID + ratio * lambda;
    let (first, last) = (bv(first_front), bv(last_front));
    println!("fronts at {first:.1} and {last:.1} BV, magnesium {magnesium:.4} between them, {} fed", feed[1]);
    assert!(magnesium > 1.5 * feed[1], "no overshoot to be tested");

    let curve = |ion| ion_of(&run.effluent, ion).iter().map(|c| c / normality).collect::<Vec<_>>();
    let found = value_at(&run.effluent.bv, &curve(Ion::MG), 0.5 * (first + last));
    assert!((found / magnesium - 1.0).abs() < 1e-3, "{found} against {magnesium}");
    for (ion, share, expected) in [(Ion::MG, 0.5 * magnesium, first), (Ion::CA, 0.5 * feed[2], last)] {
        let found = rises_through(&run.effluent.bv, &curve(ion), share);
        assert!((found / expected - 1.0).abs() < 3e-3, "{ion}: {found} BV, not {expected}");
    }
    let above: Vec<f64> = curve(Ion::MG).iter().map(|x| (x - feed[1]).max(0.0)).collect();
    let excess = integral(&run.effluent.bv, &above);
    // Magnesium the beads and the void took before the first front, less what they still hold of it at the end.
    let given_back = first * feed[1] - (COLUMN_VOID * feed[1] + ratio * y[1]);
    println!("excess of magnesium {excess:.2} BV, {given_back:.2} given back");
    assert!((excess / given_back - 1.0).abs() < 5e-3, "{excess} left, {given_back} was held");
}
