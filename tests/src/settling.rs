//! Do cycles settle? Beds drawn at random as an engineer would try them, each on the cells it was drawn with.

use std::ops::Range;

use brinefront::cycle::outcome::{Outcome, SearchEnd};

use crate::drawn::{each, ordinary};

/// What the search for a steady cycle of one bed came to.
#[derive(Debug, Clone)]
pub struct Search {
    /// The seed it was drawn with.
    pub seed: u64,
    /// How the search ended; none if it was refused, with the reason in words.
    pub end: Result<SearchEnd, String>,
    /// Cycles run on the grid asked for.
    pub cycles: u64,
    /// Time steps taken in all, on a coarser grid too.
    pub steps: u64,
}

impl Search {
    /// How it ended, as the table has it.
    pub fn ending(&self) -> Ending {
        match self.end {
            Err(_) => Ending::Refused,
            Ok(SearchEnd::Unsettled { period_cycles: Some(_), .. }) => Ending::ComesBack,
            Ok(end) => match end.outcome() {
                Outcome::Settled => Ending::Settled,
                Outcome::NeverSoft | Outcome::CannotRecover => Ending::NotSoft,
                _ => Ending::GivenUp,
            },
        }
    }
}

/// Ways in which a search ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// The cycle repeats itself.
    Settled,
    /// It comes back after several: a true oscillation, with its period.
    ComesBack,
    /// The effluent is above the limit where it is armed.
    NotSoft,
    /// It was given up.
    GivenUp,
    /// An error.
    Refused,
}

/// The searches of a range of seeds.
pub fn searches(seeds: Range<u64>) -> Vec<Search> {
    each(seeds, |seed| {
        let case = ordinary(seed)?;
        Some(match case.cycle() {
            Ok(cycle) => Search {
                seed,
                end: Ok(cycle.figures.search_end),
                cycles: cycle.effort.cycles,
                steps: cycle.effort.steps,
            },
            Err(error) => Search { seed, end: Err(error.to_string()), cycles: 0, steps: 0 },
        })
    })
}
