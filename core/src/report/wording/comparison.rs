//! What a comparison found, in a sentence.

use crate::inputs::case::Case;
use crate::inputs::display::DisplayUnits;
use crate::inputs::regeneration::BrineWater;
use crate::plan::steps::StopReason;
use crate::report::CycleReport;
use crate::report::comparison::{
    At, Comparison, DOSES_G_PER_L, FREE_RUN_DOSE_G_PER_L, LeakageBound, LeakageMeasure, LeakageTarget,
};
use crate::report::figures::{Figures, LEAST_LEAKAGE_MG_PER_L_CACO3};
use crate::report::site_target::Target;
use crate::report::wording::amounts::{In, InWords};
use crate::report::wording::not_soft;
use crate::report::wording::numbers::{fixed, short, short_at_most};
use crate::units::convert::milli;

impl Comparison {
    /// The answer in a few sentences, in metric units.
    pub fn sentence(&self) -> String {
        self.in_words(DisplayUnits::Metric)
    }

    /// The same in the units of the trade in the United States.
    pub fn sentence_us(&self) -> String {
        self.in_words(DisplayUnits::Us)
    }
}

impl InWords for Comparison {
    fn in_words(&self, units: DisplayUnits) -> String {
        sentence(self, In::of(units))
    }
}

/// Salt for the water of a run that is left for use \[kg/m3\]; it need not be soft where more leakage was asked for than
/// soft water has. Not a number if none is left.
fn salt_for_water(cycle: &CycleReport) -> f64 {
    let figures = &cycle.figures;
    let left_l = figures.run_length_l - figures.soft_water_used_bv * cycle.case.bed.volume_l();
    let of_any = if left_l > 0.0 { figures.salt_kg / milli(left_l) } else { f64::NAN };
    figures.salt_kg_per_m3.unwrap_or(of_any)
}

/// Feeds that differ by more than this share are unlike.
const UNLIKE: f64 = 0.01;

/// A numerical error above this share of a figure stands beside it.
const SHOWN_ERROR: f64 = 0.02;

/// A leakage with its numerical error where that counts; what no field test shows is not given digits.
fn leakage(value: f64, error_fraction: Option<f64>) -> String {
    if value < LEAST_LEAKAGE_MG_PER_L_CACO3 {
        return format!("less than {LEAST_LEAKAGE_MG_PER_L_CACO3}");
    }
    with_error(value, error_fraction)
}

fn with_error(value: f64, error_fraction: Option<f64>) -> String {
    match error_fraction.filter(|share| *share > SHOWN_ERROR) {
        Some(share) => format!("{} +- {}", short(value), rounded(share * value.abs())),
        None => short(value),
    }
}

/// One figure that counts, two below 20 of its last place: enough for an error.
fn rounded(error: f64) -> String {
    if error <= 0.0 || !error.is_finite() {
        return format!("{error}");
    }
    let place = error.log10().floor();
    let digits = if error / 10f64.powf(place) < 2.0 { 1.0 - place } else { -place };
    format!("{:.*}", digits.max(0.0) as usize, error)
}

/// The run of a cycle.
fn run_in_words(cycle: &CycleReport, units: In) -> String {
    let figures = &cycle.figures;
    units.bed_volumes(&with_error(figures.run_length_bv, figures.run_length_error_fraction), figures.run_length_l)
}

/// The mean and the half run of a cycle: what a tank gets, and what an instrument shows in the middle of the run.
fn leaks(figures: &Figures) -> (String, String) {
    (
        leakage(figures.leakage_mean_mg_per_l_caco3, figures.leakage_mean_error_fraction),
        leakage(figures.leakage_half_run_mg_per_l_caco3, figures.leakage_half_run_error_fraction),
    )
}

