//! From seconds of a source's own clock to moments of the machine's.
//!
//! A block arrives when it can: the quickest ones say most about when their sound was. So of each second the least delay
//! counts, and a straight line through those of the last half minute tells both where the source's clock stands and how much
//! faster or slower it runs. What is told moves slowly, so that one lucky block bends nothing.

use lanthorn_physics::{Instant, Span};

/// Seconds of the source whose least delay counts as one.
const BUCKET_SECS: f64 = 1.0;
/// How many of them count.
const BUCKETS: usize = 32;
/// From so many on their slope is believed.
const ENOUGH: usize = 10;
/// No sound card is further off: parts of one.
const MOST_DRIFT: f64 = 1e-3;
/// The told line moves by no more than this for each second, once it has settled.
const SLEW: f64 = 2e-3;
/// It settles within so many seconds.
const SETTLE_SECS: f64 = 2.0;
/// Earlier than the line by more than this nothing can arrive: something was left out.
const EARLY: f64 = 0.03;
/// Later than the line by more than this, and for so long, is no delay: the source stood still for a while.
const LATE: f64 = 0.08;
const LATE_SECS: f64 = 1.5;

/// The map from the source's clock to the machine's.
#[derive(Clone, Debug)]
pub struct SoundClock {
    /// What the source says of its own delay, seconds.
    source_delay: f64,
    /// Least delay of each of the last seconds: when in the source, and the delay; the newest at the end.
    buckets: Vec<(f64, f64)>,
    /// The told line: delay at a moment of the source.
    line: Option<Line>,
    began: f64,
    /// Since when everything has come late.
    late_since: Option<f64>,
    /// Mean of what arrives beyond the line, seconds.
    beyond: f64,
}

/// When the source's clock stood at `secs`, the machine's stood at `secs + delay`.
#[derive(Clone, Copy, Debug)]
struct Line {
    secs: f64,
    delay: f64,
    slope: f64,
}

impl Line {
    fn at(&self, secs: f64) -> f64 {
        self.delay + (secs - self.secs) * self.slope
    }
}

impl SoundClock {
    /// Of a source that has something so long after it happened, as far as it knows.
    pub fn new(source_delay: Span) -> Self {
        Self {
            source_delay: source_delay.secs(),
            buckets: Vec::with_capacity(BUCKETS + 1),
            line: None,
            began: 0.0,
            late_since: None,
            beyond: 0.0,
        }
    }

    /// What the source had at `secs` of its clock arrived at `at`. `false` when the source has stood still, or left something
    /// out without saying so, and it begins anew.
    pub fn observe(&mut self, secs: f64, at: Instant) -> bool {
        let delay = at.secs() - secs;
        let Some(line) = self.line else {
            self.begin(secs, delay);
            return true;
        };
        let beyond = delay - line.at(secs);
        let settled = secs - self.began > SETTLE_SECS;
        self.late_since = if beyond > LATE { Some(self.late_since.unwrap_or(secs)) } else { None };
        let stood = self.late_since.is_some_and(|since| secs - since > LATE_SECS);
        if stood || (settled && beyond < -EARLY) || secs < line.secs - 1e-6 {
            self.begin(secs, delay);
            return false;
        }
        self.beyond += (beyond - self.beyond) * 0.02;
        match self.buckets.last_mut().filter(|(from, _)| secs - *from < BUCKET_SECS) {
            Some((_, least)) => *least = least.min(delay),
            None => {
                if self.buckets.len() == BUCKETS {
                    self.buckets.remove(0);
                }
                self.buckets.push((secs, delay));
            }
        }
        self.lead_line(secs, line, settled);
        true
    }

    fn begin(&mut self, secs: f64, delay: f64) {
        self.buckets.clear();
        self.buckets.push((secs, delay));
        self.line = Some(Line { secs, delay, slope: 0.0 });
        (self.began, self.late_since, self.beyond) = (secs, None, 0.0);
    }

    /// Brings the told line nearer to what the buckets say.
    fn lead_line(&mut self, secs: f64, line: Line, settled: bool) {
        let (want, slope) = self.fitted(secs);
        let now = line.at(secs);
        let most = if settled { SLEW * (secs - line.secs) } else { f64::INFINITY };
        self.line = Some(Line { secs, delay: now + (want - now).clamp(-most, most), slope });
    }

    /// The delay that the buckets tell of a moment, and its slope.
    fn fitted(&self, secs: f64) -> (f64, f64) {
        let least = self.buckets.iter().map(|(_, delay)| *delay).fold(f64::INFINITY, f64::min);
        // The newest second may not have had its quickest block yet.
        let whole = &self.buckets[..self.buckets.len() - 1];
        if whole.len() < ENOUGH {
            return (least, 0.0);
        }
        let mut kept = f64::INFINITY;
        let mut fit = (least, 0.0);
        // The second time without seconds that had no quick block at all.
        for _ in 0..2 {
            let (slope, middle) = slope_of(whole, fit, secs, kept);
            fit = (middle, slope);
            kept = 0.004;
        }
        fit
    }

