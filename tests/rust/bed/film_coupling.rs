//! Films of unlike ions: the law against an integration of the film's own differential equations, and in a bed.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use serde_json::Value;

use brinefront::bed::state::State;
use brinefront::bed::vessel::VesselState;
use brinefront::cycle::step::run_step;
use brinefront::cycle::{Progress, unwatched};
use brinefront::inputs::ion::Ion;
use brinefront::inputs::rates::{FilmCorrelation, FilmDiffusion, Rates};
use brinefront::inputs::recipe_steps::StepName;
use brinefront::inputs::regeneration::Direction;
use brinefront::laws::film_coupling::film_fluxes;
use brinefront::plan::model::Model;
use brinefront::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use brinefront::plan::scheme::Scheme;
use brinefront::plan::steps::PlannedStep;
use brinefront::report::tables::Curve;
use brinefront_tests::cases::{
    COLUMN_CAPACITY, COLUMN_SERVICE_BV_PER_H, COLUMN_VOID, column, loaded, rates, sodium_potassium_column, softener,
};
use brinefront_tests::curves::{ion_of, rises_through, value_at};

/// A row of numbers, padded with nothing.
fn padded(row: &Value, key: &str) -> [f64; 10] {
    let mut out = [0.0; 10];
    for (slot, value) in out.iter_mut().zip(row[key].as_array().unwrap()) {
        *slot = value.as_f64().unwrap();
    }
    out
}

/// `tests/python/physics/reference_values/film_odes.py` solves two-point boundary value problems with `scipy`: two ions of one charge and
/// of two, three, five and all ten ions, co-ions of charge 1 to 2, liquid and bead far apart and near.
#[test]
fn fluxes_are_those_of_the_film_s_differential_equations() {
    let stored: Value =
        serde_json::from_str(include_str!("../../python/physics/reference_values/film_odes.json")).unwrap();
    let rows = stored["films"].as_array().unwrap();
    assert!(rows.len() >= 14);
    for row in rows {
        let symbols: Vec<&str> = row["ions"].as_array().unwrap().iter().map(|s| s.as_str().unwrap()).collect();
        let (mut d, mut z) = ([1.0; 10], [1; 10]);
        for (i, symbol) in symbols.iter().enumerate() {
            let ion = Ion::parse("ion", symbol).unwrap();
            (d[i], z[i]) = (ion.data().diffusivity_m2_per_s * 1e9, ion.valence());
        }
        // Rows of an ion that is not there must change nothing.
        for i in symbols.len()..10 {
            d[i] = d[0];
        }
        let (liquid, at_bead) = (padded(row, "liquid"), padded(row, "surface"));
        let found = film_fluxes(&liquid, &at_bead, &d, &z, row["co_ion"].as_f64().unwrap(), 1e-13).unwrap();
        let scale = padded(row, "flux").iter().fold(0.0_f64, |most, flux| most.max(flux.abs()));
        for (i, theirs) in padded(row, "flux").iter().enumerate() {
            let ours = found.flux_times_thickness[i];
            assert!((ours - theirs).abs() < 2e-7 * scale, "{symbols:?}, ion {i}: {ours} against {theirs}");
        }
        let normality = row["normality"].as_f64().unwrap();
        assert!((found.surface_normality / normality - 1.0).abs() < 1e-6, "{symbols:?}");
    }
}

/// The film is the whole resistance, and its coefficient goes with D^(2/3) as Carberry's correlation does.
fn film_alone(film_per_s: f64) -> Rates {
    Rates {
        film_correlation: FilmCorrelation::Carberry,
        film_diffusion: FilmDiffusion::ByIon,
        ..rates(film_per_s, 1e4, 0.0)
    }
}

