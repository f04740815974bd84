//! Conversions between trade units and the project's own, in one table.

use crate::error::{Error, Result};
use crate::units::constants::{
    CACO3_G_PER_EQ, CAO_G_PER_EQ, CUBIC_FOOT_L, F_A_KELVIN, FOOT_M, FREEZING_F, GRAIN_G, GRAINS_PER_POUND,
    GRAVITY_M_PER_S2, MG_PER_L_IN_A_GRAIN_PER_GALLON, POUND_G, US_GALLON_L, ZERO_CELSIUS_K,
};

/// What a unit measures; only units of one kind convert into each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Hardness,
    Capacity,
    SaltEfficiency,
    MassPerVolume,
    BedFlow,
    SurfaceFlow,
    VolumeFlow,
    BedVolumes,
    Volume,
    Mass,
    MassFlow,
    Length,
    Pressure,
    Time,
}

const FOOT_IN: f64 = 12.0;
const DAY_H: f64 = 24.0;
const WEEK_H: f64 = 7.0 * DAY_H;

/// Name, kind, and how many base units one of it is. Bases: eq/L, eq/L of bed, eq/kg of salt, g/L, BV/h, m/h, L/h, BV,
/// L, g, kg/week, m, kPa, min.
const UNITS: [(&str, Kind, f64); 50] = [
    ("eq/L", Kind::Hardness, 1.0),
    ("meq/L", Kind::Hardness, 1e-3),
    ("mg/L CaCO3", Kind::Hardness, 1e-3 / CACO3_G_PER_EQ),
    // Of a divalent ion: two equivalents a mole.
    ("mmol/L divalent", Kind::Hardness, 2e-3),
    ("gr/gal", Kind::Hardness, GRAIN_G / US_GALLON_L / CACO3_G_PER_EQ),
    // 10 mg CaCO3 per litre.
    ("degree French", Kind::Hardness, 1e-2 / CACO3_G_PER_EQ),
    // 10 mg CaO per litre.
    ("degree German", Kind::Hardness, 1e-2 / CAO_G_PER_EQ),
    ("eq/L bed", Kind::Capacity, 1.0),
    ("g/L CaCO3", Kind::Capacity, 1.0 / CACO3_G_PER_EQ),
    ("kgr/ft3", Kind::Capacity, 1000.0 * GRAIN_G / CUBIC_FOOT_L / CACO3_G_PER_EQ),
    ("gr/ft3", Kind::Capacity, GRAIN_G / CUBIC_FOOT_L / CACO3_G_PER_EQ),
    ("eq/kg", Kind::SaltEfficiency, 1.0),
    // Grains as CaCO3 for a pound of salt.
    ("gr/lb", Kind::SaltEfficiency, 1e3 / GRAINS_PER_POUND / CACO3_G_PER_EQ),
    ("g/L", Kind::MassPerVolume, 1.0),
    ("mg/L", Kind::MassPerVolume, 1e-3),
    ("kg/m3", Kind::MassPerVolume, 1.0),
    ("lb/ft3", Kind::MassPerVolume, POUND_G / CUBIC_FOOT_L),
    ("BV/h", Kind::BedFlow, 1.0),
    ("gpm/ft3", Kind::BedFlow, 60.0 * US_GALLON_L / CUBIC_FOOT_L),
    ("m/h", Kind::SurfaceFlow, 1.0),
    ("m/s", Kind::SurfaceFlow, 3600.0),
    ("gpm/ft2", Kind::SurfaceFlow, 60.0 * US_GALLON_L / CUBIC_FOOT_L * FOOT_M),
    ("L/h", Kind::VolumeFlow, 1.0),
    ("m3/h", Kind::VolumeFlow, 1e3),
    ("m3/day", Kind::VolumeFlow, 1e3 / DAY_H),
    ("m3/week", Kind::VolumeFlow, 1e3 / WEEK_H),
    ("gpm", Kind::VolumeFlow, 60.0 * US_GALLON_L),
    ("gal/day", Kind::VolumeFlow, US_GALLON_L / DAY_H),
    ("gal/week", Kind::VolumeFlow, US_GALLON_L / WEEK_H),
    ("BV", Kind::BedVolumes, 1.0),
    ("gal/ft3", Kind::BedVolumes, US_GALLON_L / CUBIC_FOOT_L),
    ("L", Kind::Volume, 1.0),
    ("m3", Kind::Volume, 1e3),
    ("gal", Kind::Volume, US_GALLON_L),
    ("ft3", Kind::Volume, CUBIC_FOOT_L),
    ("g", Kind::Mass, 1.0),
    ("kg", Kind::Mass, 1e3),
    ("lb", Kind::Mass, POUND_G),
    ("kg/week", Kind::MassFlow, 1.0),
    ("lb/week", Kind::MassFlow, 1e-3 * POUND_G),
    ("m", Kind::Length, 1.0),
    ("mm", Kind::Length, 1e-3),
    ("cm", Kind::Length, 1e-2),
    ("ft", Kind::Length, FOOT_M),
    ("in", Kind::Length, FOOT_M / FOOT_IN),
    ("kPa", Kind::Pressure, 1.0),
    ("bar", Kind::Pressure, 1e2),
    // Pounds-force on a square inch.
    ("psi", Kind::Pressure, 1e-6 * POUND_G * GRAVITY_M_PER_S2 / (FOOT_M / FOOT_IN * (FOOT_M / FOOT_IN))),
    ("min", Kind::Time, 1.0),
    ("h", Kind::Time, 60.0),
];