/// What a leakage too low for a field test rests on, where any of the cycles leaks so little.
fn assumptions(cycles: &[&CycleReport]) -> Option<String> {
    let low: Vec<_> = cycles
        .iter()
        .filter(|cycle| cycle.figures.leakage_half_run_mg_per_l_caco3 < LEAST_LEAKAGE_MG_PER_L_CACO3)
        .collect();
    let assumed = |is: fn(&Case) -> bool| low.iter().any(|cycle| is(&cycle.case));
    let all = [
        ("even flow", assumed(|case| case.maldistribution.is_none())),
        ("clean salt", assumed(|case| case.regeneration.impurities_eq_per_g().next().is_none())),
        ("a soft rinse", assumed(|case| case.regeneration.rinse_water() == BrineWater::Soft)),
    ];
    let names: Vec<_> = all.iter().filter(|(_, is)| *is).map(|(name, _)| *name).collect();
    if low.is_empty() {
        return None;
    }
    let below = format!("Less than {LEAST_LEAKAGE_MG_PER_L_CACO3} mg/L is below what a field test shows");
    Some(if names.is_empty() { format!("{below}.") } else { format!("{below}, and assumes {}.", listed(&names)) })
}

/// What is made of hard water, each with the strategies that it is made for; a recipe has waters of its own.
fn of_hard_water(cycles: &[CycleReport], names: &[String]) -> Vec<String> {
    let hard = |case: &Case| {
        let waters = (case.regeneration.brine_water, case.regeneration.rinse_water());
        match waters {
            _ if case.recipe.is_some() => None,
            (BrineWater::Feed, BrineWater::Feed) => Some(("Brine and slow rinse of", "are hard water")),
            (BrineWater::Feed, BrineWater::Soft) => Some(("The brine of", "is made with hard water")),
            (BrineWater::Soft, BrineWater::Feed) => Some(("The slow rinse of", "is hard water")),
            (BrineWater::Soft, BrineWater::Soft) => None,
        }
    };
    by_clause(cycles, names, |cycle| hard(&cycle.case))
        .iter()
        .map(|((what, is), of)| format!("{what} {} {is}.", listed(of)))
        .collect()
}

/// Feeds that differ in hardness: figures side by side are then of two waters.
fn unlike_feeds(cycles: &[CycleReport], units: In) -> Option<String> {
    let hardness: Vec<f64> = cycles.iter().map(|cycle| cycle.figures.feed_hardness_mg_per_l_caco3).collect();
    let unlike = |a: f64| (a / hardness[0] - 1.0).abs() > UNLIKE;
    if !hardness.iter().any(|a| unlike(*a)) {
        return None;
    }
    let each: Vec<String> = hardness.iter().map(|a| units.hardness(*a)).collect();
    let each: Vec<&str> = each.iter().map(String::as_str).collect();
    Some(format!("Their feeds differ: {} {}.", listed(&each), units.hardness_unit()))
}

