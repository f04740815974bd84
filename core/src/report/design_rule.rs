//! Rules of design beside the figures: what a cycle came to, and the band that a published rule allows it.
//!
//! Values alone; [`crate::report::wording`] makes a line of each. Bands stand in the units of their sources, and are
//! converted where a figure is held against them. Where sources disagree the wider band stands, but for public supplies, whose code is a law.

use serde::Serialize;

use crate::inputs::recipe_steps::StepName;
use crate::report::tables::StepRow;
use crate::units::convert::convert;

/// What a rule of design is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Rule {
    /// Superficial velocity in service.
    ServiceVelocity,
    /// Flow in service for the volume of resin.
    SpecificFlow,
    /// Depth of the bed.
    BedDepth,
    /// Pressure lost over the bed in service.
    HeadLoss,
    /// Superficial velocity of the backwash.
    BackwashRate,
    /// Rise of the bed in the backwash.
    BackwashExpansion,
    /// Salt for the volume of resin.
    SaltDose,
    /// Salt in the brine.
    BrineStrength,
    /// Flow of the brine.
    BrineFlow,
    /// Time that brine flows.
    BrineTime,
    /// Volume of the slow rinse.
    SlowRinse,
    /// Flow of the fast rinse.
    FastRinseFlow,
    /// Volume of the fast rinse.
    FastRinse,
    /// Regenerations on a day of use.
    RegenerationsADay,
}

/// A rule of design, and what the cycle came to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct DesignRule {
    /// What it is about.
    pub rule: Rule,
    /// What the cycle came to, in `unit`.
    pub found: f64,
    /// The least that is allowed, in `unit`; none if nothing is too little.
    pub low: Option<f64>,
    /// The most that is allowed, in `unit`; none if nothing is too much.
    pub high: Option<f64>,
    /// Unit of the three.
    pub unit: &'static str,
    /// Is what was found within the two, both included?
    pub inside: bool,
    /// Where the rule stands, and how far that was read.
    pub source: &'static str,
}

/// A rule as its source has it.
struct Band {
    rule: Rule,
    low: Option<f64>,
    high: Option<f64>,
    unit: &'static str,
    source: &'static str,
    /// The unit of the source and that of the figure, as [`convert`] knows them, where they differ.
    own: Option<(&'static str, &'static str)>,
}

/// Rules are printed with one or two figures: what is off by less than half a per cent is on them.
const ROUNDING: f64 = 5e-3;

impl Band {
    const fn between(rule: Rule, low: f64, high: f64, unit: &'static str, source: &'static str) -> Self {
        Self { rule, low: Some(low), high: Some(high), unit, source, own: None }
    }

    const fn at_most(rule: Rule, high: f64, unit: &'static str, source: &'static str) -> Self {
        Self { rule, low: None, high: Some(high), unit, source, own: None }
    }

    const fn at_least(rule: Rule, low: f64, unit: &'static str, source: &'static str) -> Self {
        Self { rule, low: Some(low), high: None, unit, source, own: None }
    }

    fn judge(&self, found: f64) -> DesignRule {
        let in_unit = |end: f64| self.own.map_or(Ok(end), |(own, unit)| convert(end, own, unit));
        // Units that are not known would leave no bound; a test knows them all.
        let [low, high] = [self.low, self.high].map(|end| end.and_then(|end| in_unit(end).ok()));
        let high_enough = low.is_none_or(|low| found >= low * (1.0 - ROUNDING));
        let low_enough = high.is_none_or(|high| found <= high * (1.0 + ROUNDING));
        let Self { rule, unit, source, .. } = *self;
        DesignRule { rule, found, low, high, unit, inside: high_enough && low_enough, source }
    }

    const fn in_units_of(self, own: &'static str, figure: &'static str) -> Self {
        Self { own: Some((own, figure)), ..self }
    }
}

const SERVICE_VELOCITY: Band = Band::at_most(
    Rule::ServiceVelocity,
    7.0,
    "m/h",
    "7 gpm/ft2 for a public supply: 35 Illinois Adm. Code 604.805; others go to 24 to 37 m/h: operators' course, read in part",
).in_units_of("gpm/ft2", "m/h");
const SPECIFIC_FLOW: Band = Band::between(Rule::SpecificFlow, 1.0, 5.0, "BV/h", "1 to 5 gpm/ft3: trade journal, 2004")
    .in_units_of("gpm/ft3", "BV/h");
