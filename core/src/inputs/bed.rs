//! The vessel's bed: depth, diameter, volume.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::within;
use crate::units::convert::{kilo, milli};

/// How beads mix while an upward flow lifts a bed that nothing holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "bed.lifted_mixing")]
#[non_exhaustive]
pub enum LiftedMixing {
    /// They keep their places.
    #[default]
    None,
    /// They wander along the lifted part as by diffusion, with `solid_mixing_m2_per_s`.
    Dispersion,
    /// The lifted part is mixed through.
    Full,
}

impl LiftedMixing {
    /// Is it left at none?
    pub fn is_none(&self) -> bool {
        *self == Self::None
    }
}

/// A bed of settled resin: two of depth, diameter and volume.
#[inputs(part = "bed", positional(depth_m, diameter_m))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bed {
    /// Depth of the bed \[m\].
    #[field(words = "depth of the bed", unit = "m", range = 0.01..=20.0, required, computed)]
    #[field(sample = 0.9, needs(diameter_m))]
    pub depth_m: Option<f64>,
    /// Inner diameter of the vessel \[m\].
    #[field(words = "inner diameter of the vessel", unit = "m", range = 0.005..=20.0, required, computed)]
    #[field(sample = 0.4, needs(depth_m))]
    pub diameter_m: Option<f64>,
    /// Volume of resin \[L\], sodium form, backwashed and settled: one bed volume.
    #[field(words = "volume of resin", unit = "L", range = 1e-3..=1e6, required, computed)]
    #[field(sample = 113.0, needs(depth_m))]
    pub volume_l: Option<f64>,
    /// Whether the bed is kept from rising when brine or rinse goes up through it. It is packed full, held by an inert layer
    /// or by a blocking flow; a backwash raises it all the same. Where it is not said, an upflow may lift the bed, and figures
    /// that take it as packed say so first.
    #[field(words = "bed held down against an upflow")]
    #[field(off = "an upflow may lift the bed")]
    #[field(source = "Not said unless given; then free to rise.", standing = "choice, no source", sample = true)]
    pub held_down: Option<bool>,
    /// How beads mix in a step that lifts a bed that is not held down: not at all, by dispersion with
    /// `solid_mixing_m2_per_s`, or the lifted part mixed through.
    #[field(words = "how beads mix in a lifted bed", choices("none", "dispersion", "full"), default = "none", quiet)]
    #[field(off = "they keep their places", source = "No mixing unless given.", standing = "choice, no source")]
    #[field(sample = "dispersion", needs(solid_mixing_m2_per_s, depth_m, diameter_m))]
    pub lifted_mixing: LiftedMixing,
    /// Coefficient with which beads wander in a lifted bed \[m2/s\].
    #[field(words = "coefficient of beads wandering in a lifted bed", unit = "m2/s", range = 1e-12..=1e3, late = "mixing")]
    #[field(off = "none: no default exists, because no source was found")]
    #[field(source = "No source was found for a value.", standing = "choice, no source")]
    #[field(sample = 1e-6, needs(depth_m, diameter_m, lifted_mixing))]
    pub solid_mixing_m2_per_s: Option<f64>,
    /// Liquid between the bed and the top of the vessel \[L\]; ideally stirred, a height times the section. 0 leaves it
    /// out.
    #[field(
        words = "liquid above the bed",
        unit = "L",
        limits = "0 to ten bed volumes",
        default = 0.0,
        quiet,
        in_signature
    )]
    #[field(off = "no stirred space above the bed")]
    #[field(source = "Left out unless given; with it, an ideal mixer.", standing = "choice, no source")]
    #[field(sample = 60.0, needs(depth_m, diameter_m))]
    pub freeboard_l: f64,
    /// Liquid below the bed, around the lower collector and in a support layer \[L\]; ideally stirred. 0 leaves it out.
    #[field(
        words = "liquid below the bed",
        unit = "L",
        limits = "0 to ten bed volumes",
        default = 0.0,
        quiet,
        in_signature
    )]
    #[field(off = "no stirred space below the bed")]
    #[field(source = "Left out unless given; with it, an ideal mixer.", standing = "choice, no source")]
    #[field(sample = 10.0, needs(depth_m, diameter_m))]
    pub under_bed_l: f64,
}

/// Most of a space above or below a bed \[bed volumes\].
const MOST_SPACE_BV: f64 = 10.0;

impl Bed {
    /// Of a depth and an inner diameter of the vessel \[m\], with everything else at its default.
    #[must_use]
    pub fn new(depth_m: f64, diameter_m: f64) -> Self {
        Self { depth_m: Some(depth_m), diameter_m: Some(diameter_m), ..Self::default() }
    }

    /// Is it said to be held down?
    pub fn is_held_down(&self) -> bool {
        self.held_down == Some(true)
    }

    /// Check that exactly two dimensions are given and sensible.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        self.check_ranges()?;
        let given = [self.depth_m, self.diameter_m, self.volume_l].iter().flatten().count();
        if given != 2 {
            return Err(Error::value(
                "bed",
                format!("{given} dimensions"),
                "give two of depth_m, diameter_m and volume_l",
            ));
        }
        within("bed.depth_m", self.depth_m(), 0.01, 20.0, "m")?;
        let most_l = MOST_SPACE_BV * self.volume_l();
        within("bed.freeboard_l", self.freeboard_l, 0.0, most_l, "L, ten bed volumes")?;
        within("bed.under_bed_l", self.under_bed_l, 0.0, most_l, "L, ten bed volumes")?;
        self.check_mixing()?;
        let field = "bed.solid_mixing_m2_per_s";
        match (self.lifted_mixing, self.solid_mixing_m2_per_s) {
            (LiftedMixing::Dispersion, None) => Err(Error::value(
                field,
                "none",
                "bed.lifted_mixing is dispersion: give its coefficient, 1e-12 to 1000 m2/s",
            )),
            (LiftedMixing::None | LiftedMixing::Full, Some(given)) => Err(Error::value(
                field,
                given,
                "belongs to bed.lifted_mixing = dispersion: choose that, or leave this out",
            )),
            _ => Ok(()),
        }
    }

    /// Cross-section \[m2\].
    pub fn area_m2(&self) -> f64 {
        match (self.diameter_m, self.depth_m, self.volume_l) {
            (Some(diameter), ..) => std::f64::consts::PI / 4.0 * diameter * diameter,
            (None, Some(depth), Some(volume)) => milli(volume) / depth,
            _ => f64::NAN,
        }
    }

    /// Inner diameter of the vessel \[m\], of a round one where its area follows from depth and volume.
    pub fn diameter_m(&self) -> f64 {
        self.diameter_m.unwrap_or_else(|| (4.0 / std::f64::consts::PI * self.area_m2()).sqrt())
    }

    /// Depth \[m\].
    pub fn depth_m(&self) -> f64 {
        match (self.depth_m, self.volume_l) {
            (Some(depth), _) => depth,
            (None, Some(volume)) => milli(volume) / self.area_m2(),
            _ => f64::NAN,
        }
    }

    /// Volume of settled resin \[L\]: one bed volume.
    pub fn volume_l(&self) -> f64 {
        self.volume_l.unwrap_or_else(|| kilo(self.area_m2() * self.depth_m()))
    }
}
