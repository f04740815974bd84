//! Laws against general-purpose libraries that share no code with them.
//!
//! The values, with names and versions of the libraries, are in `tests/python/physics/reference_values/libraries.json`, made by `make.py`
//! beside it. Tolerances follow the spread between the libraries, not the other way round: for densities 0.1 %, for
//! viscosities of NaCl 2 % and of KCl 2.5 % near room temperature.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a file that cannot be read is a test that fails; worst cases are printed"
)]

use std::collections::BTreeMap;

use serde_json::Value;

use brinefront::inputs::rates::FilmCorrelation;
use brinefront::inputs::salt::Salt;
use brinefront::laws::hydraulics::{Beads, Liquid, ergun, settling};
use brinefront::laws::{density, diffusivity, film, viscosity};

fn stored() -> Value {
    serde_json::from_str(include_str!("../../python/physics/reference_values/libraries.json")).unwrap()
}

fn rows<'a>(values: &'a Value, path: &str) -> &'a Vec<Value> {
    let rows = values.pointer(path).and_then(Value::as_array).unwrap();
    assert!(rows.len() >= 6, "{path} holds only {} rows", rows.len());
    rows
}

fn number(row: &Value, key: &str) -> f64 {
    row[key].as_f64().unwrap()
}

/// The largest relative difference seen, by name.
#[derive(Default)]
struct Worst(BTreeMap<String, f64>);

impl Worst {
    fn see(&mut self, name: impl Into<String>, ours: f64, theirs: f64) {
        let found = self.0.entry(name.into()).or_insert(0.0);
        *found = found.max((ours / theirs - 1.0).abs());
    }

    #[track_caller]
    fn assert_within(&self, allowed: impl Fn(&str) -> f64) {
        for (name, worst) in &self.0 {
            println!("{name}: {:.4} % at most", 100.0 * worst);
            assert!(*worst <= allowed(name), "{name}: {worst:.2e} exceeds {:.2e}", allowed(name));
        }
    }
}

#[test]
fn pressure_drop_is_that_of_fluids() {
    let values = stored();
    let mut worst = Worst::default();
    for row in rows(&values, "/beds/ergun") {
        let liquid = Liquid { density_kg_per_m3: number(row, "rho"), viscosity_pa_s: number(row, "mu") };
        let found = ergun::gradient_pa_per_m(number(row, "u"), liquid, number(row, "d"), number(row, "eps"));
        worst.see("Ergun", found, number(row, "pa_per_m"));
    }
    // The same equation: what differs is rounding.
    worst.assert_within(|_| 1e-10);
}

/// The same drag law to rounding; another (the library's default) moves settling by a few percent.
#[test]
fn settling_is_that_of_fluids() {
    let values = stored();
    let mut worst = Worst::default();
    for row in rows(&values, "/beds/drag") {
        worst.see("drag, Cheng", settling::drag_coefficient(number(row, "re")), number(row, "drag"));
    }
    for row in rows(&values, "/beds/settling") {
        let liquid = Liquid { density_kg_per_m3: number(row, "rho"), viscosity_pa_s: number(row, "mu") };
        let beads = Beads { diameter_m: number(row, "d"), wet_density_kg_per_m3: number(row, "rho_p") };
        let found = settling::terminal_velocity_m_per_s(beads, liquid);
        worst.see("settling, Cheng", found, number(row, "cheng"));
        worst.see("settling, Barati", found, number(row, "barati"));
    }
    worst.assert_within(|name| if name.ends_with("Barati") { 0.04 } else { 1e-8 });
}

#[test]
fn water_is_that_of_iapws() {
    let values = stored();
    let mut worst = Worst::default();
    for row in rows(&values, "/water") {
        let t_k = number(row, "t_c") + 273.15;
        worst.see("density", density::water_kg_per_m3(t_k), number(row, "rho"));
        worst.see("viscosity", viscosity::water_pa_s(t_k), number(row, "mu"));
    }
    worst.assert_within(|name| if name == "density" { 5e-6 } else { 1.2e-3 });
}