const BED_DEPTH: Band = Band::at_least(
    Rule::BedDepth,
    24.0,
    "m",
    "24 in for a small plant: trade journal, 2004; a public supply 0.91 m: 35 Illinois Adm. Code 604.805",
)
.in_units_of("in", "m");
const HEAD_LOSS: Band = Band::at_most(
    Rule::HeadLoss,
    15.0,
    "kPa",
    "15 psi for the whole unit at its rated flow: trade journal, on the standard test of softeners; the bed alone is counted here",
).in_units_of("psi", "kPa");
const BACKWASH_RATE: Band = Band::between(
    Rule::BackwashRate,
    6.0,
    8.0,
    "m/h",
    "6 to 8 gpm/ft2: 35 Illinois Adm. Code 604.805 and MIL-HDBK-1164",
)
.in_units_of("gpm/ft2", "m/h");
const BACKWASH_EXPANSION: Band = Band::between(
    Rule::BackwashExpansion,
    40.0,
    60.0,
    "%",
    "50 %: operators' course, read in part; 10 to each side: choice, no source",
);
/// Doses that count as economical, least and highest \[lb/ft3\]: trade journal, 2014.
pub(super) const ECONOMICAL_DOSES_LB_PER_FT3: (f64, f64) = (3.0, 8.0);
const SALT_DOSE: Band = Band::between(
    Rule::SaltDose,
    ECONOMICAL_DOSES_LB_PER_FT3.0,
    ECONOMICAL_DOSES_LB_PER_FT3.1,
    "g/L of resin",
    "3 to 8 lb/ft3, the economical doses: trade journal, 2014",
)
.in_units_of("lb/ft3", "g/L");
const BRINE_STRENGTH: Band = Band::between(
    Rule::BrineStrength,
    8.0,
    12.0,
    "% by weight",
    "about 10 %: trade journal, 2014; 8 to 12 %: common practice, no source",
);
const BRINE_FLOW: Band =
    Band::between(Rule::BrineFlow, 0.25, 0.40, "BV/h", "0.25 to 0.40 gpm/ft3: trade journal, 2014")
        .in_units_of("gpm/ft3", "BV/h");
const BRINE_TIME: Band = Band::between(Rule::BrineTime, 20.0, 35.0, "min", "operators' course, read in part");
const SLOW_RINSE: Band = Band::between(Rule::SlowRinse, 7.5, 22.5, "BV", "7.5 to 22.5 gal/ft3: UFC 3-240-13FN (2005)")
    .in_units_of("gal/ft3", "BV");
const FAST_RINSE_FLOW: Band =
    Band::between(Rule::FastRinseFlow, 1.5, 2.0, "BV/h", "1.5 to 2 gpm/ft3: UFC 3-240-13FN (2005)")
        .in_units_of("gpm/ft3", "BV/h");
const FAST_RINSE: Band = Band::between(
    Rule::FastRinse,
    35.0,
    100.0,
    "BV",
    "35 to 100 gal/ft3, until free of hardness: UFC 3-240-13FN (2005); others 2.7 to 4.7 BV with the slow rinse: operators' course, read in part",
).in_units_of("gal/ft3", "BV");
const REGENERATIONS_A_DAY: Band = Band::at_most(
    Rule::RegenerationsADay,
    MOST_REGENERATIONS_A_DAY,
    "1/day",
    "up to 2 h each and 3 h to make the brine up: trade journal, 2004",
);

/// Most regenerations that fit into a day, the brine being made up between two: trade journal, 2004.
pub(super) const MOST_REGENERATIONS_A_DAY: f64 = 3.0;

/// What rules of design are held against, beside the steps.
pub(super) struct Design {
    /// Depth of the bed \[m\].
    pub depth_m: f64,
    /// Pure salt of a regeneration \[g per litre of bed\].
    pub dose_g_per_l: f64,
    /// Salt in the brine \[percent by weight\].
    pub strength_percent: f64,
    /// Regenerations on a day of use, if the site is known.
    pub regenerations_a_day: Option<f64>,
}

