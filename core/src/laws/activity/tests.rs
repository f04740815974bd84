//! Activity coefficients against published values and against their own thermodynamics.

use super::*;
use crate::laws::equilibrium::solution_from_loading;
use crate::laws::{assert_close, central_difference};
use num_dual::{Dual64, first_derivative};

const H: fn() -> Ion = || Ion::parse("ion", "H").unwrap();

fn ready(law: ActivityLaw, ions: &[Ion]) -> Activity {
    Activity::new(law, ions, &BTreeMap::new()).unwrap()
}

/// Mean coefficient and osmotic coefficient of a chloride by itself.
fn alone(law: ActivityLaw, cation: Ion, m: f64) -> (f64, f64) {
    let activity = ready(law, &[cation, Ion::CL]);
    let coefficients = activity.coefficients(&[m, m * f64::from(cation.valence())]).unwrap();
    (coefficients.ln_mean(cation, Ion::CL).unwrap().exp(), coefficients.osmotic())
}

/// Mean molal coefficients at 25 C. CaCl2, MgCl2, HCl: CRC Handbook, 92nd ed., p. 5-106 (Hamer and Wu 1972; Staples;
/// Goldberg). NaCl: K. S. Pitzer, J. C. Peiper, R. H. Busey (1984), J. Phys. Chem. Ref. Data 13, 1, p. 53. KCl: Hamer and
/// Wu (1972), from 0.1 mol/kg on as Dash et al. (2012) quote them, below from memory.
#[test]
fn single_salts_agree_with_tables() {
    let sodium = [(0.1, 0.778), (0.25, 0.720), (0.5, 0.681), (0.75, 0.665), (1.0, 0.657), (2.0, 0.669), (3.0, 0.714)];
    let more_sodium = [(4.0, 0.782), (5.0, 0.873), (6.0, 0.987)];
    let potassium = [
        (0.001, 0.965),
        (0.01, 0.901),
        (0.05, 0.816),
        (0.1, 0.768),
        (0.2, 0.717),
        (0.5, 0.649),
        (1.0, 0.604),
        (2.0, 0.573),
    ];
    let calcium =
        [(0.001, 0.888), (0.01, 0.727), (0.05, 0.577), (0.1, 0.517), (0.2, 0.469), (0.5, 0.444), (1.0, 0.495)];
    let magnesium =
        [(0.001, 0.889), (0.01, 0.734), (0.05, 0.590), (0.1, 0.535), (0.2, 0.493), (0.5, 0.485), (1.0, 0.577)];
    let hydrogen = [(0.001, 0.965), (0.01, 0.905), (0.1, 0.797), (0.5, 0.759), (1.0, 0.811), (2.0, 1.009)];
    let worst = |cation: Ion, rows: &[(f64, f64)]| {
        let error = |(m, printed): &(f64, f64)| (alone(ActivityLaw::Pitzer, cation, *m).0 / printed - 1.0).abs();
        rows.iter().map(error).fold(0.0, f64::max)
    };
    for (cation, rows, within) in [
        (Ion::NA, &sodium[..], 0.005),
        (Ion::NA, &more_sodium, 0.005),
        (Ion::K, &potassium, 0.005),
        (Ion::CA, &calcium, 0.02),
        (Ion::MG, &magnesium, 0.02),
        (H(), &hydrogen, 0.005),
    ] {
        let worst = worst(cation, rows);
        assert!(worst < within, "{cation}: {worst:.4}");
    }
}

/// The same parameters evaluated apart from this code: mean coefficients at 0.1, 0.5, 1, 2, 4, 5 mol/kg and the osmotic
/// coefficient at 1 and 4.
#[test]
fn single_salts_agree_with_an_independent_evaluation() {
    for (cation, gammas, osmotic) in [
        (Ion::NA, [0.7766, 0.6791, 0.6549, 0.6666, 0.7810, 0.8719], [0.9356, 1.1152]),
        (Ion::K, [0.7672, 0.6481, 0.6028, 0.5722, 0.5761, 0.5908], [0.8980, 0.9649]),
        (Ion::CA, [0.5191, 0.4473, 0.5001, 0.8001, 2.8534, 5.7554], [1.0468, 2.1563]),
        (Ion::MG, [0.5282, 0.4783, 0.5687, 1.0509, 5.4893, 14.0455], [1.1087, 2.5179]),
    ] {
        for (m, printed) in [0.1, 0.5, 1.0, 2.0, 4.0, 5.0].into_iter().zip(gammas) {
            let (gamma, _) = alone(ActivityLaw::Pitzer, cation, m);
            assert!((gamma - printed).abs() < 6e-5, "{cation} {m}: {gamma} against {printed}");
        }
        for (m, printed) in [1.0, 4.0].into_iter().zip(osmotic) {
            let (_, phi) = alone(ActivityLaw::Pitzer, cation, m);
            assert!((phi - printed).abs() < 6e-5, "{cation} {m}: {phi} against {printed}");
        }
    }
}

