//! Why what a run delivers is no soft water, in the words of its note and of the answer.

use crate::report::CycleReport;
use crate::report::note::Note;
use crate::report::wording::numbers::short;

/// What leaks, and what that is more than.
pub(super) fn leaks_more(mean_mg_per_l_caco3: f64, most_mg_per_l_caco3: f64, accepted_by_site: bool) -> String {
    let (mean, most) = (short(mean_mg_per_l_caco3), short(most_mg_per_l_caco3));
    if accepted_by_site {
        format!("{mean} mg/L as CaCO3 in the mean, more than the {most} that the site accepts")
    } else {
        format!("{mean} mg/L as CaCO3 in the mean, more than half of the feed's hardness ({most})")
    }
}

/// The note's line.
pub(super) fn line(mean_mg_per_l_caco3: f64, most_mg_per_l_caco3: f64, accepted_by_site: bool) -> String {
    let more = leaks_more(mean_mg_per_l_caco3, most_mg_per_l_caco3, accepted_by_site);
    format!(
        "service: what it delivers is no soft water, it leaks {more}; no leakage limit is set to end the run, and no figure counts it as soft"
    )
}

/// The same of a strategy, as a sentence of the answer.
pub(super) fn sentence(cycle: &CycleReport, name: &str) -> Option<String> {
    cycle.notes.iter().find_map(|note| match *note {
        Note::NotSoft { leakage_mean_mg_per_l_caco3: mean, most_mg_per_l_caco3: most, accepted_by_site } => {
            Some(format!("{name} delivers no soft water: it leaks {}.", leaks_more(mean, most, accepted_by_site)))
        }
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_soft_says_what_it_is_held_against() {
        let begins = "250 mg/L as CaCO3 in the mean, more than";
        assert_eq!(leaks_more(250.0, 149.0, false), format!("{begins} half of the feed's hardness (149)"));
        assert_eq!(leaks_more(250.0, 5.0, true), format!("{begins} the 5.00 that the site accepts"));
        assert!(line(250.0, 5.0, true).contains(&leaks_more(250.0, 5.0, true)));
    }
}
