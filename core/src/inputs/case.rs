//! A case: everything one simulation needs. The files it is kept in are read in `case_file`.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result, figure};
use crate::inputs::activity::ActivityLaw;
use crate::inputs::bed::Bed;
use crate::inputs::cells::{Cells, Shells};
use crate::inputs::check::check_name;
use crate::inputs::display::Display;
use crate::inputs::ion::Ion;
use crate::inputs::maldistribution::Maldistribution;
use crate::inputs::number_or_word::NumberOrWord;
use crate::inputs::rates::Rates;
use crate::inputs::recipe::Recipe;
use crate::inputs::regeneration::Regeneration;
use crate::inputs::resin::Resin;
use crate::inputs::service::Service;
use crate::inputs::site::Site;
use crate::inputs::water::Water;
use crate::units::convert::eq_per_l_to_mg_per_l;

/// Version of the case file that this crate writes, and the only one it reads.
pub const SCHEMA: u32 = 1;

/// How exchange is limited.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "kinetics")]
#[non_exhaustive]
pub enum Kinetics {
    /// Beads in equilibrium with the liquid around them.
    Equilibrium,
    /// Film and bead as two resistances in series.
    #[default]
    Lumped,
    /// A core and a layer in each bead, between which every ion moves at its own diffusivity in the field that all of them
    /// make.
    Interdiffusion,
    /// Shells inside each bead, between which every ion moves at its own diffusivity in the field that all of them make.
    Radial,
}

