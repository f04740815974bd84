//! Front tracking: one scalar conservation law along a line, solved by following its jumps instead of by cells.
//!
//! ```text
//! d(h s v + c u)/dt + d(s v)/dz = 0,   v = f(u; s),   h ds/dt + ds/dz = 0
//! ```
//!
//! u is what is held (it does not move), v what the carrier holds beside it, s the carrier's strength, h its holdup and
//! c the place for what is held. A strength moves with the carrier, 1/h, faster than any other wave, and leaves u as it
//! finds it. At one strength a jump from u to u' moves with
//!
//! ```text
//! dz/dt = 1/(h + (c/s) (u' - u)/(v' - v))
//! ```
//!
//! and is admissible where it is an edge of the envelope of f between its ends: the lower convex one if u rises along the
//! flow, the upper concave one if it falls (O. A. Oleinik 1959, read in a text that cites it). f is replaced by straight
//! lines between `levels`: then every solution is piecewise constant and is followed without error, a fan as one jump a
//! level (C. M. Dafermos 1972, J. Math. Anal. Appl. 38, 33, read in a text that cites it; H. Holden, L. Holden, R.
//! Hoegh-Krohn 1988, from memory). With four times the levels the places of shocks are off by about a sixteenth.

/// Two values nearer than this are one.
const SAME: f64 = 1e-11;
/// Slopes nearer than this, relative, are one edge.
const STRAIGHT: f64 = 1e-12;
/// Meetings after which a run is given up; a full one has a few per level and front.
const MOST_MEETINGS: usize = 2_000_000;

/// What is carried beside what is held, at a strength: rising in `held`, 0 to 1 for 0 to 1.
pub trait Law {
    /// The carried share v.
    fn carried(&self, held: f64, strength: f64) -> f64;
}

/// A stretch of the line in one state.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zone {
    /// u, 0 to 1.
    pub held: f64,
    /// s, above 0.
    pub strength: f64,
}

/// What a jump is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A jump over more than one level that does not spread.
    Shock,
    /// One level of a wave that spreads or closes up.
    Level,
    /// A change of strength.
    Strength,
}

/// A straight piece of the path of a jump. Places are those of the line, whichever way the flow goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Path {
    /// Pieces of one jump share a number.
    pub wave: usize,
    /// What it is.
    pub kind: Kind,
    /// Time and place where the piece begins.
    pub from: (f64, f64),
    /// Time and place where it ends.
    pub to: (f64, f64),
    /// The state behind it, upstream.
    pub behind: Zone,
    /// The state ahead of it.
    pub ahead: Zone,
}

/// What left the line between two times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// From this time.
    pub from: f64,
    /// To this time.
    pub to: f64,
    /// In this state.
    pub zone: Zone,
}

/// One run: what left, the jumps' paths, and when it ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What left, in order of time.
    pub left: Vec<Left>,
    /// Pieces of paths.
    pub paths: Vec<Path>,
    /// When it ended.
    pub time: f64,
    /// Did what left end it?
    pub ended: bool,
}

#[derive(Debug, Clone, Copy)]
struct Front {
    wave: usize,
    speed: f64,
    since: (f64, f64),
}

impl Front {
    fn place(&self, time: f64) -> f64 {
        self.since.1 + self.speed * (time - self.since.0)
    }
}

/// A line of length 1 with its zones and the jumps between them, in the order in which the flow meets them.
#[derive(Debug, Clone)]
pub struct Line<'l, F> {
    law: &'l F,
    /// c, the place for what is held.
    held_capacity: f64,
    /// h.
    holdup: f64,
    levels: Vec<f64>,
    zones: Vec<Zone>,
    fronts: Vec<Front>,
    time: f64,
    turned: bool,
    waves: usize,
}

/// What happens next on the line.
enum Next {
    Meeting(usize),
    Leaving,
    Armed,
    End,
}