    /// The moment of the machine's clock at which it sounded.
    pub fn moment(&self, secs: f64) -> Instant {
        let delay = self.line.map_or(0.0, |line| line.at(secs));
        Instant::from_secs(secs + delay - self.source_delay)
    }

    /// How long after it sounded something arrives, on the mean; none before anything did.
    pub fn delay(&self) -> Option<Span> {
        self.line.map(|_| Span::from_secs(self.source_delay + self.beyond.max(0.0)))
    }

    /// How much faster the source's clock runs, parts in a million; none while that is not known.
    pub fn drift_ppm(&self) -> Option<f64> {
        (self.buckets.len() > ENOUGH).then(|| self.line.map(|line| -line.slope * 1e6))?
    }
}

/// The slope of a straight line through points, and its height at `secs`: least squares over those no more than `kept` above a
/// line that is known (height at `secs`, slope).
fn slope_of(points: &[(f64, f64)], known: (f64, f64), secs: f64, kept: f64) -> (f64, f64) {
    let near = |(x, y): &&(f64, f64)| *y - (known.0 + (*x - secs) * known.1) <= kept;
    let counted = points.iter().filter(near).count().max(1) as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| points.iter().filter(near).map(of).sum::<f64>() / counted;
    let (x, y) = (mean(|point| point.0), mean(|point| point.1));
    let (mut up, mut down) = (0.0, 0.0);
    for point in points.iter().filter(near) {
        up += (point.0 - x) * (point.1 - y);
        down += (point.0 - x) * (point.0 - x);
    }
    let slope = if down > 1.0 { (up / down).clamp(-MOST_DRIFT, MOST_DRIFT) } else { 0.0 };
    (slope, y + (secs - x) * slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers between 0 and 1 that look random: a linear congruential generator (Knuth's MMIX constants, from memory).
    fn random(state: &mut u64) -> f64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (*state >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Twenty-millisecond blocks of a clock that runs off by so many parts in a million, each delayed by 15 ms and something
    /// more, mostly little and sometimes much. The worst error of what is told after some seconds.
    fn worst(ppm: f64, secs: f64, jitter: impl Fn(f64) -> f64) -> f64 {
        let mut clock = SoundClock::new(Span::from_millis(15));
        let mut state = 7;
        let mut worst = 0.0_f64;
        for block in 1..(secs / 0.02) as u64 {
            let source = block as f64 * 0.02;
            let truly = 100.0 + source / (1.0 + ppm * 1e-6);
            let arrived = truly + 0.015 + jitter(random(&mut state));
            assert!(clock.observe(source, Instant::from_secs(arrived)), "at {source}");
            if source > 5.0 {
                worst = worst.max((clock.moment(source).secs() - truly).abs());
            }
        }
        worst
    }

    #[test]
    fn jitter_is_removed_and_drift_followed() {
        let quick = |random: f64| 0.03 * random * random * random;
        let rough = |random: f64| if random > 0.97 { 0.2 } else { 0.05 * random * random };
        for (ppm, jitter, most) in [
            (0.0, quick as fn(f64) -> f64, 0.002),
            (180.0, quick, 0.003),
            (-250.0, quick, 0.003),
            (100.0, rough, 0.005),
        ] {
            let worst = worst(ppm, 120.0, jitter);
            assert!(worst < most, "{ppm} ppm: {:.1} ms", worst * 1e3);
        }
    }

    #[test]
    fn two_hours_do_not_run_away() {
        let worst = worst(73.0, 7200.0, |random| 0.02 * random * random);
        assert!(worst < 0.003, "{:.1} ms", worst * 1e3);
    }

    #[test]
    fn what_stood_still_begins_anew() {
        let mut clock = SoundClock::new(Span::ZERO);
        let at = |secs: f64| Instant::from_secs(secs);
        (1..300).for_each(|block| {
            assert!(clock.observe(f64::from(block) * 0.02, at(f64::from(block) * 0.02 + 0.01)))
        });
        // Half a second passed in which the source recorded nothing, and did not say so.
        let mut anew = 0;
        for block in 300..450 {
            anew += i32::from(!clock.observe(f64::from(block) * 0.02, at(f64::from(block) * 0.02 + 0.51)));
        }
        assert_eq!(anew, 1);
        assert!((clock.moment(9.0).secs() - 9.51).abs() < 0.002);
    }
}