/// A water, a resin, a bed, a service and a regeneration.
#[inputs(part = "", positional(water, resin, bed, service, regeneration))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// Version of the file.
    #[field(fixed = SCHEMA)]
    pub schema: u32,
    /// What the case is called.
    #[field(words = "name of the case", off = "no name", source = "Given or not; it enters no computation.")]
    #[field(standing = "choice, no source", sample = "a laundry")]
    pub name: Option<String>,
    /// Cells along the bed, or "auto", as it is unless given: 72 cells and more (50 for a single run), to at most 800, until the
    /// numerical error is likely to be within `accuracy`.
    #[field(words = "cells along the bed", default = Cells::Auto, limits = "4 to 20000", sample = 40)]
    #[field(source = "As many as the accuracy asks for.", standing = "choice, no source")]
    #[field(python_type = "int, \"auto\" or Quantity, optional")]
    pub cells: Cells,
    /// Numerical error aimed at in leakages where cells are found automatically, as a share of them; run length and capacity
    /// are held to a tenth of it. A grid will do if half of its difference from one with half the cells is within: so are the
    /// true errors of nine beds in ten (measured on this model). What is stated beside a figure nearly all keep, and is larger.
    #[field(words = "numerical error aimed at in leakages", unit = "of them", in_errors = "", range = 1e-4..=0.5)]
    #[field(default = 0.01, acts = "where cells are found automatically", sample = 0.02)]
    #[field(source = "A leakage is titrated to a few per cent at best.", standing = "common practice, no source")]
    pub accuracy: f64,
    /// How exchange is limited: beads in equilibrium with the liquid around them, film and bead as two resistances in
    /// series; or every ion at its own diffusivity by Nernst-Planck, between a core and a layer of each bead or in beads cut
    /// into `shells`.
    #[field(words = "how exchange is limited", default = "lumped")]
    #[field(source = "The level of detail that is taken where none is given.", standing = "choice, no source")]
    #[field(choices(
        "equilibrium"("Beads in equilibrium with the liquid around them: an idealisation.", "choice, no source"),
        "lumped"(
            "Film and bead in series: W. K. Lewis, W. G. Whitman (1924); linear driving force in the bead: E. Glueckauf \
             (1955), Trans. Faraday Soc. 51, 1540.",
            "from memory"
        ),
        "interdiffusion"(
            "Nernst-Planck fluxes between a core and a layer that answer slow changes as a sphere does: by expansion of its \
             answer (J. Crank 1975, The Mathematics of Diffusion, sec. 6.3).",
            "published"
        ),
        "radial"(
            "Nernst-Planck fluxes between shells: F. Helfferich, M. S. Plesset (1958), J. Chem. Phys. 28, 418.",
            "from memory"
        )
    ))]
    pub kinetics: Kinetics,
    /// Shells in a bead where kinetics are radial: "fitted" unless given, a ladder of ten that follows a sphere's uptake, or
    /// the number of an ordinary grid, whose error falls with its square.
    #[field(words = "shells in a bead", acts = "where kinetics are radial", limits = "2 to 100", default = Shells::Fitted)]
    #[field(quiet, sample = 12)]
    #[field(python_type = "int, \"fitted\" or Quantity, optional")]
    #[field(
        source = "A ladder fitted to the sphere's answer (J. Crank 1975, The Mathematics of Diffusion, sec. 6.3), within \
                  0.003 % of a sphere's uptake where ions have one diffusivity, up to 0.6 % of the capacity where one is ten \
                  times as fast; the idea by V. Druskin, L. Knizhnerman (2000), SIAM J. Numer. Anal. 37, 403, from memory.",
        standing = "published"
    )]
    pub shells: Shells,
    /// Activity coefficients of each cell's own liquid: 1, by Davies to an ionic strength of 0.5 mol/kg, or by Pitzer, also
    /// in brine.
    #[field(words = "activity coefficients of the liquid", default = "ideal", quiet)]
    #[field(
        source = "Every coefficient 1; the default resin was fitted to practice with an ideal liquid.",
        standing = "choice, no source"
    )]
    #[field(choices(
        "ideal",
        "davies"("C. W. Davies (1962), Ion Association, to an ionic strength of 0.5 mol/kg.", "from memory"),
        "pitzer"(
            "Pitzer's equations with the parameters of C. E. Harvie, N. Moller, J. H. Weare (1984), Geochim. Cosmochim. Acta \
             48, 723, at 25 C.",
            "published"
        )
    ))]
    pub activity: ActivityLaw,
    /// Error allowed in one time step, relative to the bed's capacity and to the larger normality in the bed.
    #[field(words = "error allowed in one time step", unit = "of capacity", in_errors = "", range = 1e-7..=0.1, late = "steps")]
    #[field(
        default = 3e-4,
        source = "What time steps add on 100 cells: half of 28 beds have run length and capacity within 0.003 %, half-run \
                  leakages within 0.03 % and mean ones within 0.03 %, nine in ten within 0.01, 0.3 and 1.3 % (measured on \
                  this model).",
        standing = "choice, no source"
    )]
    #[field(sample = 1e-3)]
    pub tolerance: f64,
    /// Cycles after which the search for one that repeats itself is given up.
    #[field(words = "cycles in search of a steady one", range = 2..=10_000, default = 60, quiet, sample = 100)]
    #[field(
        source = "Most beds settle in 4 to 10 (measured on this model); what has not in 60 oscillates, or wants a smaller \
                  tolerance.",
        standing = "choice, no source"
    )]
    pub most_cycles: usize,
    /// The divalent cations that count as hardness.
    #[field(words = "ions that count as hardness", default = vec![Ion::MG, Ion::CA])]
    #[field(source = "Hardness is calcium and magnesium.", standing = "definition")]
    #[field(python_type = "sequence of str, optional")]
    pub hardness_ions: Vec<Ion>,
    /// The feed.
    #[field(part)]
    pub water: Water,
    /// The resin.
    #[field(part, default = Resin::default())]
    pub resin: Resin,
    /// The bed.
    #[field(part)]
    pub bed: Bed,
    /// How unevenly water goes through the bed; evenly without.
    #[field(part)]
    pub maldistribution: Option<Maldistribution>,
    /// Rates that replace a correlation; all are correlated by default.
    #[field(part, default = Rates::default())]
    pub rates: Rates,
    /// The service run.
    #[field(part)]
    pub service: Service,
    /// The regeneration.
    #[field(part)]
    pub regeneration: Regeneration,
    /// The steps between two service runs.
    #[field(part, words = "steps between two service runs")]
    #[field(off = "the regeneration's own: backwash where it has one, brine, slow rinse, fast rinse")]
    #[field(source = "The usual order.", standing = "common practice, no source")]
    pub recipe: Option<Recipe>,
    /// Where the softener stands; without it there are no figures per week.
    #[field(part)]
    pub site: Option<Site>,
    /// How figures are shown to a reader; in metric and in trade units without.
    #[field(part)]
    pub display: Option<Display>,
}