/// The names [`convert`] understands; [`spelled`] has other spellings of them.
pub fn unit_names() -> impl Iterator<Item = &'static str> {
    UNITS.iter().map(|(name, ..)| *name)
}

/// Other words for what stands in a unit's name.
const WORDS: [(&str, &str); 43] = [
    ("gallon", "gal"),
    ("gallons", "gal"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("inch", "in"),
    ("inches", "in"),
    ("metre", "m"),
    ("metres", "m"),
    ("meter", "m"),
    ("meters", "m"),
    ("pound", "lb"),
    ("pounds", "lb"),
    ("lbs", "lb"),
    ("gram", "g"),
    ("grams", "g"),
    ("grain", "gr"),
    ("grains", "gr"),
    ("kilograin", "kgr"),
    ("kilograins", "kgr"),
    ("litre", "L"),
    ("litres", "L"),
    ("liter", "L"),
    ("liters", "L"),
    ("l", "L"),
    ("minute", "min"),
    ("minutes", "min"),
    ("hour", "h"),
    ("hours", "h"),
    ("hr", "h"),
    ("days", "day"),
    ("weeks", "week"),
    ("year", "years"),
    ("percent", "%"),
    ("degC", "C"),
    ("\u{b0}C", "C"),
    ("degF", "F"),
    ("\u{b0}F", "F"),
    ("kelvin", "K"),
    ("bed_volume", "BV"),
    ("bed_volumes", "BV"),
    ("gpg", "gr/gal CaCO3"),
    ("french_degree", "degree French"),
    ("german_degree", "degree German"),
];

/// Whole units that have another name: a part per million is a milligram in a litre where it says of what.
const NAMED: [(&str, &str); 5] = [
    ("ppm CaCO3", "mg/L CaCO3"),
    ("ppm ion", "mg/L ion"),
    ("gal/min", "gpm"),
    ("gal/min/ft2", "gpm/ft2"),
    ("gal/min/ft3", "gpm/ft3"),
];

/// A unit as [`unit_names`] spells it: `ft**3` and `ft^3` are `ft3`, `mg/L as CaCO3` and `mg_CaCO3/L` are `mg/L CaCO3`,
/// `gpg` is `gr/gal CaCO3`, grains that say what they are grains of, and `ppm as CaCO3` is `mg/L CaCO3`.
pub fn spelled(unit: &str) -> String {
    let mut plain = unit.replace("**", "").replace('^', "").replace('\u{b3}', "3").replace('\u{b2}', "2");
    for of in ["CaCO3", "ion"] {
        let within = format!("_{of}");
        if plain.contains(&within) {
            plain = format!("{} {of}", plain.replace(&within, ""));
        }
    }
    let plain = plain.replace("cu ft", "ft3").replace("sq ft", "ft2").replace(" as ", " ");
    let word = |word: &str| {
        WORDS.iter().find(|(other, _)| *other == word).map_or(word.to_string(), |(_, own)| own.to_string())
    };
    let factors = |part: &str| part.split('/').map(|factor| word(factor.trim())).collect::<Vec<_>>().join("/");
    let found =
        plain.split_whitespace().map(factors).collect::<Vec<_>>().join(" ").replace(" /", "/").replace("/ ", "/");
    NAMED.iter().find(|(other, _)| *other == found).map_or(found, |(_, own)| own.to_string())
}

/// Grains are grains as CaCO3 wherever no ion is meant.
const GRAINS: [(&str, &str); 4] =
    [("gr/gal CaCO3", "gr/gal"), ("kgr/ft3 CaCO3", "kgr/ft3"), ("gr/ft3 CaCO3", "gr/ft3"), ("gr/lb CaCO3", "gr/lb")];

/// The names of the units that convert into one.
pub fn units_like(unit: &str) -> Vec<&'static str> {
    unit_names().filter(|name| convert(1.0, name, unit).is_ok()).collect()
}