/// Chlorides of Na, K, Ca, Mg \[mol/kg\]: osmotic coefficient, mean coefficients of their chlorides (0 = absent) and
/// g_Ca/g_1^2 against the univalent ion present, evaluated apart from this code with E-theta by quadrature.
#[test]
fn mixtures_agree_with_an_independent_evaluation() {
    let ions = [Ion::NA, Ion::K, Ion::CA, Ion::MG, Ion::CL];
    let activity = ready(ActivityLaw::Pitzer, &ions);
    for (m, osmotic, gammas, ratio) in [
        ([1.0, 0.0, 0.1, 0.0], 0.9463, [0.6564, 0.0, 0.4573, 0.0], 0.5151),
        ([1.0, 0.0, 0.5, 0.0], 1.0194, [0.6945, 0.0, 0.4941, 0.0], 0.5184),
        ([2.0, 0.0, 0.5, 0.0], 1.0975, [0.7478, 0.0, 0.5808, 0.0], 0.6265),
        ([2.0, 0.0, 0.5, 0.25], 1.1759, [0.8110, 0.0, 0.6570, 0.7290], 0.6555),
        ([0.0, 2.0, 0.5, 0.0], 0.9860, [0.0, 0.5946, 0.4804, 0.0], 0.8868),
        ([0.5, 0.5, 0.25, 0.25], 0.9971, [0.6829, 0.6103, 0.4792, 0.5075], 0.5062),
    ] {
        let chloride = m[0] + m[1] + 2.0 * (m[2] + m[3]);
        let coefficients = activity.coefficients(&[m[0], m[1], m[2], m[3], chloride]).unwrap();
        let near = |actual: f64, printed: f64| assert!((actual - printed).abs() < 6e-5, "{actual} against {printed}");
        near(coefficients.osmotic(), osmotic);
        for (cation, printed) in ions.into_iter().zip(gammas).filter(|(_, printed)| *printed > 0.0) {
            near(coefficients.ln_mean(cation, Ion::CL).unwrap().exp(), printed);
        }
        let reference = if m[0] > 0.0 { Ion::NA } else { Ion::K };
        near(coefficients.ln_against(Ion::CA, reference).unwrap().exp(), ratio);
    }
}

/// Another set of parameters, Moller (1988), in the library `pytzer` 0.6.0 (set `M88`): two descriptions of the same
/// solutions differ by at most 2 % of g_Ca/g_Na^2.
#[test]
fn mixtures_agree_with_another_set_of_parameters() {
    let activity = ready(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, Ion::CL]);
    for (na, ca, ratio, sodium, calcium, osmotic) in [
        (1.0, 0.1, 0.5127, 0.6577, 0.4578, 0.9455),
        (1.0, 0.5, 0.5246, 0.6912, 0.4929, 1.0142),
        (2.0, 0.5, 0.6152, 0.7449, 0.5743, 1.0923),
    ] {
        let coefficients = activity.coefficients(&[na, ca, na + 2.0 * ca]).unwrap();
        assert_close(coefficients.ln_against(Ion::CA, Ion::NA).unwrap().exp(), ratio, 0.02);
        assert_close(coefficients.ln_mean(Ion::NA, Ion::CL).unwrap().exp(), sodium, 0.005);
        assert_close(coefficients.ln_mean(Ion::CA, Ion::CL).unwrap().exp(), calcium, 0.012);
        assert_close(coefficients.osmotic(), osmotic, 0.006);
    }
}