/// A bed of B fed with A alone, which it holds a thousand times more strongly: beads give off B only, and what has not been
/// taken up goes on with dC/dz = -k_f(x) C/u. Between ions of charge 1 the film is closed (F. Helfferich 1962, from memory):
/// with alpha = D_A/D_B and N*/N = sqrt(1 - x + alpha x) there is D_e = 2 D_A/(1 + N*/N); the rate given is that of D_A.
#[test]
fn what_slips_through_a_bed_is_what_the_film_lets_pass() {
    let film_per_s = 0.015;
    let mut slipped = Vec::new();
    for (a, b, k) in [(Ion::K, Ion::NA, 1e3), (Ion::NA, Ion::K, 1e-3)] {
        let mut case = column(&[(a, 5.0)], &[(Ion::K, k)], film_alone(film_per_s));
        case.cells = 200.into();
        case.tolerance = 1e-4;
        let run = case.load(&loaded(&[(b, 1.0)]), 4.0).unwrap();
        let found = value_at(&run.effluent.bv, &ion_of(&run.effluent, a), 3.0) / 5e-3;
        let alpha = a.data().diffusivity_m2_per_s / b.data().diffusivity_m2_per_s;
        let slope = |x: f64| {
            let effective = 2.0 / (1.0 + (1.0 - x + alpha * x).sqrt());
            -film_per_s * effective.powf(2.0 / 3.0) * x
        };
        // By the classical Runge-Kutta method over the time that the water spends in an empty vessel.
        let h = 3600.0 / COLUMN_SERVICE_BV_PER_H / 400.0;
        let expected = (0..400).fold(1.0, |x, _| {
            let k_1 = slope(x);
            let k_2 = slope(x + 0.5 * h * k_1);
            let k_3 = slope(x + 0.5 * h * k_2);
            x + h / 6.0 * (k_1 + 2.0 * k_2 + 2.0 * k_3 + slope(x + h * k_3))
        });
        println!("{a} into {b}: {found:.5} of the feed slips through, {expected:.5} by the film alone");
        assert!((found / expected - 1.0).abs() < 0.01, "{a} into {b}: {found} against {expected}");
        slipped.push(found);
    }
    // With one diffusivity for both, each would leave what its own film lets pass: exp(-NTU) of the feed.
    let by_mean = (-film_per_s * 3600.0 / COLUMN_SERVICE_BV_PER_H).exp();
    assert!(slipped[0] > 1.02 * by_mean && slipped[1] < 0.98 * by_mean, "{slipped:?} about {by_mean}");
}

/// Potassium and ammonium move alike: then the choice changes nothing.
#[test]
fn ions_that_move_alike_share_a_film_as_before() {
    let ammonium = Ion::parse("ion", "NH4").unwrap();
    let run = |film_diffusion| {
        let given = Rates { film_diffusion, ..rates(0.05, 0.02, 2e-6) };
        let case = column(&[(Ion::K, 3.0), (ammonium, 2.0)], &[(Ion::K, 1.4), (ammonium, 2.0)], given);
        case.load(&loaded(&[(Ion::K, 1.0)]), 300.0).unwrap().effluent
    };
    let (by_ion, mean) = (run(FilmDiffusion::ByIon), run(FilmDiffusion::Mean));
    for ion in [Ion::K, ammonium] {
        for bv in [50.0, 150.0, 200.0, 250.0] {
            let of = |curve: &Curve| value_at(&curve.bv, &ion_of(curve, ion), bv);
            assert!((of(&by_ion) - of(&mean)).abs() < 1e-9, "{ion} at {bv} BV");
        }
    }
}

/// Whole cycles settle, close their ledgers, keep sum q = Q and nothing negative; and are the same by both solvers.
#[test]
fn cycles_with_coupled_films_close() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 96.0);
        case.cells = 50.into();
        case.rates.film_diffusion = FilmDiffusion::ByIon;
        let cycle = case.cycle().unwrap();
        assert!(cycle.figures.settled, "{}", cycle.figures.search_end);
        assert!(cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.ledger_error);
        let loading = &cycle.profiles.loading_eq_per_l;
        assert!(loading.iter().all(|q| *q >= 0.0));
        for step in loading.outer_iter() {
            for cell in step.outer_iter() {
                assert!((cell.sum() / case.resin.capacity_eq_per_l - 1.0).abs() < 1e-8, "{}", cell.sum());
            }
        }
        assert!(cycle.leakage.eq_per_l.iter().all(|c| *c >= 0.0));
        let mean = {
            let mut case = case.clone();
            case.rates.film_diffusion = FilmDiffusion::Mean;
            case.cycle().unwrap().figures
        };
        let [by_ion, by_mean] =
            [&cycle.figures, &mean].map(|f| (f.capacity_eq_per_l, f.leakage_half_run_mg_per_l_caco3));
        println!("{direction:?}: capacity and half-run leakage {by_ion:.4?} by ion, {by_mean:.4?} by the mean");
        assert!(by_ion != by_mean && (by_ion.0 / by_mean.0 - 1.0).abs() < 0.02);
    }
}