/// Every kind in which a name occurs: `eq/L` measures a solution's normality and a bed's capacity alike.
fn meanings(field: &str, given: &str) -> Result<Vec<(Kind, f64)>> {
    let spelled = spelled(given);
    let name = GRAINS.iter().find(|(of, _)| *of == spelled).map_or(spelled.as_str(), |(_, name)| *name);
    let mut found: Vec<_> =
        UNITS.iter().filter(|(n, ..)| *n == name).map(|(_, kind, factor)| (*kind, *factor)).collect();
    if name == "eq/L" {
        found.push((Kind::Capacity, 1.0));
    }
    if found.is_empty() {
        let known: Vec<_> = unit_names().collect();
        return Err(Error::value(field, given, format!("not a unit known here; known: {}", known.join(", "))));
    }
    Ok(found)
}

/// Convert `value` from one unit into another of the same kind.
///
/// "mg/L CaCO3" and "gr/gal" are hardness as calcium carbonate; "kgr/ft3" is capacity in thousands of grains as CaCO3.
///
/// # Errors
/// [`Error::Value`] for an unknown unit, or two units that measure different things.
///
/// ```
/// use brinefront::units::convert::convert;
/// assert!((convert(1.0, "eq/L", "kgr/ft3")? - 21.8686).abs() < 1e-4);
/// # Ok::<(), brinefront::Error>(())
/// ```
pub fn convert(value: f64, source: &str, target: &str) -> Result<f64> {
    let sources = meanings("source", source)?;
    let targets = meanings("target", target)?;
    for (kind, factor) in &sources {
        if let Some((_, other)) = targets.iter().find(|(k, _)| k == kind) {
            return Ok(value * (factor / other));
        }
    }
    Err(Error::value("target", target, format!("does not measure the same thing as {source}")))
}

/// Hardness \[eq/L\] to mg/L as CaCO3.
pub fn eq_per_l_to_mg_per_l_caco3(eq_per_l: f64) -> f64 {
    eq_per_l * 1e3 * CACO3_G_PER_EQ
}

/// Hardness in mg/L as CaCO3 to eq/L.
pub fn mg_per_l_caco3_to_eq_per_l(mg_per_l: f64) -> f64 {
    mg_per_l * 1e-3 / CACO3_G_PER_EQ
}

/// Capacity \[eq/L of bed\] to thousands of grains as CaCO3 per cubic foot.
pub fn eq_per_l_to_kgr_per_ft3(eq_per_l: f64) -> f64 {
    eq_per_l * CACO3_G_PER_EQ * CUBIC_FOOT_L / GRAIN_G / 1000.0
}

/// Salt efficiency: grains as CaCO3 removed per pound of salt, from equivalents removed per gram of salt.
pub fn eq_per_g_to_gr_per_lb(eq_per_g: f64) -> f64 {
    eq_per_g * CACO3_G_PER_EQ * GRAINS_PER_POUND
}

/// Salt dose \[g/L\] to pounds per cubic foot.
pub fn g_per_l_to_lb_per_ft3(g_per_l: f64) -> f64 {
    g_per_l * CUBIC_FOOT_L / POUND_G
}

