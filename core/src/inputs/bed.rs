//! The vessel's bed: depth, diameter, volume.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};
use crate::units::convert::{kilo, milli};

/// How beads mix while an upward flow lifts a bed that nothing holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
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
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bed {
    /// Depth of the bed \[m\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<f64>,
    /// Inner diameter of the vessel \[m\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter_m: Option<f64>,
    /// Volume of resin, sodium form, backwashed and settled \[L\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// Is the bed kept from rising when brine or rinse goes up through it: packed full, held by an inert layer or by a
    /// blocking flow? A backwash rises all the same.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub held_down: bool,
    /// How beads mix in a step that lifts the bed; nothing mixes in a bed that is held down.
    #[serde(default, skip_serializing_if = "LiftedMixing::is_none")]
    pub lifted_mixing: LiftedMixing,
    /// Coefficient with which beads wander in a lifted bed \[m2/s\]; has no default, for no source was found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub solid_mixing_m2_per_s: Option<f64>,
    /// Liquid between the bed and the top of the vessel \[L\], ideally stirred; 0 leaves it out. It is its height times the
    /// section, or its bed volumes times `volume_l`.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub freeboard_l: f64,
    /// Liquid below the bed, around the lower collector and in a support layer \[L\], likewise.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub under_bed_l: f64,
}

/// Most of a space above or below a bed \[bed volumes\].
const MOST_SPACE_BV: f64 = 10.0;

fn is_zero(value: &f64) -> bool {
    *value == 0.0
}

impl Bed {
    /// Check that exactly two dimensions are given and sensible.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        within_if("bed.depth_m", self.depth_m, 0.01, 20.0, "m")?;
        within_if("bed.diameter_m", self.diameter_m, 0.005, 20.0, "m")?;
        within_if("bed.volume_l", self.volume_l, 1e-3, 1e6, "L")?;
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
        let field = "bed.solid_mixing_m2_per_s";
        within_if(field, self.solid_mixing_m2_per_s, 1e-12, 1e3, "m2/s")?;
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
