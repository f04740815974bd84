//! A regeneration.

use brinefront::inputs::{recipe, regeneration};

use super::Recipe;

brinefront::fields_of_regeneration! {
    brinefront_derive::python_class;
    /// A regeneration: direction of the brine, salt, brine and rinses.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or strength and normality given together.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> regeneration = bf.Regeneration("counter-current", 96.0, strength_percent=10.0)
    /// >>> regeneration.mirrored().direction
    /// 'co-current'
    class Regeneration("regeneration") of regeneration::Regeneration by validate_alone {
        /// Mass of one equivalent of the salt [g/eq].
        #[getter]
        fn salt_g_per_eq(&self) -> f64 {
            self.0.salt.g_per_eq()
        }

        /// The other direction, all else equal.
        ///
        /// Returns
        /// -------
        /// Regeneration
        ///     Co-current with a backwash that turns the bed over, counter-current without.
        fn mirrored(&self) -> Self {
            Self(self.0.mirrored())
        }

        /// The recipe that this regeneration stands for; its steps leave open what the regeneration has.
        ///
        /// Returns
        /// -------
        /// Recipe
        ///     A backwash where it has one, brine, slow rinse, fast rinse.
        fn recipe(&self) -> Recipe {
            Recipe(recipe::Recipe::of(&self.0))
        }
    }
}
