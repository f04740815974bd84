//! Beads as a core in a layer: against their own equations, the sphere, and beads cut into shells.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::bed::column::Column;
use brinefront::bed::state::State;
use brinefront::cycle::run::{self, Loading};
use brinefront::cycle::unwatched;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::BeadDiffusivity;
use brinefront::plan::cycle_plan::CyclePlan;
use brinefront::plan::model::Model;
use brinefront::plan::rates::StepRates;
use brinefront::plan::run_plan::RunPlan;
use brinefront::report::figures::Figures;
use brinefront::report::read;
use brinefront_tests::cases::{loaded, rates, sodium_calcium_column, sodium_potassium_column, softener};
use brinefront_tests::curves::{ion_of, value_at};
use brinefront_tests::drawn::{drawn_radial, each, unlike};

/// A film so fast that its resistance is nothing.
const FAST: f64 = 1e6;
/// Share of the layer, and pace of the core in units of D/R^2.
const LAYER: f64 = 0.3;
const PACE: f64 = 10.5;

fn interdiffusing(case: &Case, diffusivities: &[(Ion, f64)]) -> Case {
    let mut case = case.clone();
    case.kinetics = Kinetics::Interdiffusion;
    case.rates.bead_per_s = None;
    case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities.iter().copied().collect());
    case
}

/// A bead that was in equilibrium with one solution, suddenly in another one that no bead changes.
struct Uptake<const N: usize> {
    /// D/R^2 by ion \[1/s\], and charges.
    per_s: [f64; N],
    valence: [f64; N],
    /// Shares of the capacity at first and at the surface from then on.
    before: [f64; N],
    surface: [f64; N],
    /// Shares of the capacity at the times asked for.
    found: Vec<[f64; N]>,
}

/// At times in units of R^2/D of the slowest ion.
fn uptake<const N: usize>(case: &Case, before: [f64; N], liquid: [f64; N], times: &[f64]) -> Uptake<N> {
    let model = Model::new(case, &[]).unwrap();
    let per_s: [f64; N] = std::array::from_fn(|i| model.inside.as_ref().unwrap().sizes[0].per_s[i]);
    let unit = per_s.into_iter().fold(f64::INFINITY, f64::min);
    let state = State::<N>::uniform(&model, before, 1.0).unwrap();
    // So fast a flow that no bead changes it.
    let rates = StepRates { velocity: 1e4, film_s: 0.0, bead_s: 0.0, dispersion: 0.0, film_coupling: None };
    let mut column = Column::new(&model, &state, rates, liquid, true);
    let (mut time, mut step) = (0.0, 1e-6 / unit);
    let mut found = Vec::new();
    let mut surface = before;
    for at in times.iter().map(|t| t / unit) {
        while time < at * (1.0 - 1e-12) {
            let mut h = if time + 1.5 * step > at { at - time } else { step };
            while column.try_step(h).is_err() {
                h *= 0.5;
            }
            column.accept();
            time += h;
            step = (h * 1.02).min(2e-3 / unit);
        }
        let state = column.state();
        let cell = model.cells() / 2;
        surface = state.inside[1][cell].map(|q| q / model.capacity);
        found.push(state.loading[cell].map(|q| q / model.capacity));
    }
    Uptake { per_s, valence: std::array::from_fn(|i| f64::from(model.valence[i])), before, surface, found }
}

/// What the equations of core and layer give, by Runge and Kutta, with Nernst-Planck fluxes written as a matrix.
fn integrated<const N: usize>(of: &Uptake<N>, times: &[f64]) -> Vec<[f64; N]> {
    let unit = of.per_s.into_iter().fold(f64::INFINITY, f64::min);
    let rate = |core: &[f64; N]| -> [f64; N] {
        let charged: [f64; N] = std::array::from_fn(|i| of.valence[i] * of.per_s[i] * (core[i] + of.surface[i]));
        let sum: f64 = charged.iter().sum();
        std::array::from_fn(|i| {
            (0..N)
                .map(|j| {
                    let own = if i == j { of.per_s[i] } else { 0.0 };
                    PACE / unit * (own - charged[i] / sum * of.per_s[j]) * (of.surface[j] - core[j])
                })
                .sum()
        })
    };
    let (mut time, mut core) = (0.0, of.before);
    let mut found = Vec::new();
    for at in times {
        let steps = 4000;
        let h = (at - time) / f64::from(steps);
        let moved =
            |core: &[f64; N], by: &[f64; N], h: f64| -> [f64; N] { std::array::from_fn(|i| core[i] + h * by[i]) };
        for _ in 0..steps {
            let a = rate(&core);
            let b = rate(&moved(&core, &a, 0.5 * h));
            let c = rate(&moved(&core, &b, 0.5 * h));
            let d = rate(&moved(&core, &c, h));
            core = std::array::from_fn(|i| core[i] + h / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i]));
        }
        time = *at;
        found.push(std::array::from_fn(|i| LAYER * of.surface[i] + (1.0 - LAYER) * core[i]));
    }
    found
}

