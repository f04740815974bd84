//! Amounts as sentences have them: numbers with their units, in those that the reader has chosen.

use crate::inputs::display::DisplayUnits;
use crate::report::wording::numbers::{counted, short};
use crate::units::convert::{
    celsius_to_fahrenheit, g_per_l_to_lb_per_ft3, kg_per_m3_to_lb_per_1000_gal, kg_to_lb, l_to_gal,
    m_per_h_to_gpm_per_ft2, m_to_in, m2_per_s_to_ft2_per_s, mg_per_l_caco3_to_gr_per_gal,
};

/// What can be said in the units of a reader.
pub trait InWords {
    /// The sentence or line in these units. One system a sentence: with [`DisplayUnits::Both`] it is metric, and tables
    /// have the trade's units beside it.
    fn in_words(&self, units: DisplayUnits) -> String;
}

/// The system that a sentence is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum In {
    Metric,
    Us,
}

/// Digits that count of an amount in the trade's units.
const COUNTED: i32 = 3;

impl In {
    pub(super) fn of(units: DisplayUnits) -> Self {
        match units {
            DisplayUnits::Us => Self::Us,
            DisplayUnits::Metric | DisplayUnits::Both => Self::Metric,
        }
    }

    /// The metric words, or those of the trade.
    fn either(self, metric: impl FnOnce() -> String, us: impl FnOnce() -> String) -> String {
        if self == Self::Us { us() } else { metric() }
    }

    /// A salt dose \[g per litre of resin\] as a number.
    pub(super) fn dose(self, g_per_l: f64) -> String {
        short(if self == Self::Us { g_per_l_to_lb_per_ft3(g_per_l) } else { g_per_l })
    }

    /// A dose with its unit, briefly.
    pub(super) fn short_dose(self, g_per_l: f64) -> String {
        format!("{} {}", self.dose(g_per_l), if self == Self::Us { "lb/ft3" } else { "g/L" })
    }

    /// What stands behind the number of a dose.
    pub(super) fn of_salt(self) -> &'static str {
        if self == Self::Us { "lb of salt per ft3 of resin" } else { "g of salt per litre of resin" }
    }

    /// A dose in words; `digits` stand behind the point of the metric number.
    pub(super) fn dose_in_words(self, g_per_l: f64, digits: usize) -> String {
        let number = self.either(|| format!("{g_per_l:.digits$}"), || short(g_per_l_to_lb_per_ft3(g_per_l)));
        format!("{number} {}", self.of_salt())
    }

    /// Salt for a volume of water \[kg/m3\], which is soft or not.
    pub(super) fn for_water(self, kg_per_m3: f64, is_soft: bool) -> String {
        let water = if is_soft { "soft water" } else { "water that is not soft" };
        self.either(
            || format!("{} kg of salt per m3 of {water}", short(kg_per_m3)),
            || format!("{} lb of salt per 1000 gal of {water}", short(kg_per_m3_to_lb_per_1000_gal(kg_per_m3))),
        )
    }

    /// Salt of a week \[kg\].
    pub(super) fn a_week(self, kg: f64) -> String {
        self.either(|| format!("{} kg a week", short(kg)), || format!("{} lb a week", short(kg_to_lb(kg))))
    }

    /// So many bed volumes, written, that are so many litres; the trade reads gallons off its meter.
    pub(super) fn bed_volumes(self, written: &str, l: f64) -> String {
        self.either(
            || format!("{written} bed volumes"),
            || format!("{written} bed volumes ({} gal)", short(l_to_gal(l))),
        )
    }

    /// A superficial velocity \[m/h\].
    pub(super) fn velocity(self, m_per_h: f64) -> String {
        self.either(
            || format!("{m_per_h:.2} m/h"),
            || format!("{} gpm/ft2", counted(m_per_h_to_gpm_per_ft2(m_per_h), COUNTED)),
        )
    }

    /// A diameter of beads \[mm\], which the trade gives in millimetres too.
    pub(super) fn diameter(self, mm: f64) -> String {
        format!("{mm:.2} mm")
    }

    /// A length \[m\].
    pub(super) fn length(self, m: f64) -> String {
        self.either(|| format!("{m:.2} m"), || format!("{} in", counted(m_to_in(m), COUNTED)))
    }

    /// A density \[kg/m3\].
    pub(super) fn density(self, kg_per_m3: f64) -> String {
        self.either(
            || format!("{kg_per_m3:.0} kg/m3"),
            // A kilogram in a cubic metre is a gram in a litre.
            || format!("{} lb/ft3", counted(g_per_l_to_lb_per_ft3(kg_per_m3), COUNTED)),
        )
    }

    /// A coefficient of dispersion \[m2/s\].
    pub(super) fn dispersion(self, m2_per_s: f64) -> String {
        self.either(|| format!("{m2_per_s:.1e} m2/s"), || format!("{:.1e} ft2/s", m2_per_s_to_ft2_per_s(m2_per_s)))
    }

    /// A temperature \[C\].
    pub(super) fn temperature(self, celsius: f64) -> String {
        self.either(
            || format!("{celsius} C"),
            // Tenths of a degree, where there are any.
            || format!("{} F", (10.0 * celsius_to_fahrenheit(celsius)).round() / 10.0),
        )
    }

    /// A hardness that is no leakage \[mg/L as CaCO3\] as a number.
    pub(super) fn hardness(self, mg_per_l_caco3: f64) -> String {
        short(if self == Self::Us { mg_per_l_caco3_to_gr_per_gal(mg_per_l_caco3) } else { mg_per_l_caco3 })
    }

    /// The unit of such a number.
    pub(super) fn hardness_unit(self) -> &'static str {
        if self == Self::Us { "gr/gal as CaCO3" } else { "mg/L as CaCO3" }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_amount_has_one_system() {
        assert_eq!((In::Metric.velocity(2.7).as_str(), In::Us.velocity(2.7).as_str()), ("2.70 m/h", "1.10 gpm/ft2"));
        assert_eq!((In::Metric.diameter(0.6).as_str(), In::Us.diameter(0.6).as_str()), ("0.60 mm", "0.60 mm"));
        assert_eq!(
            (In::Metric.density(1210.0).as_str(), In::Us.density(1210.0).as_str()),
            ("1210 kg/m3", "75.5 lb/ft3")
        );
        assert_eq!((In::Metric.length(0.5).as_str(), In::Us.length(0.5).as_str()), ("0.50 m", "19.7 in"));
        assert_eq!((In::Metric.temperature(15.0).as_str(), In::Us.temperature(15.0).as_str()), ("15 C", "59 F"));
        assert_eq!(In::Us.temperature(12.3), "54.1 F");
        assert_eq!(In::Us.bed_volumes("134", 15_155.0), "134 bed volumes (4004 gal)");
        assert_eq!(In::Us.dispersion(1e-6), "1.1e-5 ft2/s");
        assert_eq!(In::Us.dose_in_words(96.0, 1), "5.99 lb of salt per ft3 of resin");
        assert_eq!(In::Metric.dose_in_words(96.0, 1), "96.0 g of salt per litre of resin");
        assert_eq!(In::Us.hardness(205.416_7), "12.0");
        assert_eq!(In::of(DisplayUnits::Both), In::Metric);
    }
}