/// The rules that a cycle can be held against, in the order of the water's way.
pub(super) fn rules(design: &Design, steps: &[StepRow]) -> Vec<DesignRule> {
    let of = |name: StepName| move |row: &&StepRow| row.step == name;
    let fastest =
        |name, pick: fn(&StepRow) -> Option<f64>| steps.iter().filter(of(name)).filter_map(pick).max_by(f64::total_cmp);
    // A step that is not there has no volume to be too small.
    let whole = |name, pick: fn(&StepRow) -> f64| {
        let parts = steps.iter().filter(of(name));
        parts.map(pick).reduce(|sum, part| sum + part).filter(|sum| *sum > 0.0)
    };
    let brine = whole(StepName::Brine, |row| row.minutes);
    let found = [
        (SERVICE_VELOCITY, fastest(StepName::Service, |row| Some(row.velocity_m_per_h))),
        (SPECIFIC_FLOW, fastest(StepName::Service, |row| Some(row.flow_bv_per_h))),
        (BED_DEPTH, Some(design.depth_m)),
        (HEAD_LOSS, fastest(StepName::Service, |row| row.pressure_drop_kpa)),
        (BACKWASH_RATE, fastest(StepName::Backwash, |row| Some(row.velocity_m_per_h))),
        (BACKWASH_EXPANSION, fastest(StepName::Backwash, |row| row.bed_expansion_percent)),
        (SALT_DOSE, brine.map(|_| design.dose_g_per_l)),
        (BRINE_STRENGTH, brine.map(|_| design.strength_percent)),
        (BRINE_FLOW, fastest(StepName::Brine, |row| Some(row.flow_bv_per_h))),
        (BRINE_TIME, brine),
        (SLOW_RINSE, whole(StepName::SlowRinse, |row| row.volume_bv)),
        (FAST_RINSE_FLOW, fastest(StepName::FastRinse, |row| Some(row.flow_bv_per_h))),
        (FAST_RINSE, whole(StepName::FastRinse, |row| row.volume_bv)),
        (REGENERATIONS_A_DAY, design.regenerations_a_day),
    ];
    found.iter().filter_map(|(band, found)| Some(band.judge((*found)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bands are the source's own numbers, in its own units.
    /// On the rule is inside, in the source's own units: 3 lb/ft3 is 48.055 g/L, 7 gpm/ft2 17.11 m/h (exact conversions).
    #[test]
    fn a_figure_that_is_on_its_rule_is_inside() {
        for (band, low, high, unit, shown) in [
            (SERVICE_VELOCITY, None, Some(7.0), "gpm/ft2", "m/h"),
            (SPECIFIC_FLOW, Some(1.0), Some(5.0), "gpm/ft3", "BV/h"),
            (BED_DEPTH, Some(2.0), None, "ft", "m"),
            (HEAD_LOSS, None, Some(15.0), "psi", "kPa"),
            (BACKWASH_RATE, Some(6.0), Some(8.0), "gpm/ft2", "m/h"),
            (SALT_DOSE, Some(3.0), Some(8.0), "lb/ft3", "g/L"),
            (BRINE_FLOW, Some(0.25), Some(0.40), "gpm/ft3", "BV/h"),
            (SLOW_RINSE, Some(7.5), Some(22.5), "gal/ft3", "BV"),
            (FAST_RINSE_FLOW, Some(1.5), Some(2.0), "gpm/ft3", "BV/h"),
            (FAST_RINSE, Some(35.0), Some(100.0), "gal/ft3", "BV"),
        ] {
            for (value, outwards) in [(low, 0.99), (high, 1.01)] {
                let Some(on) = value.map(|value: f64| convert(value, unit, shown).unwrap()) else { continue };
                let (judged, beyond) = (band.judge(on), band.judge(on * outwards));
                assert!(judged.inside && !beyond.inside, "{:?} at {on}: {judged:?}", band.rule);
            }
            let ends = band.judge(1.0);
            assert_eq!((ends.low.is_some(), ends.high.is_some()), (low.is_some(), high.is_some()), "{:?}", band.rule);
        }
    }

    #[test]
    fn a_bound_is_inside_and_a_little_more_is_not() {
        assert!(BRINE_TIME.judge(20.0).inside && BRINE_TIME.judge(35.0).inside);
        assert!(!BRINE_TIME.judge(19.8).inside && !BRINE_TIME.judge(35.3).inside);
        assert!(BED_DEPTH.judge(20.0).inside && HEAD_LOSS.judge(0.0).inside);
        assert!(!BED_DEPTH.judge(0.6).inside && !HEAD_LOSS.judge(104.0).inside);
    }
}