/// Clauses in the order in which they come up, each with the strategies that it is about.
fn by_clause<'n, C: PartialEq>(
    cycles: &[CycleReport],
    names: &'n [String],
    said: impl Fn(&CycleReport) -> Option<C>,
) -> Vec<(C, Vec<&'n str>)> {
    let mut clauses: Vec<(C, Vec<&str>)> = Vec::new();
    for (cycle, name) in cycles.iter().zip(names) {
        let Some(clause) = said(cycle) else { continue };
        match clauses.iter_mut().find(|(each, _)| *each == clause) {
            Some((_, of)) => of.push(name),
            None => clauses.push((clause, vec![name])),
        }
    }
    clauses
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_string(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A name for each strategy: its direction where that tells them apart, else with its dose, and its salt if that differs.
fn names(cycles: &[CycleReport], units: In) -> Vec<String> {
    let direction = |cycle: &CycleReport| cycle.figures.direction.name();
    let distinct = cycles.iter().enumerate().all(|(k, a)| cycles[..k].iter().all(|b| direction(a) != direction(b)));
    let salt_of = |cycle: &CycleReport| cycle.case.regeneration.salt;
    let one_salt = cycles.windows(2).all(|pair| salt_of(&pair[0]) == salt_of(&pair[1]));
    let dose = |cycle: &CycleReport| {
        let dose = units.short_dose(cycle.figures.dose_g_per_l);
        if one_salt { dose } else { format!("{dose} of {}", salt_of(cycle).name()) }
    };
    let named: Vec<String> = cycles
        .iter()
        .enumerate()
        .map(|(k, cycle)| match (&cycle.case.name, distinct && one_salt) {
            (_, true) => direction(cycle).to_string(),
            (Some(name), _) => {
                format!("{name} ({}, {})", direction(cycle), dose(cycle))
            }
            (None, _) => {
                format!("case {} ({}, {})", k + 1, direction(cycle), dose(cycle))
            }
        })
        .collect();
    let twice = |name: &String| named.iter().filter(|each| *each == name).count() > 1;
    let numbered = named.iter().enumerate();
    numbered.map(|(k, name)| if twice(name) { format!("case {}, {name}", k + 1) } else { name.clone() }).collect()
}

/// The answer, in one to three sentences. Direction shows in the half-run leakage: a mean taken to a breakthrough limit
/// measures the tail of the run, but it is what a tank gets.
fn sentence(found: &Comparison, units: In) -> String {
    let names = names(&found.cycles, units);
    let mut said: Vec<String> = Vec::new();
    let mut sound: Vec<(usize, &CycleReport)> = Vec::new();
    for (place, cycle) in found.cycles.iter().enumerate() {
        match above_limit(cycle, &names[place], units) {
            Some(words) => said.push(words),
            None => sound.push((place, cycle)),
        }
    }
    let cycles: Vec<_> = sound.iter().map(|(_, cycle)| *cycle).collect();
    said.extend(sound.iter().filter_map(|(place, cycle)| not_soft::sentence(cycle, &capitalised(&names[*place]))));
    let name = |cycle: &CycleReport| {
        let place = found.cycles.iter().position(|each| std::ptr::eq(each, cycle)).unwrap_or(0);
        if cycle.figures.settled { names[place].clone() } else { format!("{} (not settled)", names[place]) }
    };
    match (found.target, cycles.as_slice()) {
        (_, []) => {}
        (Some(target), _) => said.extend(at_leakage(target, &sound, &found.bounds, (&name, units))),
        (None, [one]) => said.push(alone(one, &name(one), units)),
        (None, _) if found.at == At::EqualLeakage => said.push(at_equal_leakage(&cycles, (&name, units))),
        (None, _) => said.push(at_equal_dose(&cycles, (&name, units))),
    }
    // A run that was sought ends where it was meant to.
    if found.at == At::EqualDose {
        said.extend(cycles.iter().filter_map(|cycle| before_the_meter(cycle, &name(cycle), units)));
    }
    // Where the leakage is what was asked for, none is named.
    if found.target.is_none() {
        let told: Vec<&CycleReport> = match (found.at, ends(&cycles, |figures| figures.leakage_half_run_mg_per_l_caco3))
        {
            // Of two that need the same, the leakier alone is told.
            (At::EqualLeakage, Some((_, leakiest))) => vec![leakiest],
            _ => cycles.clone(),
        };
        said.extend(assumptions(&told));
    }
    said.extend(of_hard_water(&found.cycles, &names));
    said.extend(unlike_feeds(&found.cycles, units));
    said.splice(0..0, of_the_bed(&found.cycles, &names));
    said.join(" ")
}

/// A metered run that its limit ended first.
fn before_the_meter(cycle: &CycleReport, name: &str, units: In) -> Option<String> {
    let figures = &cycle.figures;
    let metered = cycle.case.service.volume_bv?;
    let limit = cycle.case.service.limit_mg_per_l_caco3?;
    (figures.stop_reason == StopReason::LeakageLimit).then(|| {
        format!(
            "{} reaches {} mg/L as CaCO3 at {}, before its meter ({}).",
            capitalised(name),
            short(limit),
            run_in_words(cycle, units),
            short(metered)
        )
    })
}

/// What is taken for granted of beds that an upflow lifts, each clause with the strategies that it is about.
fn of_the_bed(cycles: &[CycleReport], names: &[String]) -> Vec<String> {
    by_clause(cycles, names, CycleReport::assumed_of_the_bed)
        .iter()
        .map(|(clause, of)| format!("The answer for {} {clause}.", listed(of)))
        .collect()
}

/// How a strategy is called, and the units.
type Named<'a> = (&'a dyn Fn(&CycleReport) -> String, In);

/// Does the site use more water than one vessel can deliver so?
fn beyond_one_vessel(cycle: &CycleReport) -> bool {
    cycle.site_targets.iter().any(|each| each.target == Target::Use && !each.met)
}

/// A strategy that is above its limit from the start, soft nowhere or after shorter runs.
fn above_limit(cycle: &CycleReport, name: &str, units: In) -> Option<String> {
    let figures = &cycle.figures;
    if !figures.never_soft() {
        return None;
    }
    let limit = cycle.case.service.limit_mg_per_l_caco3.map_or_else(|| "its limit".to_string(), limit_in_words);
    let start = short(figures.leakage_initial_mg_per_l_caco3);
    let dose = figures
        .soft_from_dose_g_per_l
        .map_or_else(String::new, |dose| format!("; from {} {} it would", units.dose(dose), units.of_salt()));
    let name = capitalised(name);
    Some(match figures.longest_metered_bv {
        Some(longest) => {
            let metered = cycle
                .longest_metered
                .as_ref()
                .map_or_else(String::new, |metered| format!(", with a mean of {}", leaks(&metered.figures).0));
            format!(
                "{name} cannot recover from a run to {limit} mg/L as CaCO3: the next begins at {start}. Metered at up to {} a run it settles{metered}{dose}.",
                units.bed_volumes(&short_at_most(longest), longest * cycle.case.bed.volume_l())
            )
        }
        None => format!(
            "{name} never delivers soft water here: its effluent begins at {start} mg/L as CaCO3, above the limit of {limit}, even after runs as short as its regeneration has waste{dose}."
        ),
    })
}

/// One strategy by itself, where the others have no run.
fn alone(cycle: &CycleReport, name: &str, units: In) -> String {
    let figures = &cycle.figures;
    let (mean, half_run) = leaks(figures);
    format!(
        "{} leaks {mean} mg/L as CaCO3 in the mean ({half_run} at half run) over {} a run, with {} {}.",
        capitalised(name),
        run_in_words(cycle, units),
        units.dose(figures.dose_g_per_l),
        units.of_salt()
    )
}

/// The cycle of the lowest and that of the highest of a figure.
fn ends<'c>(cycles: &[&'c CycleReport], key: fn(&Figures) -> f64) -> Option<(&'c CycleReport, &'c CycleReport)> {
    let order = |a: &&&CycleReport, b: &&&CycleReport| key(&a.figures).total_cmp(&key(&b.figures));
    cycles.iter().min_by(order).copied().zip(cycles.iter().max_by(order).copied())
}