fn furthest_apart<const N: usize>(a: &[[f64; N]], b: &[[f64; N]]) -> f64 {
    a.as_flattened().iter().zip(b.as_flattened()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Ions alike: q = b + (1 - b)(1 - exp(-10.5 D t/R^2)) (algebra); within 0.03 of the sphere's series as printed by J. Crank
/// (1975), *The Mathematics of Diffusion*, p. 91, from a thirtieth of its diffusion time on, where the linear driving force is up
/// to 0.12 too low.
#[test]
fn ions_alike_follow_an_exponential_near_the_sphere() {
    let case = interdiffusing(
        &sodium_potassium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)),
        &[(Ion::NA, 2e-11), (Ion::K, 2e-11)],
    );
    let times = [0.05, 0.1, 0.2, 0.3, 0.5];
    let sphere = [0.606_939_76, 0.770_478_74, 0.915_495_57, 0.968_524_54, 0.995_627_86];
    let found = uptake::<2>(&case, [1.0, 0.0], [0.0, 1.0], &times).found;
    for ((at, found), sphere) in times.into_iter().zip(found).zip(sphere) {
        let exact = LAYER + (1.0 - LAYER) * (1.0 - (-PACE * at).exp());
        println!("{at}: {:.5}, exact {exact:.5}, sphere {sphere:.5}", found[1]);
        assert!((found[1] - exact).abs() < 1e-4, "{at}: {} against {exact}", found[1]);
        assert!((found[1] - sphere).abs() < 0.03, "{at}: {} against {sphere}", found[1]);
    }
}

/// Two and three unlike ions, in and out: the equations, integrated by another method and from a full matrix. The explicit rest
/// of three ions converges to them with the time step.
#[test]
fn unlike_ions_follow_nernst_planck_between_core_and_layer() {
    let times = [0.003, 0.01, 0.03, 0.1, 0.3];
    let calcium = interdiffusing(
        &sodium_calcium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)),
        &[(Ion::NA, 1.5e-10), (Ion::CA, 2e-11)],
    );
    for (before, liquid) in [([1.0, 0.0], [0.0, 1.0]), ([0.0, 1.0], [1.0, 0.0])] {
        let of = uptake::<2>(&calcium, before, liquid, &times);
        let apart = furthest_apart(&of.found, &integrated(&of, &times));
        println!("two ions: {apart:.1e}");
        assert!(apart < 3e-4, "{apart}");
    }
    let three = interdiffusing(
        &softener(Direction::CoCurrent, 100.0),
        &[(Ion::NA, 1.5e-10), (Ion::MG, 4e-11), (Ion::CA, 1.5e-11)],
    );
    for (before, liquid) in [
        ([1.0, 0.0, 0.0], [2e-4, 2e-3, 4e-3]),
        ([0.1, 0.2, 0.7], [1.7, 1e-4, 1e-4]),
        ([0.05, 0.9, 0.05], [1e-4, 1e-4, 5e-3]),
    ] {
        let of = uptake::<3>(&three, before, liquid, &times);
        let apart = furthest_apart(&of.found, &integrated(&of, &times));
        println!("three ions: {apart:.1e}");
        assert!(apart < 1e-3, "{apart}");
    }
}

/// Where nearly all is divalent, magnesium and calcium trade places at their own pace, however fast sodium is (algebra).
#[test]
fn slow_ions_trade_places_at_their_own_pace() {
    let case =
        interdiffusing(&softener(Direction::CoCurrent, 100.0), &[(Ion::NA, 3e-10), (Ion::MG, 2e-11), (Ion::CA, 2e-11)]);
    let times = [0.01, 0.03, 0.1, 0.3];
    let of = uptake::<3>(&case, [1e-4, 0.9999, 0.0], [1e-7, 1e-6, 6e-3], &times);
    for (at, found) in times.into_iter().zip(&of.found) {
        let exact = LAYER + (1.0 - LAYER) * (1.0 - (-PACE * at).exp());
        println!("{at}: {:.5}, exact {exact:.5}", found[2]);
        assert!((found[2] - exact).abs() < 1e-3, "{at}: {} against {exact}", found[2]);
    }
}

/// A cycle: the ledger closes, core and layer hold Q, nothing is negative beyond rounding.
#[test]
fn a_softener_settles_and_closes_its_ledger() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 100.0);
        case = interdiffusing(&case, &[(Ion::NA, 1e-10), (Ion::MG, 2.5e-11), (Ion::CA, 2e-11)]);
        case.cells = 60.into();
        let settled = brinefront::cycle::steady::settle(&CyclePlan::new(&case).unwrap(), None, &unwatched).unwrap();
        assert!(settled.settling.settled, "{}", settled.settling.search_end);
        assert!(settled.history.ledger_error < 1e-10, "{}", settled.history.ledger_error);
        for step in settled.history.steps() {
            for (cell, q) in step.loading.chunks_exact(3).enumerate() {
                let off = q.iter().sum::<f64>() / settled.plan.model.capacity - 1.0;
                assert!(off.abs() < 1e-10, "{:?} {cell} {off:e}", step.name);
                assert!(q.iter().all(|q| *q > -1e-12), "{:?} {cell}: {q:?}", step.name);
            }
        }
    }
}