impl<'l, F: Law> Line<'l, F> {
    /// A line in one state; `levels` between 0 and 1, in any order.
    pub fn new(law: &'l F, held_capacity: f64, holdup: f64, levels: &[f64], zone: Zone) -> Self {
        let mut line = Self {
            law,
            held_capacity,
            holdup,
            levels: Vec::new(),
            zones: vec![zone],
            fronts: Vec::new(),
            time: 0.0,
            turned: false,
            waves: 0,
        };
        line.set_levels(levels);
        line
    }

    /// Other levels from now on.
    pub fn set_levels(&mut self, levels: &[f64]) {
        self.levels = levels.to_vec();
        self.levels.sort_unstable_by(f64::total_cmp);
        self.levels.dedup_by(|a, b| *a - *b < SAME);
    }

    /// Let the flow come from the other end.
    pub fn turn(&mut self) {
        self.turned = !self.turned;
        self.zones.reverse();
        self.fronts.reverse();
        let time = self.time;
        for front in &mut self.fronts {
            front.since = (time, 1.0 - front.place(time));
        }
    }

    /// Does the flow come from the line's far end?
    pub fn is_turned(&self) -> bool {
        self.turned
    }

    /// The zones and their lengths, from the line's near end, whichever way the flow goes.
    pub fn zones(&self) -> Vec<(f64, Zone)> {
        let mut at = 0.0;
        let ends = self.fronts.iter().map(|front| front.place(self.time).clamp(0.0, 1.0)).chain([1.0]);
        let mut found: Vec<_> = self
            .zones
            .iter()
            .zip(ends)
            .map(|(zone, end)| {
                let length = (end - at).max(0.0);
                at = end;
                (length, *zone)
            })
            .collect();
        if self.turned {
            found.reverse();
        }
        found
    }

    /// Put other states in place of the zones, by length from the line's near end; lengths sum to 1.
    pub fn set_zones(&mut self, zones: &[(f64, Zone)]) {
        let mut zones: Vec<_> = zones.iter().copied().filter(|(length, _)| *length > 0.0).collect();
        if self.turned {
            zones.reverse();
        }
        self.zones = zones.iter().map(|(_, zone)| *zone).collect();
        self.fronts.clear();
        let mut at = 0.0;
        for (length, _) in &zones[..zones.len().saturating_sub(1)] {
            at += length;
            self.waves += 1;
            self.fronts.push(Front { wave: self.waves, speed: 0.0, since: (self.time, at) });
        }
    }

    /// Everything on the line, held and carried.
    pub fn total(&self) -> f64 {
        self.zones().iter().map(|(length, zone)| length * self.density(*zone)).sum()
    }

    /// Held and carried in a state, per length.
    fn density(&self, zone: Zone) -> f64 {
        self.held_capacity * zone.held + self.holdup * zone.strength * self.law.carried(zone.held, zone.strength)
    }

    /// Feed the line with a state from time 0 until `until`, or until `ends` is true of what leaves; it is asked from
    /// the time `armed` on. `None` if the jumps meet without end.
    pub fn run(&mut self, inlet: Zone, until: f64, armed: f64, mut ends: impl FnMut(Zone) -> bool) -> Option<Run> {
        let mut run = Run { left: Vec::new(), paths: Vec::new(), time: 0.0, ended: false };
        self.start(inlet);
        let mut asked = false;
        let mut since = 0.0;
        for _ in 0..MOST_MEETINGS {
            let (next, time) = self.next(until, if asked { f64::INFINITY } else { armed });
            self.time = time;
            let outlet = self.outlet();
            match next {
                Next::End => break,
                Next::Armed => asked = true,
                Next::Leaving => {
                    self.leave(&mut run.paths);
                    run.left.push(Left { from: since, to: time, zone: outlet });
                    since = time;
                }
                Next::Meeting(first) => {
                    self.meet(first, &mut run.paths);
                    continue;
                }
            }
            if asked && ends(self.outlet()) {
                run.ended = true;
                break;
            }
        }
        if !run.ended && self.time < until {
            return None;
        }
        run.left.push(Left { from: since, to: self.time, zone: self.outlet() });
        run.time = self.time;
        for place in 0..self.fronts.len() {
            run.paths.push(self.path(place));
        }
        Some(run)
    }

