//! A number with its unit as a text, `8 lb/ft3`, and the unit that a name carries, `dose_g_per_l`.

use crate::units::constants::{F_A_KELVIN, FREEZING_F, ZERO_CELSIUS_K};
use crate::units::convert::{convert, spelled, units_like};

/// What a name ends in, and the unit that it then is in; an ending stands before every other that it ends in.
const ENDINGS: [(&str, &str); 24] = [
    ("mg_per_l_caco3", "mg/L CaCO3"),
    ("mg_per_l", "mg/L"),
    ("g_per_l", "g/L"),
    ("eq_per_l", "eq/L"),
    ("kg_per_m3", "kg/m3"),
    ("bv_per_h", "BV/h"),
    ("m_per_h", "m/h"),
    ("m2_per_s", "m2/s"),
    ("per_s", "1/s"),
    ("m3_per_day", "m3/day"),
    ("kg_per_week", "kg/week"),
    ("kj_per_mol", "kJ/mol"),
    ("percent_per_year", "%/years"),
    ("percent", "%"),
    ("minutes", "min"),
    ("hours", "h"),
    ("years", "years"),
    ("min", "min"),
    ("bv", "BV"),
    ("mm", "mm"),
    ("m", "m"),
    ("l", "L"),
    ("g", "g"),
    ("c", "C"),
];

/// What a name that is its unit alone is called without it.
const DURATION: &str = "duration";

/// A name without the unit at its end, and that unit as [`spelled`] has it; none for a name that carries none.
///
/// ```
/// use brinefront::units::amounts::without_unit;
/// assert_eq!(without_unit("dose_g_per_l"), Some(("dose", "g/L")));
/// assert_eq!(without_unit("minutes"), Some(("duration", "min")));
/// assert_eq!(without_unit("spread"), None);
/// ```
pub fn without_unit(name: &str) -> Option<(&str, &'static str)> {
    ENDINGS.iter().find_map(|(ending, unit)| {
        let bare = name.strip_suffix(ending)?;
        if bare.is_empty() { Some((DURATION, *unit)) } else { Some((bare.strip_suffix('_')?, *unit)) }
    })
}

/// A number with its unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Amount {
    /// The number, finite.
    pub number: f64,
    /// Its unit as [`spelled`] has it, also where no such unit is known.
    pub unit: String,
}

impl Amount {
    /// Read a text that begins with a number; what stands behind it is the unit, which is empty if nothing does.
    ///
    /// ```
    /// use brinefront::units::amounts::Amount;
    /// let dose = Amount::read("8 lb/ft^3").unwrap();
    /// assert_eq!((dose.number, dose.unit.as_str()), (8.0, "lb/ft3"));
    /// assert!(Amount::read("plenty").is_none());
    /// ```
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        let ends = text.char_indices().map(|(place, letter)| place + letter.len_utf8());
        // A letter of the unit may read as an exponent, so the longest beginning that is a number is the number.
        let end = ends
            .take_while(|end| text[..*end].chars().all(|letter| letter.is_ascii_digit() || "+-.eE".contains(letter)))
            .filter(|end| text[..*end].parse::<f64>().is_ok())
            .last()?;
        let number: f64 = text[..end].parse().ok()?;
        number.is_finite().then(|| Self { number, unit: spelled(&text[end..]) })
    }

    /// The number in another unit, if that measures the same thing.
    pub fn in_unit(&self, unit: &str) -> Option<f64> {
        if self.unit == unit {
            return Some(self.number);
        }
        match (self.unit.as_str(), unit) {
            ("F", "C") => Some((self.number - FREEZING_F) / F_A_KELVIN),
            ("K", "C") => Some(self.number - ZERO_CELSIUS_K),
            (own, _) => convert(self.number, own, unit).ok(),
        }
    }
}

/// The units from which [`Amount::in_unit`] finds a number in `unit`, as errors list them.
pub fn accepted(unit: &str) -> Vec<&'static str> {
    if unit == "C" {
        return vec!["C", "F", "K"];
    }
    let known = units_like(unit);
    if !known.is_empty() {
        return known;
    }
    ENDINGS.iter().map(|(_, own)| *own).filter(|own| *own == unit).take(1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn in_unit(text: &str, unit: &str) -> Option<f64> {
        Amount::read(text)?.in_unit(unit)
    }

    #[test]
    fn a_text_is_a_number_and_a_unit() {
        for (text, number, unit) in [
            ("8 lb/ft3", 8.0, "lb/ft3"),
            ("1.5eq/L", 1.5, "eq/L"),
            (" 2e-6 m**2/s ", 2e-6, "m2/s"),
            ("-3 ft", -3.0, "ft"),
            ("12", 12.0, ""),
            ("1,000 gal", 1.0, ",000 gal"),
            ("59 \u{b0}F", 59.0, "F"),
        ] {
            assert_eq!(Amount::read(text), Some(Amount { number, unit: unit.to_string() }), "{text}");
        }
        for text in ["", "lb", "inf gal", "nan gal", "e5 gal", "1e999 gal"] {
            assert_eq!(Amount::read(text), None, "{text}");
        }
    }

    #[test]
    fn units_that_measure_the_same_thing_convert() {
        let near = |found: Option<f64>, expected: f64| {
            let found = found.unwrap();
            assert!((found / expected - 1.0).abs() < 1e-12, "{found} against {expected}");
        };
        near(in_unit("3 ft", "m"), 0.9144);
        near(in_unit("59 F", "C"), 15.0);
        near(in_unit("288.15 K", "C"), 15.0);
        near(in_unit("0.5 hours", "min"), 30.0);
        near(in_unit("2 mg/L as CaCO3", "mg/L CaCO3"), 2.0);
        assert_eq!(in_unit("0.1 m", "m").map(f64::to_bits), Some(0.1_f64.to_bits()));
        for (text, unit) in [("17 mg/L", "mg/L CaCO3"), ("17 ppm", "mg/L CaCO3"), ("10 gal", "BV"), ("3", "m")] {
            assert_eq!(in_unit(text, unit), None, "{text}");
        }
    }

    #[test]
    fn every_ending_takes_its_own_unit() {
        for (ending, unit) in ENDINGS {
            assert!(accepted(unit).contains(&unit), "{unit}");
            assert_eq!(without_unit(&format!("such_{ending}")), Some(("such", unit)));
        }
        assert_eq!(without_unit("form"), None);
    }
}
