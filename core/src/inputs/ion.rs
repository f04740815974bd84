//! Ions as data: one row each. Another ion is another row.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::error::{Error, Result};
use crate::units::constants::molar_mass as m;

/// One row of the table of ions.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct IonData {
    /// Symbol without its charge: `Ca`.
    pub symbol: &'static str,
    /// English name.
    pub name: &'static str,
    /// Charge number, with its sign.
    pub charge: i32,
    /// Molar mass \[g/mol\].
    pub molar_mass_g_per_mol: f64,
    /// Diffusivity in water at infinite dilution and 25 C \[m2/s\].
    pub diffusivity_m2_per_s: f64,
}

/// An ion: a place in the table of ions, ordered cations by charge and then anions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ion(u8);

const fn row(
    symbol: &'static str,
    name: &'static str,
    charge: i32,
    molar_mass_g_per_mol: f64,
    diffusivity: f64,
) -> IonData {
    IonData { symbol, name, charge, molar_mass_g_per_mol, diffusivity_m2_per_s: diffusivity * 1e-9 }
}

/// Diffusivities by Nernst's relation D = R T lambda / (|z| F^2) from the limiting equivalent conductivities of the
/// CRC Handbook of Chemistry and Physics at 25 C (Na 50.08, K 73.48, Mg 53.0, Ca 59.47 S cm2/eq, ...).
static IONS: [IonData; 14] = [
    row("Na", "sodium", 1, m::NA, 1.334),
    row("K", "potassium", 1, m::K, 1.957),
    row("NH4", "ammonium", 1, m::N + 4.0 * m::H, 1.957),
    row("H", "hydrogen", 1, m::H, 9.311),
    row("Mg", "magnesium", 2, m::MG, 0.7057),
    row("Ca", "calcium", 2, m::CA, 0.7918),
    row("Sr", "strontium", 2, m::SR, 0.7909),
    row("Ba", "barium", 2, m::BA, 0.8468),
    row("Fe", "iron(II)", 2, m::FE, 0.7190),
    row("Mn", "manganese(II)", 2, m::MN, 0.7123),
    row("Cl", "chloride", -1, m::CL, 2.032),
    row("HCO3", "hydrogen carbonate", -1, m::H + m::C + 3.0 * m::O, 1.185),
    row("SO4", "sulfate", -2, m::S + 4.0 * m::O, 1.065),
    row("NO3", "nitrate", -1, m::N + 3.0 * m::O, 1.902),
];

impl Ion {
    /// Sodium, the reference ion of every selectivity coefficient.
    pub const NA: Self = Self(0);
    /// Potassium.
    pub const K: Self = Self(1);
    /// Magnesium.
    pub const MG: Self = Self(4);
    /// Calcium.
    pub const CA: Self = Self(5);
    /// Iron(II).
    pub const FE: Self = Self(8);
    /// Manganese(II).
    pub const MN: Self = Self(9);
    /// Chloride.
    pub const CL: Self = Self(10);
    /// Hydrogen carbonate.
    pub const HCO3: Self = Self(11);
    /// Sulfate.
    pub const SO4: Self = Self(12);

    /// Every ion of the table.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..IONS.len() as u8).map(Self)
    }

    /// Find an ion by its symbol (`Ca`); `field` is named in the error.
    ///
    /// # Errors
    /// [`Error::Value`] naming `field` and the known symbols.
    pub fn parse(field: &str, symbol: &str) -> Result<Self> {
        Self::all().find(|ion| ion.symbol() == symbol).ok_or_else(|| {
            let known: Vec<_> = Self::all().map(Self::symbol).collect();
            Error::value(field, symbol, format!("not an ion known here; known: {}", known.join(", ")))
        })
    }

    /// The ion's row.
    pub fn data(self) -> &'static IonData {
        &IONS[self.0 as usize]
    }

    /// Symbol without its charge.
    pub fn symbol(self) -> &'static str {
        self.data().symbol
    }

    /// Size of the charge: 1 or 2.
    pub fn valence(self) -> u32 {
        self.data().charge.unsigned_abs()
    }

    /// Is it a cation, which the resin exchanges?
    pub fn is_cation(self) -> bool {
        self.data().charge > 0
    }

    /// Is it a divalent cation?
    pub fn is_divalent_cation(self) -> bool {
        self.data().charge == 2
    }

    /// Mass of one equivalent \[g/eq\].
    pub fn g_per_eq(self) -> f64 {
        self.data().molar_mass_g_per_mol / f64::from(self.valence())
    }
}

/// Its symbol.
impl fmt::Display for Ion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.symbol())
    }
}

/// By its symbol; the error has the symbols there are.
impl FromStr for Ion {
    type Err = Error;

    fn from_str(symbol: &str) -> Result<Self> {
        Self::parse("ion", symbol)
    }
}

impl Serialize for Ion {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        serializer.serialize_str(self.symbol())
    }
}

impl<'de> Deserialize<'de> for Ion {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        let symbol = String::deserialize(deserializer)?;
        symbol.parse().map_err(serde::de::Error::custom)
    }
}