    fn outlet(&self) -> Zone {
        // There is always one zone.
        self.zones.last().copied().unwrap_or(Zone { held: 0.0, strength: 1.0 })
    }

    /// Time 0: the inlet's jump, and every jump on the line solved again, since strength or direction are new.
    fn start(&mut self, inlet: Zone) {
        let old_zones = std::mem::take(&mut self.zones);
        let old_fronts = std::mem::take(&mut self.fronts);
        let (old_time, mut behind) = (std::mem::replace(&mut self.time, 0.0), inlet);
        self.zones.push(inlet);
        self.waves += 1;
        let jumps = std::iter::once((0.0, self.waves))
            .chain(old_fronts.iter().map(|front| (front.place(old_time).clamp(0.0, 1.0), front.wave)));
        for ((place, wave), ahead) in jumps.collect::<Vec<_>>().into_iter().zip(old_zones) {
            let (zones, fronts) = self.solved(behind, ahead, place, &[(wave, behind.strength != ahead.strength)]);
            self.zones.extend(zones);
            self.fronts.extend(fronts);
            behind = ahead;
        }
    }

    /// The next thing that happens and when.
    fn next(&self, until: f64, armed: f64) -> (Next, f64) {
        let (mut next, mut time) = if armed < until { (Next::Armed, armed.max(self.time)) } else { (Next::End, until) };
        if let Some(last) = self.fronts.last() {
            let leaves = (last.since.0 + (1.0 - last.since.1) / last.speed).max(self.time);
            if leaves < time {
                (next, time) = (Next::Leaving, leaves);
            }
        }
        for (place, pair) in self.fronts.windows(2).enumerate() {
            let closing = pair[0].speed - pair[1].speed;
            if closing > 0.0 {
                let gap = pair[1].place(self.time) - pair[0].place(self.time);
                let meets = self.time + gap.max(0.0) / closing;
                if meets < time {
                    (next, time) = (Next::Meeting(place), meets);
                }
            }
        }
        (next, time)
    }

    fn leave(&mut self, paths: &mut Vec<Path>) {
        if let Some(last) = self.fronts.len().checked_sub(1) {
            paths.push(self.path(last));
            self.fronts.pop();
            self.zones.pop();
        }
    }

    /// Fronts `first` and the one after it meet: what is between them is gone.
    fn meet(&mut self, first: usize, paths: &mut Vec<Path>) {
        paths.push(self.path(first));
        paths.push(self.path(first + 1));
        let place = self.fronts[first + 1].place(self.time).clamp(0.0, 1.0);
        let (behind, between, ahead) = (self.zones[first], self.zones[first + 1], self.zones[first + 2]);
        let (one, other) = (self.fronts[first].wave, self.fronts[first + 1].wave);
        let mut names = [
            (one, behind.strength != between.strength, (between.held - behind.held).abs()),
            (other, between.strength != ahead.strength, (ahead.held - between.held).abs()),
        ];
        // The larger jump gives its number to what becomes of both.
        names.sort_by(|a, b| b.2.total_cmp(&a.2));
        let names = names.map(|(wave, strength, _)| (wave, strength));
        let (zones, fronts) = self.solved(behind, ahead, place, &names);
        self.zones.splice(first + 1..first + 3, zones);
        self.fronts.splice(first..first + 2, fronts);
    }