/// Mean coefficients of the table above at ionic strengths to 0.1: Davies claims about 3 % there.
#[test]
fn davies_agrees_with_tables_in_dilute_solution() {
    // By hand at I = 0.1: -0.509 [0.316228/1.316228 - 0.03] = -0.107018, g = 0.78159; 0.37318 for a divalent ion.
    let activity = ready(ActivityLaw::Davies, &[Ion::NA, Ion::CA, Ion::CL]);
    let coefficients = activity.coefficients(&[0.1, 0.0, 0.1]).unwrap();
    assert_close(coefficients.ln_gamma(Ion::NA).unwrap().exp(), 0.78159, 1e-5);
    assert_close(coefficients.ln_gamma(Ion::CA).unwrap().exp(), 0.37318, 3e-5);
    for (cation, m, printed) in [
        (Ion::NA, 0.01, 0.903),
        (Ion::NA, 0.1, 0.779),
        (Ion::K, 0.01, 0.901),
        (Ion::K, 0.1, 0.768),
        (H(), 0.1, 0.797),
        (Ion::CA, 0.001, 0.888),
        (Ion::CA, 0.01, 0.727),
        (Ion::CA, 0.02, 0.664),
        (Ion::MG, 0.01, 0.734),
        (Ion::MG, 0.02, 0.672),
    ] {
        assert_close(alone(ActivityLaw::Davies, cation, m).0, printed, 0.03);
    }
}

#[test]
fn davies_refuses_brine() {
    let activity = ready(ActivityLaw::Davies, &[Ion::NA, Ion::CL]);
    assert!(activity.coefficients(&[0.5, 0.5]).is_ok());
    let error = activity.coefficients(&[1.7, 1.7]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "activity.ionic_strength = 1.7000: Davies' formula holds to 0.5 mol/kg; `pitzer` holds in brine"
    );
}

/// A solution of every ion with parameters, in strange proportions: what follows must hold for any numbers at all.
fn crowded() -> (Vec<Ion>, Vec<f64>) {
    let ions = vec![Ion::CL, Ion::NA, Ion::CA, Ion::SO4, Ion::K, Ion::MG, Ion::HCO3];
    (ions, vec![1.9, 0.7, 0.31, 0.05, 0.42, 0.27, 0.02])
}

fn scaled(by: f64) -> (Vec<Ion>, Vec<f64>) {
    let (ions, m) = crowded();
    (ions, m.into_iter().map(|m| m * by).collect())
}

/// d ln g_i/d m_j = d ln g_j/d m_i, since both are second derivatives of one Gibbs energy.
#[test]
fn coefficients_derive_from_one_gibbs_energy() {
    let check = |law, ions: &[Ion], m: &[f64]| {
        let activity = ready(law, ions);
        let slopes: Vec<Vec<f64>> = (0..m.len())
            .map(|j| {
                let dual: Vec<_> = m.iter().enumerate().map(|(i, m)| Dual64::new(*m, f64::from(i == j))).collect();
                let coefficients = activity.coefficients(&dual).unwrap();
                ions.iter().map(|ion| coefficients.ln_gamma(*ion).unwrap().eps).collect()
            })
            .collect();
        let size = slopes.iter().flatten().fold(0.0f64, |most, slope| most.max(slope.abs()));
        for (i, j) in (0..m.len()).flat_map(|i| (0..i).map(move |j| (i, j))) {
            let difference = (slopes[i][j] - slopes[j][i]).abs();
            assert!(difference < 1e-11 * size, "{law:?}, {} {}: {difference:e} of {size}", ions[i], ions[j]);
        }
    };
    for by in [1e-4, 0.03, 1.0, 2.5] {
        let (ions, m) = scaled(by);
        check(ActivityLaw::Pitzer, &ions, &m);
    }
    let (ions, m) = scaled(0.1);
    check(ActivityLaw::Davies, &ions, &m);
    check(ActivityLaw::Pitzer, &[H(), Ion::K, Ion::MG, Ion::CL, Ion::SO4], &[0.3, 0.2, 0.4, 1.1, 0.1]);
}

/// Gibbs and Duhem: sum m_i d ln g_i = d [(phi - 1) sum m_i], in every direction.
#[test]
fn osmotic_coefficient_agrees_with_the_activity_coefficients() {
    for (law, by) in [
        (ActivityLaw::Ideal, 1.0),
        (ActivityLaw::Davies, 0.1),
        (ActivityLaw::Pitzer, 1e-4),
        (ActivityLaw::Pitzer, 0.03),
        (ActivityLaw::Pitzer, 1.0),
        (ActivityLaw::Pitzer, 2.5),
    ] {
        let (ions, m) = scaled(by);
        let activity = ready(law, &ions);
        for j in 0..m.len() {
            let dual: Vec<_> = m.iter().enumerate().map(|(i, m)| Dual64::new(*m, f64::from(i == j))).collect();
            let coefficients = activity.coefficients(&dual).unwrap();
            let of_ions: f64 = ions.iter().zip(&m).map(|(ion, m)| m * coefficients.ln_gamma(*ion).unwrap().eps).sum();
            let total = dual.iter().fold(Dual64::from(0.0), |sum, m| sum + *m);
            let of_water = ((coefficients.osmotic() - 1.0) * total).eps;
            assert!((of_ions - of_water).abs() < 1e-10 * (1.0 + of_ions.abs()), "{law:?} {by}: {of_ions}, {of_water}");
        }
    }
}