fn at_equal_dose(cycles: &[&CycleReport], (name, units): Named<'_>) -> String {
    let Some((best, worst)) = ends(cycles, |figures| figures.leakage_half_run_mg_per_l_caco3) else {
        return String::new();
    };
    let (b, w) = (&best.figures, &worst.figures);
    let same_dose = |figures: &Figures| (figures.dose_g_per_l - b.dose_g_per_l).abs() < 1e-9 * b.dose_g_per_l;
    let dose = if cycles.iter().all(|cycle| same_dose(&cycle.figures)) {
        format!("At {} {}", units.dose(b.dose_g_per_l), units.of_salt())
    } else {
        // In the order of the columns.
        let doses: Vec<String> = cycles.iter().map(|cycle| units.dose(cycle.figures.dose_g_per_l)).collect();
        let doses: Vec<&str> = doses.iter().map(String::as_str).collect();
        format!("At {} {}, each its own", listed(&doses), units.of_salt())
    };
    let ((mean_b, half_b), (mean_w, half_w)) = (leaks(b), leaks(w));
    let ((run_b, run_w), (best, worst)) =
        ((run_in_words(best, units), run_in_words(worst, units)), (name(best), name(worst)));
    let leaks = if mean_b == half_b && mean_w == half_w {
        format!("{best} leaks {mean_b} mg/L as CaCO3 where {worst} leaks {mean_w}, in the mean as at half run")
    } else {
        format!(
            "{best} leaks {mean_b} mg/L as CaCO3 in the mean ({half_b} at half run) where {worst} leaks {mean_w} ({half_w})"
        )
    };
    let low = |figures: &Figures| figures.leakage_half_run_mg_per_l_caco3 < LEAST_LEAKAGE_MG_PER_L_CACO3;
    let blurred = if low(b) && low(w) {
        ""
    } else if half_run_error(b) + half_run_error(w)
        >= w.leakage_half_run_mg_per_l_caco3 - b.leakage_half_run_mg_per_l_caco3
    {
        ", which is no more than the numerical error of the two"
    } else {
        ""
    };
    let metered = [b, w].iter().all(|figures| figures.stop_reason == StopReason::Throughput);
    if metered && (b.run_length_bv - w.run_length_bv).abs() < 1e-6 * b.run_length_bv {
        return format!("{dose} and {run_b} a run, {leaks}{blurred}.");
    }
    let difference = b.capacity_eq_per_l / w.capacity_eq_per_l - 1.0;
    let unsure = b.capacity_error_fraction.unwrap_or(0.0) + w.capacity_error_fraction.unwrap_or(0.0);
    let capacity = if difference.abs() < unsure.max(5e-4) {
        "it removes as much hardness a run, within the numerical error".to_string()
    } else {
        let sense = if difference > 0.0 { "more" } else { "less" };
        format!("it removes {} % {sense} hardness a run", fixed(100.0 * difference.abs(), 1))
    };
    let runs = if run_b == run_w {
        format!("{run_b} each")
    } else if units == In::Metric {
        format!("{} against {run_w}", with_error(b.run_length_bv, b.run_length_error_fraction))
    } else {
        format!("{run_b} against {run_w}")
    };
    format!("{dose}, {leaks}{blurred}; {capacity} ({runs}).")
}

