//! What the fields of a case promise of the numbers, held over beds drawn at random.
#![allow(clippy::print_stdout, reason = "figures are printed")]

use brinefront::Case;
use brinefront::cycle::outcome::Outcome;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::cells::Shells;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::resin::BeadDiffusivity;
use brinefront::report::figures::{Figures, LEAST_LEAKAGE_MG_PER_L_CACO3};
use brinefront_tests::drawn::{Dice, each, ordinary};

/// A figure of a cycle, and the least that its errors are shares of.
type Figure = (&'static str, fn(&Figures) -> f64, f64);

const FIGURES: [Figure; 4] = [
    ("run length", |f| f.run_length_bv, 0.0),
    ("capacity", |f| f.capacity_eq_per_l, 0.0),
    ("mean leakage", |f| f.leakage_mean_mg_per_l_caco3, LEAST_LEAKAGE_MG_PER_L_CACO3),
    ("half-run leakage", |f| f.leakage_half_run_mg_per_l_caco3, LEAST_LEAKAGE_MG_PER_L_CACO3),
];

fn settled(case: &Case) -> Option<Figures> {
    case.cycle().ok().map(|cycle| cycle.figures).filter(|figures| figures.outcome == Outcome::Settled)
}

/// Each figure of some beds, how far off, in order.
fn off(beds: &[(Figures, Figures)], (_, pick, least): Figure) -> Vec<f64> {
    let mut errors: Vec<f64> = beds.iter().map(|(a, b)| (pick(a) - pick(b)).abs() / pick(b).abs().max(least)).collect();
    errors.sort_by(f64::total_cmp);
    errors
}

/// `tolerance`: what time steps add to run length, capacity and leakages, in half of the beds and in nine of ten.
#[test]
fn the_tolerance_means_what_it_says() {
    let beds: Vec<(Figures, Figures)> = each(3000..3016, |seed| {
        let mut case = ordinary(seed)?;
        case.maldistribution = None;
        case.cells = 50.into();
        let exact = Case { tolerance: 1e-5, ..case.clone() };
        settled(&case).zip(settled(&exact))
    });
    assert!(beds.len() >= 10, "{} beds", beds.len());
    // On half as many cells as where they were found, with room for another choice of beds.
    for (figure, [half, nine]) in FIGURES.into_iter().zip([[6e-5, 3e-4], [6e-5, 3e-4], [6e-4, 2e-2], [6e-4, 6e-3]]) {
        let errors = off(&beds, figure);
        let at = |share: f64| errors[((errors.len() - 1) as f64 * share) as usize];
        println!("{}: {:.1e} in the median, {:.1e} in nine of ten", figure.0, at(0.5), at(0.9));
        assert!(at(0.5) <= half && at(0.9) <= nine, "{}: {errors:?}", figure.0);
    }
}

/// `shells`: the ladder's capacity is within 0.17 % of many ordinary shells' where ions have diffusivities of their own.
#[test]
fn fitted_shells_are_as_near_as_they_say() {
    let beds: Vec<(Figures, Figures)> = each(0..6, |seed| {
        let dice = &mut Dice::new(seed + 4_000_000);
        let mut case = brinefront::default_case();
        if dice.chance(0.5) {
            case = case.mirrored();
        }
        case.service.volume_bv = None;
        case.cells = 24.into();
        case.kinetics = Kinetics::Radial;
        case.regeneration.dose_g_per_l = dice.between(60.0, 200.0);
        let slow = dice.between(5e-12, 4e-11);
        let diffusivities = [(Ion::NA, dice.between(1.0, 10.0) * slow), (Ion::MG, dice.between(0.5, 2.0) * slow)];
        case.resin.bead_diffusivity_m2_per_s =
            BeadDiffusivity::ByIon(diffusivities.into_iter().chain([(Ion::CA, slow)]).collect());
        let ordinary = Case { shells: Shells::Number(48), ..case.clone() };
        settled(&case).zip(settled(&ordinary))
    });
    assert!(beds.len() >= 4, "{} beds", beds.len());
    let errors = off(&beds, FIGURES[1]);
    println!("capacity: {errors:?}");
    assert!(errors[errors.len() - 1] <= 1.7e-3, "{errors:?}");
}
