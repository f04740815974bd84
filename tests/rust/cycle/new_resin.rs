//! A first run on new resin: no regeneration came before it, and nothing is charged for one.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::{Direction, Note, Site};
use brinefront_tests::cases::tiny;

#[test]
fn the_first_run_on_new_resin_is_charged_no_regeneration() {
    let mut case = tiny(Direction::CoCurrent, 96.0);
    case.site = Some(Site::new("a laundry".into(), 10.0));
    let cycles = case.cycles(2).unwrap();
    let [first, second] = [0, 1].map(|k: usize| &cycles[k]);
    assert_eq!((first.figures.dose_g_per_l, first.figures.salt_kg, first.figures.waste_volume_bv), (0.0, 0.0, 0.0));
    assert_eq!((first.figures.salt_kg_per_m3, first.figures.salt_kg_per_week), (Some(0.0), None));
    assert!(first.figures.salt_efficiency_gr_per_lb.is_infinite());
    assert!(first.notes.contains(&Note::NoRegenerationBefore) && !second.notes.contains(&Note::NoRegenerationBefore));
    assert_eq!(second.figures.dose_g_per_l, 96.0);
    assert!(second.figures.salt_kg_per_week.unwrap() > 0.0);
}