/// Numerical error of the half-run leakage \[mg/L as CaCO3\].
fn half_run_error(figures: &Figures) -> f64 {
    let share = figures.leakage_half_run_error_fraction.unwrap_or(0.0);
    share * figures.leakage_half_run_mg_per_l_caco3.max(LEAST_LEAKAGE_MG_PER_L_CACO3)
}

fn at_equal_leakage(cycles: &[&CycleReport], (name, units): Named<'_>) -> String {
    let Some((best, worst)) = ends(cycles, |figures| figures.dose_g_per_l) else {
        return String::new();
    };
    let (b, w) = (&best.figures, &worst.figures);
    let run = run_in_words(best, units);
    // The search goes no lower: less salt might do.
    let or_less = b.dose_g_per_l <= DOSES_G_PER_L.0 * (1.0 + DOSE_ACCURACY);
    let leakiest = if b.leakage_half_run_mg_per_l_caco3 > w.leakage_half_run_mg_per_l_caco3 { b } else { w };
    // Salt is saved by nobody whose water is not soft.
    let less = if cycles.iter().all(|cycle| cycle.figures.delivers_soft_water) {
        less(&name(best), b.dose_g_per_l, &[(name(worst), w.dose_g_per_l)], 2.0 * DOSE_ACCURACY, or_less)
    } else {
        String::new()
    };
    // What no field test shows is "less than" already.
    let at_most =
        if leakiest.leakage_half_run_mg_per_l_caco3 < LEAST_LEAKAGE_MG_PER_L_CACO3 { "at" } else { "at no more than" };
    format!(
        "For {run} a run {at_most} {} mg/L as CaCO3 at half run, {} needs {}{} {} and {} {}{}.",
        leaks(leakiest).1,
        name(best),
        if or_less { "at most " } else { "" },
        units.dose(b.dose_g_per_l),
        units.of_salt(),
        name(worst),
        units.dose(w.dose_g_per_l),
        less
    )
}

/// How much less salt one needs than each of some others, unless the accuracy of the search hides it; where the least has
/// not been found, `or_less`, what it needs is at most that much.
fn less(least: &str, needs: f64, others: &[(String, f64)], accuracy: f64, or_less: bool) -> String {
    let apart = |other: f64| 1.0 - needs / other;
    let (more, same): (Vec<_>, Vec<_>) = others.iter().partition(|(_, other)| apart(*other) > accuracy);
    let than: Vec<String> =
        more.iter().map(|(name, other)| format!("{} % less than {name}", fixed(100.0 * apart(*other), 0))).collect();
    let as_much: Vec<&str> = same.iter().map(|(name, _)| name.as_str()).collect();
    match (than.is_empty(), as_much.is_empty()) {
        (true, true) => String::new(),
        (true, false) if or_less => String::new(),
        (true, false) => format!(", the same within the {} % of the search", fixed(100.0 * accuracy, 0)),
        (false, _) => {
            let than: Vec<&str> = than.iter().map(String::as_str).collect();
            let as_much = if as_much.is_empty() || or_less {
                String::new()
            } else {
                format!(", and as much as {} within the accuracy of the search", listed(&as_much))
            };
            format!(": {least} needs {}{}{as_much}", if or_less { "at least " } else { "" }, listed(&than))
        }
    }
}