impl Case {
    /// Check every part.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        if self.schema != SCHEMA {
            return Err(Error::value("schema", self.schema, format!("this version reads schema {SCHEMA}")));
        }
        self.name.as_ref().map_or(Ok(()), |name| check_name("name", name))?;
        self.cells.validate()?;
        self.shells.validate()?;
        self.check_ranges()?;
        if self.kinetics != Kinetics::Radial && !self.resin.bead_sizes.is_empty() {
            let sizes = format!("{} sizes", self.resin.bead_sizes.len());
            return Err(Error::value("resin.bead_sizes", sizes, "want kinetics = radial: a lumped bead has one rate"));
        }
        self.check_steps()?;
        if self.hardness_ions.is_empty() {
            return Err(Error::value("hardness_ions", "none", "name at least one divalent cation"));
        }
        if let Some(ion) = self.hardness_ions.iter().find(|ion| !ion.is_divalent_cation()) {
            return Err(Error::value("hardness_ions", ion, "hardness is made of divalent cations"));
        }
        let again = |(place, ion): &(usize, &Ion)| self.hardness_ions[..*place].contains(ion);
        if let Some((_, ion)) = self.hardness_ions.iter().enumerate().find(again) {
            return Err(Error::value("hardness_ions", ion, "is named twice: name each ion once"));
        }
        self.water.validate()?;
        self.resin.validate()?;
        self.bed.validate()?;
        self.maldistribution.as_ref().map_or(Ok(()), Maldistribution::validate)?;
        self.rates.validate()?;
        self.service.validate()?;
        self.regeneration.validate(self.water.temperature_c)?;
        if let Some(recipe) = &self.recipe {
            let chloride = self.water.composition()?.of(Ion::CL);
            recipe.validate_for(&self.regeneration, eq_per_l_to_mg_per_l(chloride, Ion::CL.g_per_eq()))?;
        }
        self.site.as_ref().map_or(Ok(()), Site::validate)?;
        for ion in self.cations()? {
            self.resin.knows(ion)?;
            self.resin.knows_diffusivity_of(ion)?;
        }
        Ok(())
    }

    /// Check what a softening cycle needs beyond [`Case::validate`]: a feed with hardness, above the limit.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate_cycle(&self) -> Result<()> {
        self.validate()?;
        let hardness = self.water.hardness_mg_per_l_caco3(&self.hardness_ions)?;
        if hardness <= 0.0 {
            return Err(Error::value(
                "water.ions",
                "hardness 0",
                "the feed holds none of the hardness ions: nothing to soften",
            ));
        }
        let soft = self.regeneration.soft_water_leakage_mg_per_l_caco3;
        if soft >= hardness {
            return Err(Error::value(
                "regeneration.soft_water_leakage_mg_per_l_caco3",
                figure(soft, &[hardness]),
                format!("must be below the feed's hardness, {hardness:.1} mg/L as CaCO3: that water is not soft"),
            ));
        }
        match self.service.limit_mg_per_l_caco3 {
            Some(limit) if limit >= hardness => Err(Error::value(
                "service.limit_mg_per_l_caco3",
                figure(limit, &[hardness]),
                format!("must be below the feed's hardness, {hardness:.1} mg/L as CaCO3: the run would never end"),
            )),
            _ => Ok(()),
        }
    }

    /// The cations that can occur in the bed: the feed's, the salt's and its impurities', in the table's order.
    ///
    /// # Errors
    /// [`Error::Value`] if the water is not valid.
    pub fn cations(&self) -> Result<Vec<Ion>> {
        let mut found: Vec<Ion> =
            self.water.composition()?.eq_per_l.keys().copied().filter(|ion| ion.is_cation()).collect();
        found.push(self.regeneration.salt.cation());
        found.extend(self.regeneration.impurities_eq_per_g().map(|(ion, _)| ion));
        found.push(Ion::NA);
        found.sort_unstable();
        found.dedup();
        Ok(found)
    }

    /// The mirror of this case: the other direction, all else equal. See [`Regeneration::mirrored`] and
    /// [`Recipe::mirrored`].
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let regeneration = self.regeneration.mirrored();
        let recipe = self.recipe.as_ref().map(|recipe| recipe.mirrored(regeneration.direction));
        Self { regeneration, recipe, ..self.clone() }
    }
}
