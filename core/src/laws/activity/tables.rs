//! The parameters of Pitzer's equations, as data.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;

/// The rows of `HarvieMollerWeare1984.toml`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Parameters {
    #[serde(rename = "name")]
    _name: String,
    #[serde(rename = "temperature_c")]
    _temperature_c: f64,
    pub(super) a_phi: f64,
    pub(super) b: f64,
    salt: Vec<Salt>,
    like: Vec<Like>,
}

/// A salt's row.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Salt {
    ions: (Ion, Ion),
    pub(super) beta0: f64,
    pub(super) beta1: f64,
    #[serde(default)]
    pub(super) beta2: f64,
    pub(super) c_phi: f64,
    #[serde(default, rename = "note")]
    _note: String,
}

/// A row of two ions of like sign.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Like {
    ions: (Ion, Ion),
    pub(super) theta: f64,
    psi: BTreeMap<Ion, f64>,
}

impl Like {
    /// psi with an ion of the other sign.
    pub(super) fn psi_with(&self, other: Ion) -> f64 {
        self.psi.get(&other).copied().unwrap_or(0.0)
    }
}

impl Parameters {
    /// The one set known here, read once.
    ///
    /// # Errors
    /// [`Error::Text`] if the embedded file cannot be read.
    pub(super) fn known() -> Result<&'static Self> {
        static READ: OnceLock<Result<Parameters>> = OnceLock::new();
        READ.get_or_init(|| {
            let text = include_str!("../data/HarvieMollerWeare1984.toml");
            toml::from_str(text).map_err(|e| Error::text("HarvieMollerWeare1984.toml", e.to_string(), e))
        })
        .as_ref()
        .map_err(Clone::clone)
    }

    /// The row of a salt, if there is one.
    pub(super) fn salt(&self, cation: Ion, anion: Ion) -> Option<&Salt> {
        self.salt.iter().find(|row| row.ions == (cation, anion))
    }

    /// The row of two ions of like sign, in either order, if there is one.
    pub(super) fn like(&self, one: Ion, other: Ion) -> Option<&Like> {
        self.like.iter().find(|row| row.ions == (one, other) || row.ions == (other, one))
    }

    /// Has the ion any row of its own?
    pub(super) fn knows(&self, ion: Ion) -> bool {
        self.salt.iter().any(|row| row.ions.0 == ion || row.ions.1 == ion)
    }

    /// The ions that have rows.
    pub(super) fn ions(&self) -> impl Iterator<Item = Ion> {
        Ion::all().filter(|ion| self.knows(*ion))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_name_each_salt_and_pair_once() {
        let known = Parameters::known().unwrap();
        for (i, row) in known.salt.iter().enumerate() {
            assert!(row.ions.0.is_cation() && !row.ions.1.is_cation(), "{:?}", row.ions);
            assert!(known.salt[..i].iter().all(|earlier| earlier.ions != row.ions), "{:?}", row.ions);
        }
        for (i, row) in known.like.iter().enumerate() {
            assert_eq!(row.ions.0.is_cation(), row.ions.1.is_cation(), "{:?}", row.ions);
            assert!(row.psi.keys().all(|ion| ion.is_cation() != row.ions.0.is_cation()), "{:?}", row.ions);
            let reversed = (row.ions.1, row.ions.0);
            assert!(known.like[..i].iter().all(|earlier| earlier.ions != row.ions && earlier.ions != reversed));
        }
        let symbols: Vec<_> = known.ions().map(Ion::symbol).collect();
        assert_eq!(symbols, ["Na", "K", "H", "Mg", "Ca", "Cl", "HCO3", "SO4"]);
    }
}
