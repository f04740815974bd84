//! Constants and exact definitions, each with its unit and source.

/// Standard atomic masses \[g/mol\], abridged to the digits the trade's conversions are quoted with
/// (IUPAC standard atomic weights, CRC Handbook of Chemistry and Physics, sec. 1).
pub mod molar_mass {
    /// Sodium.
    pub const NA: f64 = 22.990;
    /// Potassium.
    pub const K: f64 = 39.098;
    /// Hydrogen.
    pub const H: f64 = 1.008;
    /// Magnesium.
    pub const MG: f64 = 24.305;
    /// Calcium.
    pub const CA: f64 = 40.078;
    /// Strontium.
    pub const SR: f64 = 87.62;
    /// Barium.
    pub const BA: f64 = 137.327;
    /// Iron.
    pub const FE: f64 = 55.845;
    /// Manganese.
    pub const MN: f64 = 54.938;
    /// Chlorine.
    pub const CL: f64 = 35.453;
    /// Carbon.
    pub const C: f64 = 12.011;
    /// Nitrogen.
    pub const N: f64 = 14.007;
    /// Oxygen.
    pub const O: f64 = 15.999;
    /// Sulphur.
    pub const S: f64 = 32.06;
}

/// Molar mass of sodium chloride \[g/mol\]; one equivalent a mole.
pub const MOLAR_MASS_NACL_G_PER_MOL: f64 = molar_mass::NA + molar_mass::CL;
/// Molar mass of water \[g/mol\].
pub const MOLAR_MASS_WATER_G_PER_MOL: f64 = 2.0 * molar_mass::H + molar_mass::O;
/// Molar mass of potassium chloride \[g/mol\]; one equivalent a mole.
pub const MOLAR_MASS_KCL_G_PER_MOL: f64 = molar_mass::K + molar_mass::CL;
/// Mass of one equivalent of calcium carbonate \[g/eq\]: the scale "as CaCO3". 50.043.
pub const CACO3_G_PER_EQ: f64 = (molar_mass::CA + molar_mass::C + 3.0 * molar_mass::O) / 2.0;

/// Molar gas constant \[J/(mol K)\] (SI definition, CODATA 2018).
pub const GAS_J_PER_MOL_K: f64 = 8.314_462_618;
/// Standard acceleration of gravity \[m/s2\] (definition, 3rd CGPM 1901).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;
/// Zero of the Celsius scale \[K\] (definition).
pub const ZERO_CELSIUS_K: f64 = 273.15;
/// Freezing point of water \[F\] (definition).
pub const FREEZING_F: f64 = 32.0;
/// Degrees Fahrenheit in a kelvin (definition).
pub const F_A_KELVIN: f64 = 1.8;

/// One grain \[g\] (international avoirdupois, exact).
pub const GRAIN_G: f64 = 0.064_798_91;
/// One pound \[g\] (exact).
pub const POUND_G: f64 = 453.592_37;
/// One US gallon \[L\] (231 cubic inches, exact).
pub const US_GALLON_L: f64 = 3.785_411_784;
/// One cubic foot \[L\] (exact).
pub const CUBIC_FOOT_L: f64 = 28.316_846_592;
/// One foot \[m\] (exact).
pub const FOOT_M: f64 = 0.3048;
/// Grains in a pound (exact).
pub const GRAINS_PER_POUND: f64 = 7000.0;
/// Mass of one equivalent of lime, CaO \[g/eq\]: German degrees count 10 mg CaO per litre.
pub const CAO_G_PER_EQ: f64 = (molar_mass::CA + molar_mass::O) / 2.0;
/// One grain per US gallon \[mg/L\].
pub const MG_PER_L_IN_A_GRAIN_PER_GALLON: f64 = 1e3 * GRAIN_G / US_GALLON_L;