/// Rates, flows and diffusivities from wide ranges: whatever settles closes its ledger.
#[test]
fn drawn_beds_close_their_ledgers() {
    let errors = each(0..24, |seed| {
        let case = Case { kinetics: Kinetics::Interdiffusion, ..drawn_radial(seed)? };
        let plan = CyclePlan::new(&case).ok()?;
        let settled = brinefront::cycle::steady::settle(&plan, None, &unwatched).ok()?;
        Some((seed, settled.history.ledger_error))
    });
    println!("{errors:?}");
    assert!(errors.len() >= 5, "{} beds", errors.len());
    assert!(errors.iter().all(|(_, error)| *error < 1e-9), "{errors:?}");
}

fn figures(case: &Case, kinetics: Kinetics) -> Option<Figures> {
    let figures = Case { kinetics, ..case.clone() }.cycle().ok()?.figures;
    (figures.residual <= 1e-5).then_some(figures)
}

/// Softeners whose ions are unlike, against shells: capacity and leakages lie near, many times nearer than lumped beads'.
#[test]
fn drawn_softeners_do_what_shells_do() {
    let beds = each(0..14, |seed| {
        let case = Case { cells: 40.into(), ..unlike(seed)? };
        let all =
            [Kinetics::Radial, Kinetics::Interdiffusion, Kinetics::Lumped].map(|kinetics| figures(&case, kinetics));
        let [shells, found, lumped] = all;
        Some((seed, shells?, found?, lumped?))
    });
    assert!(beds.len() >= 9, "{} beds", beds.len());
    let median = |values: &mut Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for (seed, shells, found, lumped) in &beds {
        let capacity = found.capacity_eq_per_l / shells.capacity_eq_per_l - 1.0;
        println!("{seed}: capacity {:.3} %", 100.0 * capacity);
        assert!(capacity.abs() < 5e-3, "{seed}: {capacity}");
        if shells.leakage_mean_mg_per_l_caco3 > 0.02 {
            let off = |figures: &Figures| {
                (figures.leakage_mean_mg_per_l_caco3 / shells.leakage_mean_mg_per_l_caco3 - 1.0).abs()
            };
            println!("{seed}: mean leakage {:.3} %, lumped {:.1} %", 100.0 * off(found), 100.0 * off(lumped));
            assert!(off(found) < 0.05, "{seed}: {}", off(found));
            ours.push(off(found));
            theirs.push(off(lumped));
        }
    }
    let (ours, theirs) = (median(&mut ours), median(&mut theirs));
    println!("mean leakages: {ours:.1e} off in the median, lumped {theirs:.1e}");
    assert!(ours < 0.01 && ours < 0.1 * theirs, "{ours} against {theirs}");
}

/// March, march that looks ahead, and Newton give one loading run: calcium at volumes along its front.
#[test]
fn all_solvers_agree() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case = interdiffusing(&case, &[(Ion::NA, 1.5e-10), (Ion::MG, 2.5e-11), (Ion::CA, 2e-11)]);
    let cell_m = case.bed.depth_m() / 100.0;
    let velocity = case.service.flow_bv_per_h * case.bed.depth_m() / 3600.0;
    let at_peclet = |peclet: f64, newton: bool| {
        let mut case = case.clone();
        case.rates.dispersion_m2_per_s = Some(velocity * cell_m / (case.resin.void_fraction * peclet));
        let mut plan = RunPlan::loading(&case, &[], 500.0).unwrap();
        let change_over = plan.model.scheme.march_peclet;
        assert!((peclet > change_over) == (peclet > 4.0));
        plan.model.scheme.newton = newton;
        let sodium: Loading = loaded(&[(Ion::NA, 1.0)]);
        let history = run::run(&plan, &sodium, &unwatched).unwrap();
        let effluent = read::effluent(&plan, &history);
        let calcium = ion_of(&effluent, Ion::CA);
        (10..=49).map(|k| value_at(&effluent.bv, &calcium, 10.0 * f64::from(k)) / 0.004).collect::<Vec<_>>()
    };
    let (marched, ahead, newton) =
        (at_peclet(4.0 * (1.0 + 1e-9), false), at_peclet(4.0 * (1.0 - 1e-9), false), at_peclet(4.0, true));
    let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    println!("march {:.1e}, looking ahead {:.1e} from Newton", apart(&marched, &newton), apart(&ahead, &newton));
    assert!(apart(&marched, &newton) < 2e-3 && apart(&ahead, &newton) < 2e-3);
}