/// Mass \[kg\] to pounds.
pub fn kg_to_lb(kg: f64) -> f64 {
    kg * 1e3 / POUND_G
}

/// Salt for a volume of water \[kg/m3\] to pounds per thousand US gallons.
pub fn kg_per_m3_to_lb_per_1000_gal(kg_per_m3: f64) -> f64 {
    kg_to_lb(kg_per_m3 * US_GALLON_L)
}

/// Volume \[L\] to US gallons.
pub fn l_to_gal(l: f64) -> f64 {
    l / US_GALLON_L
}

/// Superficial velocity \[m/h\] to gallons per minute on a square foot.
pub fn m_per_h_to_gpm_per_ft2(m_per_h: f64) -> f64 {
    m_per_h / (60.0 * US_GALLON_L / CUBIC_FOOT_L * FOOT_M)
}

/// Length \[m\] to inches.
pub fn m_to_in(m: f64) -> f64 {
    m / FOOT_M * FOOT_IN
}

/// Coefficient of dispersion \[m2/s\] to square feet per second.
pub fn m2_per_s_to_ft2_per_s(m2_per_s: f64) -> f64 {
    m2_per_s / (FOOT_M * FOOT_M)
}

/// Hardness in mg/L as CaCO3 to grains per US gallon.
pub fn mg_per_l_caco3_to_gr_per_gal(mg_per_l: f64) -> f64 {
    mg_per_l / MG_PER_L_IN_A_GRAIN_PER_GALLON
}

/// Temperature in degrees Celsius to degrees Fahrenheit.
pub fn celsius_to_fahrenheit(celsius: f64) -> f64 {
    FREEZING_F + F_A_KELVIN * celsius
}

/// Temperature in degrees Celsius to kelvin.
pub fn celsius_to_kelvin(celsius: f64) -> f64 {
    celsius + ZERO_CELSIUS_K
}

/// Flow in bed volumes per hour to superficial velocity \[m/s\] through a bed of `depth_m`.
pub fn bv_per_h_to_m_per_s(bv_per_h: f64, depth_m: f64) -> f64 {
    bv_per_h * depth_m / 3600.0
}

/// Flow in m/h to m/s.
pub fn m_per_h_to_m_per_s(m_per_h: f64) -> f64 {
    m_per_h / 3600.0
}

/// Flow in m/s to m/h.
pub fn m_per_s_to_m_per_h(m_per_s: f64) -> f64 {
    m_per_s * 3600.0
}

/// Time \[s\] that a volume in bed volumes takes at a flow in bed volumes per hour.
pub fn bv_at_bv_per_h_to_s(volume_bv: f64, flow_bv_per_h: f64) -> f64 {
    volume_bv / flow_bv_per_h * 3600.0
}

/// Volume in bed volumes that a flow in bed volumes per hour passes in a time \[s\].
pub fn s_at_bv_per_h_to_bv(seconds: f64, flow_bv_per_h: f64) -> f64 {
    seconds / 3600.0 * flow_bv_per_h
}

/// Runs a week, from a use in m3/day and the litres that one run delivers.
pub fn m3_per_day_to_runs_per_week(use_m3_per_day: f64, run_l: f64) -> f64 {
    7.0 * 1000.0 * use_m3_per_day / run_l
}

/// Concentration \[eq/L\] to mg/L of something of `g_per_eq`.
pub fn eq_per_l_to_mg_per_l(eq_per_l: f64, g_per_eq: f64) -> f64 {
    eq_per_l * g_per_eq * 1e3
}

/// Concentration in mg/L of something of `g_per_eq` to eq/L.
pub fn mg_per_l_to_eq_per_l(mg_per_l: f64, g_per_eq: f64) -> f64 {
    mg_per_l * 1e-3 / g_per_eq
}

/// Thousandths to ones: g to kg, L to m3, mmol to mol, mm to m.
pub fn milli(value: f64) -> f64 {
    value * 1e-3
}

/// Thousands to ones: kJ to J, m3 to L.
pub fn kilo(value: f64) -> f64 {
    value * 1e3
}