/// Densities of both salts, 2 to 25 % and 5 to 40 C, against two or three models each.
#[test]
fn densities_of_brines_lie_within_a_thousandth() {
    let values = stored();
    let mut worst = Worst::default();
    for row in rows(&values, "/brines") {
        let salt = row["salt"].as_str().unwrap().parse::<Salt>().unwrap();
        let (w, t_k) = (number(row, "percent") * 1e-2, number(row, "t_c") + 273.15);
        let ours = density::brine_kg_per_m3(salt, w, t_k);
        for (library, theirs) in row["rho"].as_object().unwrap() {
            worst.see(format!("{} by {library}", salt.name()), ours, theirs.as_f64().unwrap());
        }
    }
    worst.assert_within(|_| 1e-3);
}

/// Viscosities from 15 to 25 C within the advised tolerance; colder and warmer the models part company and so do we.
#[test]
fn viscosities_of_brines_lie_within_the_spread_of_models() {
    let values = stored();
    let mut worst = Worst::default();
    for row in rows(&values, "/brines") {
        let salt = row["salt"].as_str().unwrap().parse::<Salt>().unwrap();
        let (w, t_c) = (number(row, "percent") * 1e-2, number(row, "t_c"));
        let ours = viscosity::brine_pa_s(salt, w, t_c + 273.15);
        let when = if (15.0..=25.0).contains(&t_c) { "15 to 25 C" } else { "5 to 40 C" };
        for (library, theirs) in row["mu"].as_object().unwrap() {
            worst.see(format!("{} by {library}, {when}", salt.name()), ours, theirs.as_f64().unwrap());
        }
    }
    worst.assert_within(|name| match name {
        // At 20 % and 25 C this model lies 2.8 % below Laliberte's: 2 % cannot hold against both.
        "NaCl by CoolProp, 15 to 25 C" => 0.025,
        _ => match (name.starts_with("NaCl"), name.ends_with("15 to 25 C")) {
            (true, true) => 0.02,
            (false, true) => 0.025,
            // The ratio to water is taken not to depend on temperature: 2.3 % by itself.
            (true, false) => 0.035,
            // From 5 to 10 C the two models differ by up to 6.6 %, and the law lies between.
            (false, false) => 0.04,
        },
    });
}

/// Gnielinski's correlation with the diffusivity scaled by the same rule: what differs are density and viscosity of water.
#[test]
fn film_coefficients_are_those_of_ht_at_four_temperatures() {
    let values = stored();
    let (d, eps) = (0.6e-3, 0.38);
    let mut compared = 0;
    let mut worst = Worst::default();
    for row in rows(&values, "/films") {
        let (t_k, u) = (number(row, "t_c") + 273.15, number(row, "u"));
        let (rho, mu) = (density::water_kg_per_m3(t_k), viscosity::water_pa_s(t_k));
        let ionic = diffusivity::ionic_m2_per_s(7.918e-10, t_k, mu);
        worst.see("diffusivity", ionic, number(row, "diffusivity"));
        let (re, sc) = (film::reynolds(u, d, rho, mu), film::schmidt(rho, mu, ionic));
        let coefficient = |law: FilmCorrelation| film::coefficient_m_per_s(law.sherwood(re, sc, eps), ionic, d);
        worst.see("Gnielinski", coefficient(FilmCorrelation::Gnielinski), number(row, "gnielinski_m_per_s"));
        worst.see("Wakao", coefficient(FilmCorrelation::Wakao), number(row, "wakao_m_per_s"));
        // Within the range of that one (Re from 3): published laws differ by a factor of two.
        if re >= 3.0 {
            for law in [FilmCorrelation::Gnielinski, FilmCorrelation::Carberry, FilmCorrelation::WilsonGeankoplis] {
                let ratio = coefficient(law) / number(row, "wakao_m_per_s");
                println!("{} over Wakao at {} C: {ratio:.2}", law.name(), number(row, "t_c"));
                assert!((0.5..2.0).contains(&ratio), "{}: {ratio}", law.name());
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 6, "two temperatures at service flow, three laws");
    worst.assert_within(|_| 1.5e-3);
}