    /// The jumps that part two states, slowest first, with the state ahead of each. `names` are numbers to be kept, with
    /// whether each is a change of strength.
    fn solved(&mut self, behind: Zone, ahead: Zone, place: f64, names: &[(usize, bool)]) -> (Vec<Zone>, Vec<Front>) {
        let since = (self.time, place);
        let strength = behind.strength;
        let (mut zones, mut fronts) = (Vec::new(), Vec::new());
        let edges = self.envelope(behind.held, ahead.held, strength);
        let mut kept = names.iter().find(|(_, of_strength)| !of_strength).map(|(wave, _)| *wave);
        for pair in edges.windows(2) {
            let slope = (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
            let wave = kept.take().unwrap_or_else(|| {
                self.waves += 1;
                self.waves
            });
            let speed = 1.0 / (self.holdup + self.held_capacity / (strength * slope));
            fronts.push(Front { wave, speed, since });
            zones.push(Zone { held: pair[1].0, strength });
        }
        if strength != ahead.strength {
            let wave = names.iter().find(|(_, of_strength)| *of_strength).map(|(wave, _)| *wave);
            let wave = wave.unwrap_or_else(|| {
                self.waves += 1;
                self.waves
            });
            fronts.push(Front { wave, speed: 1.0 / self.holdup, since });
            zones.push(ahead);
        } else if let Some(last) = zones.last_mut() {
            *last = ahead;
        }
        // Without any jump both are empty: the zone behind is the one ahead too.
        (zones, fronts)
    }

    /// Corners (u, v) of the envelope from one held value to another; a single one if they are the same.
    fn envelope(&self, behind: f64, ahead: f64, strength: f64) -> Vec<(f64, f64)> {
        let point = |held: f64| (held, self.law.carried(held, strength));
        let mut corners = vec![point(behind)];
        if (ahead - behind).abs() < SAME {
            return corners;
        }
        let (low, high) = (behind.min(ahead) + SAME, behind.max(ahead) - SAME);
        let first = self.levels.partition_point(|level| *level <= low);
        let last = self.levels.partition_point(|level| *level < high).max(first);
        let between = &self.levels[first..last];
        let along: Vec<f64> = if behind < ahead { between.to_vec() } else { between.iter().rev().copied().collect() };
        for held in along.into_iter().chain([ahead]) {
            let new = point(held);
            while let [.., (u0, v0), (u1, v1)] = corners[..] {
                // Speeds must rise along the flow; a corner where they do not is inside the envelope.
                let (before, after) = ((v1 - v0) / (u1 - u0), (new.1 - v1) / (new.0 - u1));
                if before < after * (1.0 - STRAIGHT) {
                    break;
                }
                corners.pop();
            }
            corners.push(new);
        }
        corners
    }

    fn path(&self, front: usize) -> Path {
        let Front { wave, since, .. } = self.fronts[front];
        let (behind, ahead) = (self.zones[front], self.zones[front + 1]);
        let (low, high) = (behind.held.min(ahead.held) + SAME, behind.held.max(ahead.held) - SAME);
        let between = self.levels.partition_point(|level| *level < high) > self.levels.partition_point(|l| *l <= low);
        let kind = if behind.strength != ahead.strength {
            Kind::Strength
        } else if between {
            Kind::Shock
        } else {
            Kind::Level
        };
        let seen = |place: f64| if self.turned { 1.0 - place } else { place };
        let to = self.fronts[front].place(self.time).clamp(0.0, 1.0);
        Path { wave, kind, from: (since.0, seen(since.1)), to: (self.time, seen(to)), behind, ahead }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// v = u^2 at every strength: with no holdup, c = 1 and s = 1 it is Burgers' equation, speeds u + u'.
    struct Square;

    impl Law for Square {
        fn carried(&self, held: f64, _: f64) -> f64 {
            held * held
        }
    }

    fn levels(count: u32) -> Vec<f64> {
        (0..=count).map(|k| f64::from(k) / f64::from(count)).collect()
    }

    fn zone(held: f64) -> Zone {
        Zone { held, strength: 1.0 }
    }

    #[test]
    fn a_closing_step_is_one_shock_and_an_opening_one_a_fan() {
        let mut line = Line::new(&Square, 1.0, 0.0, &levels(100), zone(0.2));
        let run = line.run(zone(0.8), 2.0, 0.0, |_| false).unwrap();
        // 1/(0.8 + 0.2) (shock balance).
        assert_eq!(run.left.len(), 2);
        assert!((run.left[0].to - 1.0).abs() < 1e-12);
        let mut line = Line::new(&Square, 1.0, 0.0, &levels(100), zone(0.8));
        let run = line.run(zone(0.2), 2.0, 0.0, |_| false).unwrap();
        // A fan's u leaves at 1/(2 u).
        for gone in &run.left[1..run.left.len() - 1] {
            let middle = 0.5 * (1.0 / gone.from + 1.0 / gone.to) / 2.0;
            assert!((gone.zone.held - middle).abs() < 0.011, "{gone:?}");
        }
        assert!(run.paths.iter().all(|path| path.kind == Kind::Level));
    }

    /// A pulse of u = 1 for a time t0, then 0: t later the shock ahead of the fan is at z = 2 sqrt(t0 t) (area of the
    /// triangle), and four times the levels miss it by about a sixteenth.
    #[test]
    fn a_fan_that_eats_a_shock_follows_the_closed_form() {
        let mut errors = Vec::new();
        for count in [50, 200] {
            let mut line = Line::new(&Square, 1.0, 0.0, &levels(count), zone(0.0));
            line.run(zone(1.0), 0.053, 0.0, |_| false).unwrap();
            let run = line.run(zone(0.0), 9.0, 0.0, |_| false).unwrap();
            errors.push((run.left[0].to * 4.0 * 0.053 - 1.0).abs());
        }
        assert!(errors[0] < 5e-3 && errors[1] < errors[0] / 8.0, "{errors:?}");
    }

    /// A flux with an inflexion: the envelope is a fan joined to a shock at the tangent (Welge's construction).
    #[test]
    fn an_inflected_law_gives_a_fan_joined_to_a_shock() {
        struct S;
        impl Law for S {
            fn carried(&self, held: f64, _: f64) -> f64 {
                held * held / (held * held + 0.5 * (1.0 - held).powi(2))
            }
        }
        let mut line = Line::new(&S, 1.0, 0.0, &levels(2000), zone(0.0));
        let run = line.run(zone(1.0), 3.0, 0.0, |_| false).unwrap();
        // The tangent from 0 touches where v/u = v': u = 1/sqrt(3) (algebra), with a slope of (1 + sqrt(3))/2.
        let tangent = 3.0_f64.sqrt().recip();
        assert!((run.left[1].zone.held - tangent).abs() < 1e-3, "{:?}", run.left[1]);
        assert!((run.left[0].to - 2.0 / (1.0 + 3.0_f64.sqrt())).abs() < 1e-5, "{:?}", run.left[0]);
    }

    /// Nothing is made or lost through changes of strength, direction and holdup.
    #[test]
    fn what_enters_stays_or_leaves() {
        struct Bent;
        impl Law for Bent {
            fn carried(&self, held: f64, strength: f64) -> f64 {
                held / (held + (1.0 - held) / strength)
            }
        }
        let start = Zone { held: 0.9, strength: 0.5 };
        let mut line = Line::new(&Bent, 1.0, 0.4, &levels(60), start);
        let feeds = [(0.0, 4.0, 0.3, true), (0.1, 0.7, 0.8, false), (0.8, 0.5, 1.3, true), (0.0, 3.0, 0.2, false)];
        for (carried, strength, until, turn) in feeds {
            if turn {
                line.turn();
            }
            let before = line.total();
            let held = carried / (carried + (1.0 - carried) * strength);
            let inlet = Zone { held, strength };
            let run = line.run(inlet, until, 0.0, |_| false).unwrap();
            let flux = |zone: Zone| zone.strength * Bent.carried(zone.held, zone.strength);
            let out: f64 = run.left.iter().map(|gone| (gone.to - gone.from) * flux(gone.zone)).sum();
            let error = before + until * flux(inlet) - out - line.total();
            assert!(error.abs() < 1e-12, "{carried} {strength}: {error:.1e}");
        }
    }
}