/// Percent to a fraction.
pub fn percent_to_fraction(percent: f64) -> f64 {
    percent * 1e-2
}

/// A fraction to percent.
pub fn fraction_to_percent(fraction: f64) -> f64 {
    fraction * 1e2
}

/// Viscosity \[Pa s\] to mPa s.
pub fn pa_s_to_mpa_s(pa_s: f64) -> f64 {
    pa_s * 1e3
}

/// Hours in seconds.
pub fn h_to_s(hours: f64) -> f64 {
    hours * 3600.0
}

/// Minutes to seconds.
pub fn min_to_s(minutes: f64) -> f64 {
    minutes * 60.0
}

/// Minutes to hours.
pub fn min_to_h(minutes: f64) -> f64 {
    minutes / 60.0
}

/// Seconds to minutes.
pub fn s_to_min(seconds: f64) -> f64 {
    seconds / 60.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors printed in trade handbooks to five figures; each follows from exact definitions and IUPAC atomic weights.
    #[test]
    fn trade_factors_agree_with_printed_ones() {
        for (source, target, printed) in [
            ("gr/gal", "mg/L CaCO3", 17.11806),
            ("gr/gal", "meq/L", 0.34207),
            ("degree French", "mg/L CaCO3", 10.0),
            ("degree German", "mg/L CaCO3", 17.848),
            ("meq/L", "mg/L CaCO3", 50.043),
            ("kgr/ft3", "g/L CaCO3", 2.28835),
            ("kgr/ft3", "eq/L", 0.045728),
            ("lb/ft3", "g/L", 16.01846),
            ("gpm/ft3", "BV/h", 8.02083),
            ("gpm/ft2", "m/h", 2.44475),
            ("gal/ft3", "BV", 0.133681),
            ("gpm", "m3/h", 0.227125),
            ("gal/day", "L/h", 0.157725),
            ("psi", "kPa", 6.894757),
            ("lb/week", "kg/week", 0.453592),
            ("eq/kg", "gr/lb", 350.301),
        ] {
            let ours = convert(1.0, source, target).unwrap();
            assert!((ours / printed - 1.0).abs() < 2e-5, "{source} -> {target}: {ours} against {printed}");
        }
    }

    #[test]
    fn the_stoichiometric_limit_is_5994_grains_a_pound() {
        let limit = eq_per_g_to_gr_per_lb(1.0 / crate::units::constants::MOLAR_MASS_NACL_G_PER_MOL);
        assert!((limit - 5994.0).abs() < 0.5, "{limit}");
    }

    #[test]
    fn a_unit_has_several_spellings() {
        for (given, name) in [
            ("ft**3", "ft3"),
            ("gpm/ft^2", "gpm/ft2"),
            ("gallons", "gal"),
            ("pounds/cu ft", "lb/ft3"),
            ("mg/L as CaCO3", "mg/L CaCO3"),
            ("mg_CaCO3/L", "mg/L CaCO3"),
            ("mg_CaCO3 / liter", "mg/L CaCO3"),
            ("mg/L as ion", "mg/L ion"),
            ("gpg", "gr/gal CaCO3"),
            ("ppm as CaCO3", "mg/L CaCO3"),
            ("ppm as ion", "mg/L ion"),
            ("ppm", "ppm"),
            ("gal/min", "gpm"),
            ("gallons / minute", "gpm"),
            ("gal/min/ft**2", "gpm/ft2"),
            ("gr/gal as CaCO3", "gr/gal CaCO3"),
            ("french_degree", "degree French"),
        ] {
            assert_eq!(spelled(given), name);
        }
        for name in unit_names() {
            assert_eq!(spelled(name), name);
        }
        for (these, those) in [("gpg", "gr/gal"), ("kgr_CaCO3/ft**3", "kgr/ft3"), ("mg/L as CaCO3", "mg/L CaCO3")] {
            assert_eq!(convert(3.0, these, those).unwrap().to_bits(), 3.0_f64.to_bits());
        }
    }

    #[test]
    fn unlike_units_are_refused() {
        assert!(convert(1.0, "gr/gal", "lb/ft3").is_err());
        assert!(convert(1.0, "grain", "lb/ft3").is_err());
    }
}
