//! Whether a search for a steady cycle gets on, and what to try where it does not.
//!
//! Acceleration presumes a smooth map. Where one is rough, as with fronts narrower than a cell, its steps can keep the search
//! from a fixed point that plain repetition would reach; and a cycle that truly comes back only every other time, or every
//! third, shows as one only if it is repeated plainly.

use std::collections::VecDeque;

/// Cycles in which the least change must have halved, ...
const GETS_ON_WITHIN: usize = 10;
/// ... or else so many are repeated plainly, unless that gets on, before acceleration begins anew.
const REPEATED: usize = 12;
/// Longest period that is looked for: three of them fit into what is repeated.
const LONGEST_PERIOD: usize = 4;
/// A cycle has come back that is no further from the one a period before than this share of what changes from cycle to cycle.
const COMES_BACK: f64 = 0.02;

/// What to begin the next cycle from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Next {
    /// What acceleration proposes.
    Accelerated,
    /// What the last cycle left.
    Repeated,
    /// The same, forgetting what acceleration remembers.
    Anew,
}

/// The course of a search.
#[derive(Debug, Clone, Default)]
pub(super) struct Course {
    /// Changes of the loading over each cycle.
    pub changes: Vec<f64>,
    /// The cycle that last halved the least change, with that change.
    mark: Option<(usize, f64)>,
    /// Since which cycle it is repeated plainly, if it is.
    repeated_from: Option<usize>,
    /// What the last repeated cycles left.
    images: VecDeque<Vec<f64>>,
}

impl Course {
    /// Take the change over a cycle and what it left.
    pub fn tell(&mut self, change: f64, image: &[f64]) {
        self.changes.push(change);
        if self.mark.is_none_or(|(_, least)| change < 0.5 * least) {
            self.mark = Some((self.changes.len(), change));
        }
        if self.repeated_from.is_some() {
            self.images.push_back(image.to_vec());
            if self.images.len() > 3 * LONGEST_PERIOD {
                self.images.pop_front();
            }
        }
    }

    /// Has the change long stopped falling?
    pub fn stands_still(&self) -> bool {
        let since = self.mark.map_or(0, |(cycle, _)| cycle).max(self.repeated_from.unwrap_or(0));
        self.changes.len() >= since + if self.repeated_from.is_some() { REPEATED } else { GETS_ON_WITHIN }
    }

    /// What to begin the next cycle from.
    pub fn next(&mut self) -> Next {
        match (self.stands_still(), self.repeated_from) {
            (false, None) => Next::Accelerated,
            (false, Some(_)) => Next::Repeated,
            (true, None) => {
                self.repeated_from = Some(self.changes.len());
                Next::Repeated
            }
            (true, Some(_)) => {
                self.repeated_from = None;
                self.images.clear();
                self.mark = Some((self.changes.len(), self.changes.last().copied().unwrap_or(1.0)));
                Next::Anew
            }
        }
    }

    /// After how many cycles the bed comes back, if it does and not after one: seen three times in a row.
    pub fn period(&self) -> Option<usize> {
        let images: Vec<&Vec<f64>> = self.images.iter().collect();
        let apart =
            |a: usize, b: usize| images[a].iter().zip(images[b]).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
        (2..=LONGEST_PERIOD).find(|period| {
            let Some(first) = images.len().checked_sub(3 * period) else { return false };
            let moves = (first + 1..images.len()).map(|k| apart(k, k - 1)).fold(0.0, f64::max);
            (first + period..images.len()).all(|k| apart(k, k - period) < COMES_BACK * moves)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A course through changes and images, with what it says to do next after each.
    fn told(cycles: impl Iterator<Item = (f64, f64)>) -> (Course, Vec<Next>) {
        let mut course = Course::default();
        let nexts = cycles
            .map(|(change, image)| {
                course.tell(change, &[image, 1.0]);
                course.next()
            })
            .collect();
        (course, nexts)
    }

    #[test]
    fn what_falls_is_accelerated() {
        let (course, nexts) = told((0..30).map(|k| (0.9_f64.powi(k), 0.0)));
        assert!(nexts.iter().all(|next| *next == Next::Accelerated) && course.period().is_none());
    }

    #[test]
    fn what_stands_still_is_repeated_and_then_begun_anew() {
        let (course, nexts) = told((0..60).map(|k| (1e-4, (f64::from(k) * 2.4).sin())));
        let count = |wanted: Next| nexts.iter().filter(|next| **next == wanted).count();
        assert_eq!(nexts[..GETS_ON_WITHIN - 1], [Next::Accelerated; GETS_ON_WITHIN - 1][..]);
        assert_eq!(nexts[GETS_ON_WITHIN..GETS_ON_WITHIN + REPEATED], [Next::Repeated; REPEATED][..]);
        assert!(count(Next::Anew) >= 2 && count(Next::Accelerated) > 15);
        assert_eq!(course.period(), None);
    }

    #[test]
    fn repetition_that_gets_on_goes_on() {
        let change = |k: i32| if k < 15 { 1e-3 } else { 1e-3 * 0.9_f64.powi(k - 15) };
        let (_, nexts) = told((0..80).map(|k| (change(k), 0.0)));
        assert!(nexts[20..].iter().all(|next| *next == Next::Repeated));
    }

    #[test]
    fn a_cycle_that_comes_back_every_third_time_has_that_period() {
        for period in 2..=LONGEST_PERIOD {
            let mut course = Course::default();
            for k in 0..GETS_ON_WITHIN + REPEATED {
                course.tell(0.3, &[(k % period) as f64 + 1e-3 * (-0.1 * k as f64).exp()]);
                course.next();
            }
            course.tell(0.3, &[((GETS_ON_WITHIN + REPEATED) % period) as f64]);
            assert!(course.stands_still());
            assert_eq!(course.period(), Some(period));
        }
    }
}