/// A limit as it was given; one that three figures behind the point do not show, with its power of ten.
fn limit_in_words(mg_per_l: f64) -> String {
    if mg_per_l < 1e-3 { format!("{mg_per_l:e}") } else { short(mg_per_l) }
}

/// The least salt of a free run is found to this share: its dose on a coarse grid, its run on that of the case.
const FREE_RUN_ACCURACY: f64 = 0.04;
/// Doses that are sought are found to this share.
const DOSE_ACCURACY: f64 = 5e-3;

/// A run that ends at so many times the leakage asked for says so.
const MUCH_MORE: f64 = 3.0;

/// The least salt for a leakage: one clause for each strategy, that of the least first, with what bounds it.
fn at_leakage(
    target: LeakageTarget,
    cycles: &[(usize, &CycleReport)],
    bounds: &[LeakageBound],
    (name, units): Named<'_>,
) -> Vec<String> {
    let measure = match target.measure {
        LeakageMeasure::Mean => "in the mean",
        LeakageMeasure::HalfRun => "at half run",
        LeakageMeasure::End => "at the end of the run",
        LeakageMeasure::Max => "at any time of the run",
    };
    // Bed volumes alone: strategies need not have beds of one size.
    let run = target.run_bv.map_or_else(String::new, |run| format!(" over {} bed volumes a run", short(run)));
    let aim = format!("{} mg/L as CaCO3 {measure}{run}", limit_in_words(target.mg_per_l_caco3));
    let bound = |place: usize| bounds.get(place).copied().unwrap_or(LeakageBound::Leakage);
    let mut said = Vec::new();
    let mut met: Vec<_> = cycles.iter().filter(|(place, _)| bound(*place) != LeakageBound::NotMet).copied().collect();
    // Whoever does not deliver the run comes after those that do, and is not set against them.
    let other_run = |place: usize| bound(place) == LeakageBound::Run;
    met.sort_by(|(p, a), (q, b)| {
        other_run(*p).cmp(&other_run(*q)).then(salt_for_water(a).total_cmp(&salt_for_water(b)))
    });
    let undelivered: Vec<String> =
        met.iter().filter(|(place, _)| bound(*place) == LeakageBound::Run).map(|(_, cycle)| name(cycle)).collect();
    let aim = match undelivered.as_slice() {
        [] => aim,
        missed => {
            let missed: Vec<&str> = missed.iter().map(String::as_str).collect();
            said.push(format!(
                "No dose up to {} delivers {aim} with {}.",
                units.short_dose(DOSES_G_PER_L.1),
                listed(&missed)
            ));
            format!("{} mg/L as CaCO3 {measure}, the run free for those", limit_in_words(target.mg_per_l_caco3))
        }
    };
    let needs: Vec<String> = met
        .iter()
        .map(|(place, cycle)| {
            let figures = &cycle.figures;
            // What is bought, where the salt is not pure.
            let week = match (figures.salt_kg_per_week, figures.salt_as_sold_kg_per_week) {
                (_, Some(kg)) => format!(", {} as sold", units.a_week(kg)),
                (Some(kg), None) => format!(", {}", units.a_week(kg)),
                (None, None) => String::new(),
            };
            let end = figures.leakage_end_mg_per_l_caco3;
            let read_elsewhere = matches!(target.measure, LeakageMeasure::Mean | LeakageMeasure::HalfRun);
            let much = (MUCH_MORE * target.mg_per_l_caco3).max(LEAST_LEAKAGE_MG_PER_L_CACO3);
            let ends = if read_elsewhere && end > much {
                format!(", at {} mg/L by its end", leakage(end, figures.leakage_end_error_fraction))
            } else {
                String::new()
            };
            format!(
                "{} needs {}{week} ({} of resin, {} a run{ends}; {}{})",
                name(cycle),
                units.for_water(salt_for_water(cycle), cycle.figures.delivers_soft_water),
                units.short_dose(figures.dose_g_per_l),
                units.bed_volumes(&short(figures.run_length_bv), figures.run_length_l),
                bound_in_words(bound(*place)),
                if beyond_one_vessel(cycle) { "; more than one vessel gives" } else { "" }
            )
        })
        .collect();
    if !needs.is_empty() {
        let needs: Vec<&str> = needs.iter().map(String::as_str).collect();
        let accuracy = if target.run_bv.is_some() { 2.0 * DOSE_ACCURACY } else { FREE_RUN_ACCURACY };
        let less = match met.as_slice() {
            [(place, least), others @ ..] => {
                // With a lower dose one that is bound by the least might need less than is known: it is set against none.
                let others = others.iter().filter(|(other, _)| {
                    other_run(*other) == other_run(*place) && bound(*other) != LeakageBound::LeastDose
                });
                let others: Vec<_> = others.map(|(_, cycle)| (name(cycle), salt_for_water(cycle))).collect();
                let or_less = bound(*place) == LeakageBound::LeastDose;
                less(&name(least), salt_for_water(least), &others, accuracy, or_less)
            }
            [] => String::new(),
        };
        let doses = if target.run_bv.is_none() || !undelivered.is_empty() {
            format!(", with doses from {} of resin up", units.short_dose(FREE_RUN_DOSE_G_PER_L))
        } else {
            String::new()
        };
        said.push(format!("For no more than {aim}{doses}, {}{}.", listed(&needs), less));
        if target.run_bv.is_none() {
            said.push(format!(
                "These runs keep no reserve: set the meter lower. The search is good to {} %.",
                fixed(100.0 * FREE_RUN_ACCURACY, 0)
            ));
        }
    }
    for (_, cycle) in cycles.iter().filter(|(place, _)| bound(*place) == LeakageBound::NotMet) {
        let (mean, half_run) = leaks(&cycle.figures);
        said.push(format!(
            "No dose up to {} and no run was found that brings {} to {aim}; as given it leaks {mean} in the mean ({half_run} at half run).",
            units.short_dose(DOSES_G_PER_L.1),
            name(cycle)
        ));
    }
    said
}