/// Just above and just below the cell Peclet number at which the march begins to look ahead (see
/// `march_against_newton.rs`).
#[test]
fn both_solvers_take_the_same_films() {
    let run = |peclet: f64| {
        let mut case = softener(Direction::CoCurrent, 96.0);
        case.rates.film_diffusion = FilmDiffusion::ByIon;
        let velocity = 20.0 * case.bed.depth_m() / 3600.0;
        case.rates.dispersion_m2_per_s =
            Some(velocity * case.bed.depth_m() / 100.0 / (case.resin.void_fraction * peclet));
        let run = case.load(&loaded(&[(Ion::NA, 1.0)]), 600.0).unwrap();
        let calcium = ion_of(&run.effluent, Ion::CA);
        let full = case.water.composition().unwrap().of(Ion::CA);
        [0.05, 0.5, 0.9].map(|share| rises_through(&run.effluent.bv, &calcium, share * full))
    };
    let [marched, solved] = [1e-9, -1e-9].map(|beyond| run(Scheme::DEFAULT.march_peclet * (1.0 + beyond)));
    assert!(marched != solved, "the change-over has moved");
    for (a, b) in marched.iter().zip(solved) {
        assert!((a / b - 1.0).abs() < 1e-3, "{marched:?} against {solved:?}");
    }
}

/// A film coefficient goes with D^(2/3) where a boundary layer is renewed and with D in still liquid.
#[test]
fn coefficients_go_with_diffusivity_as_their_correlations_do() {
    for film_correlation in [
        FilmCorrelation::Gnielinski,
        FilmCorrelation::Carberry,
        FilmCorrelation::WilsonGeankoplis,
        FilmCorrelation::Wakao,
    ] {
        let mut case = softener(Direction::CounterCurrent, 96.0);
        case.rates = Rates { film_correlation, film_diffusion: FilmDiffusion::ByIon, ..Rates::default() };
        let model = Model::new(&case, &[]).unwrap();
        let slope = |flow| model.step_rates(StepWater::Feed, flow).film_coupling.unwrap().slope;
        assert_eq!(slope(0.0), 1.0, "{film_correlation:?} at rest");
        let in_service = slope(20.0);
        let exact = matches!(film_correlation, FilmCorrelation::Carberry | FilmCorrelation::WilsonGeankoplis);
        let most = if exact { 2.0 / 3.0 + 1e-12 } else { 0.75 };
        assert!((2.0 / 3.0 - 1e-12..most).contains(&in_service), "{film_correlation:?}: {in_service}");
    }
}

/// At rest a film of still liquid is coupled all the same: beads of sodium in a void full of potassium, of equal affinity,
/// come to the same share of both, x = eps N/(eps N + Q).
#[test]
fn a_bed_at_rest_comes_to_equilibrium_through_its_coupled_film() {
    let given = Rates { film_diffusion: FilmDiffusion::ByIon, ..Rates::default() };
    let case = sodium_potassium_column(5.0, 5.0, 1.0, given);
    let model = Model::new(&case, &[]).unwrap();
    let normality = model.waters.feed.normality();
    let mut state = State::<2>::uniform(&model, [1.0, 0.0], normality).unwrap();
    state.liquid.fill([0.0, normality]);
    let rest = Step {
        name: StepName::Standby,
        water: StepWater::Feed,
        flow_bv_per_h: 0.0,
        direction: StepDirection::WithService,
        end: StepEnd::TimeMin(600.0),
        mixing: 0.0,
    };
    let state = VesselState::uniform(&model, state);
    let (state, _) =
        run_step(&model, state, &PlannedStep::of(&model, &rest), &[], &unwatched, Progress::default()).unwrap();
    let share = COLUMN_VOID * normality / (COLUMN_VOID * normality + COLUMN_CAPACITY);
    let state = &state.tubes[0];
    for (liquid, loading) in state.liquid.iter().zip(&state.loading) {
        assert!((liquid[1] / normality / share - 1.0).abs() < 1e-4, "{liquid:?}, not {share}");
        assert!((loading[1] / COLUMN_CAPACITY / share - 1.0).abs() < 1e-4, "{loading:?}, not {share}");
    }
}