#[test]
fn slopes_are_those_of_the_values() {
    let activity = ready(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, Ion::CL]);
    let ratio = |ca: f64| {
        let coefficients = activity.coefficients(&[1.5, ca, 2.1]).unwrap();
        coefficients.ln_against(Ion::CA, Ion::NA).unwrap()
    };
    let (_, slope) = first_derivative(
        |ca| {
            let coefficients = activity.coefficients(&[Dual64::from(1.5), ca, Dual64::from(2.1)]).unwrap();
            coefficients.ln_against(Ion::CA, Ion::NA).unwrap()
        },
        0.3,
    );
    assert_close(slope, central_difference(ratio, 0.3), 1e-7);
}

#[test]
fn water_without_salt_is_ideal() {
    for law in [ActivityLaw::Ideal, ActivityLaw::Davies, ActivityLaw::Pitzer] {
        let activity = ready(law, &[Ion::NA, Ion::CA, Ion::CL]);
        let zero = [Dual64::from(0.0).derivative(), Dual64::from(0.0), Dual64::from(0.0)];
        let coefficients = activity.coefficients(&zero).unwrap();
        assert_eq!(coefficients.ln_gamma(Ion::CA).unwrap(), Dual64::from(0.0));
        assert_eq!(coefficients.osmotic(), Dual64::from(1.0));
        assert_eq!(coefficients.ln_water_activity().re, 0.0);
        let factors = activity.exchange_factors(&[0.0; 3], 298.15).unwrap();
        assert_eq!(factors[..3], [1.0; 3]);
    }
    // Saturated brine dries air to 75.29 % at 25 C (Greenspan 1977, quoted by others).
    let activity = ready(ActivityLaw::Pitzer, &[Ion::NA, Ion::CL]);
    let coefficients = activity.coefficients(&[6.153, 6.153]).unwrap();
    assert_close(coefficients.ln_water_activity().exp(), 0.753, 0.003);
}

#[test]
fn an_ion_without_parameters_is_named() {
    let strontium = Ion::parse("ion", "Sr").unwrap();
    let nitrate = Ion::parse("ion", "NO3").unwrap();
    let ions = [Ion::NA, strontium, Ion::CL];
    let message = |ions: &[Ion], analogues: &[(Ion, Ion)]| {
        let analogues = analogues.iter().copied().collect();
        Activity::new(ActivityLaw::Pitzer, ions, &analogues).unwrap_err().to_string()
    };
    assert_eq!(
        message(&ions, &[]),
        "activity.pitzer = Sr: has no Pitzer parameters; choose an analogue among Na, K, H, Mg, Ca, Cl, HCO3, SO4"
    );
    assert!(message(&[Ion::NA, nitrate], &[]).starts_with("activity.pitzer = NO3"));
    assert!(message(&[H(), Ion::HCO3], &[]).starts_with("activity.pitzer = H with HCO3"));
    assert_eq!(
        message(&ions, &[(strontium, Ion::K)]),
        "activity.analogues.Sr = K: must have the charge +2 of Sr; it has +1"
    );
    assert!(message(&[Ion::NA, Ion::NA], &[]).contains("given once"));

    // As calcium, strontium shares calcium's coefficient, beside calcium too.
    let analogues = BTreeMap::from([(strontium, Ion::CA)]);
    let activity = Activity::new(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, strontium, Ion::CL], &analogues).unwrap();
    let together = activity.coefficients(&[1.0, 0.2, 0.1, 1.6]).unwrap();
    let plain = ready(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, Ion::CL]);
    let calcium: f64 = plain.coefficients(&[1.0, 0.3, 1.6]).unwrap().ln_gamma(Ion::CA).unwrap();
    assert!((together.ln_gamma(strontium).unwrap() - calcium).abs() < 1e-14);
    assert!((together.ln_gamma(Ion::CA).unwrap() - calcium).abs() < 1e-14);
}