fn bound_in_words(bound: LeakageBound) -> &'static str {
    match bound {
        LeakageBound::Leakage => "bound by the leakage asked for",
        LeakageBound::Limit => "bound by the limit that ends its runs",
        LeakageBound::Unsteady => "bound by the longest run that settles",
        LeakageBound::LeastDose => "bound by the least dose that was tried",
        LeakageBound::MostDose => "bound by the highest dose that was tried",
        LeakageBound::Run => "not the run asked for",
        LeakageBound::NotMet => "not met",
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_needs_less_than_whom_is_said_of_each_and_no_more_than_is_known() {
        let others =
            |needs: &[f64]| -> Vec<_> { needs.iter().copied().zip('b'..).map(|(x, c)| (c.into(), x)).collect() };
        assert_eq!(less("a", 62.0, &others(&[90.0]), 0.01, false), ": a needs 31 % less than b");
        assert_eq!(less("a", 62.0, &others(&[62.5]), 0.01, false), ", the same within the 1 % of the search");
        assert_eq!(
            less("a", 62.0, &others(&[77.5, 124.0]), 0.01, false),
            ": a needs 20 % less than b and 50 % less than c"
        );
        assert_eq!(
            less("a", 62.0, &others(&[62.5, 124.0]), 0.01, false),
            ": a needs 50 % less than c, and as much as b within the accuracy of the search"
        );
        assert_eq!(less("a", 62.0, &[], 0.01, false), "");
        // Less might do for the one that needs least.
        assert_eq!(less("a", 62.0, &others(&[62.5]), 0.01, true), "");
        assert_eq!(less("a", 62.0, &others(&[62.5, 124.0]), 0.01, true), ": a needs at least 50 % less than c");
    }
}