#[test]
fn a_wrong_question_is_an_error() {
    let activity = ready(ActivityLaw::Pitzer, &[Ion::CA, Ion::CL]);
    let coefficients = activity.coefficients(&[0.1, 0.2]).unwrap();
    assert!(coefficients.ln_gamma(Ion::K).unwrap_err().to_string().contains("holds Ca, Cl"));
    assert!(coefficients.ln_mean(Ion::CL, Ion::CA).is_err());
    assert!(coefficients.ln_against(Ion::CA, Ion::CL).is_err());
    assert!(activity.coefficients(&[0.1]).unwrap_err().to_string().contains("one for each of 2 ions"));
    assert!(activity.exchange_factors(&[0.1, 0.1], 298.15).unwrap_err().to_string().contains("Na"));
}

/// An exchange factor on the molar scale, put together from its parts, and what it means in brine: calcium's coefficient
/// is worth half.
#[test]
fn exchange_factors_are_molal_coefficients_times_the_water() {
    let ions = [Ion::NA, Ion::CA, Ion::K, Ion::CL];
    let activity = ready(ActivityLaw::Pitzer, &ions);
    let c = [1.6, 0.3, 0.1, 2.0];
    let molal = molality::molality_from_equivalents(&ions, &c, 298.15);
    let coefficients = activity.coefficients(&molal).unwrap();
    let water = c[0] / molal[0];
    let [sodium, calcium, potassium, chloride, ..] = activity.exchange_factors(&c, 298.15).unwrap();
    let of = |ion| coefficients.ln_gamma(ion).unwrap().exp();
    // G = g rho_w/W, so G_Ca/G_Na^2 = (g_Ca/g_Na^2) (W/rho_w).
    assert_close(calcium, of(Ion::CA) / of(Ion::NA).powi(2) * water / molality::pure_water_kg_per_l(298.15), 1e-12);
    assert_close(potassium, of(Ion::K) / of(Ion::NA), 1e-12);
    assert_eq!((sodium, chloride), (1.0, 1.0));
    assert!((0.4..0.6).contains(&calcium), "{calcium}");

    // By dual number against differences, through the conversion too.
    let along = |ca: f64| activity.exchange_factors(&[1.6, ca, 0.1, 1.7 + ca], 298.15).unwrap()[1];
    let dual: [Dual64; 4] = [1.6.into(), Dual64::new(0.3, 1.0), 0.1.into(), Dual64::new(2.0, 1.0)];
    let slope = activity.exchange_factors(&dual, 298.15.into()).unwrap()[1].eps;
    assert_close(slope, central_difference(along, 0.3), 1e-7);
}

/// A liquid in equilibrium with a loading, its exchange factors taken from the liquid of the pass before: what a cell
/// does that lags them. It settles by a factor 5 or better a pass, and then fulfils the law with activities.
#[test]
fn lagged_exchange_factors_settle() {
    let ions = [Ion::NA, Ion::MG, Ion::CA, Ion::CL];
    let activity = ready(ActivityLaw::Pitzer, &ions);
    let (k, z, capacity) = ([1.0, 2.7, 4.2], [1, 2, 2], 1.8);
    for normality in [0.01f64, 0.5, 1.8, 4.0] {
        for q in [[1.0, 0.3, 0.5], [0.1, 0.4, 1.3], [1.75, 0.02, 0.03]] {
            let mut factors = [1.0; 3];
            let (mut changes, mut c) = (Vec::new(), [0.0; 3]);
            for _ in 0..20 {
                let effective = std::array::from_fn(|i| k[i] * factors[i]);
                (c, _) = solution_from_loading(&q, &effective, &z, normality).unwrap();
                let next = activity.exchange_factors(&[c[0], c[1], c[2], normality], 298.15).unwrap();
                let change = (0..3).map(|i| (next[i] / factors[i] - 1.0).abs()).fold(0.0, f64::max);
                factors.copy_from_slice(&next[..3]);
                changes.push(change);
            }
            for pass in 2..changes.len() {
                assert!(changes[pass] < 0.2 * changes[pass - 1] + 1e-14, "{normality} {q:?}: {changes:?}");
            }
            for i in 0..3 {
                let (y, x) = (q[i] / capacity, c[i] / normality);
                let (y_1, x_1) = (q[0] / capacity, c[0] / normality);
                let charge = z[i] as i32;
                let ideal = y / x * (x_1 / y_1).powi(charge) * (normality / capacity).powi(charge - 1);
                assert_close(ideal / factors[i], k[i], 1e-10);
            }
        }
    }
}
