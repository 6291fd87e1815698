//! The stopwatch: an axis is sent from one end of its travel to the other, and a person says when it is there.

use lanthorn_physics::units::Seconds;
use lanthorn_physics::{Instant, Span};
use lanthorn_show::Command;

use super::axes::{self, Values};
use super::{Act, Doing, Edit, Finding, LEVEL, Seen, Session};
use crate::wire::AxisName;

/// What a head can take from end to end, seconds.
const PLAUSIBLE: [f64; 2] = [0.3, 30.0];
/// A hand on a stopwatch is right to within about this, seconds (common practice, no source).
const HAND: f64 = 0.2;
/// The light is dark for so long when it starts: a lit light would be led by the speed that is assumed of it, and only
/// that would be timed. Two ticks, so that one surely falls into it.
const DARK: Span = Span::from_millis(60);

/// A stopwatch on an axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stopwatch {
    pub(super) axis: AxisName,
    /// The value at the end that it goes to.
    end: u16,
    stage: Stage,
}

/// How far it is.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Stage {
    /// On the way to where it starts.
    Leading,
    /// It has been sent off, dark.
    Dark(Instant),
    /// On the way, lit again.
    Running(Instant),
}

impl Stopwatch {
    /// When it was sent off; none before.
    pub(super) const fn since(&self) -> Option<Instant> {
        match self.stage {
            Stage::Leading => None,
            Stage::Dark(since) | Stage::Running(since) => Some(since),
        }
    }
}

impl Session {
    pub(super) fn start_stopwatch(&mut self, axis: AxisName, seen: &Seen) -> Option<String> {
        let mut values = self.values()?;
        let place = axes::index(axis);
        let (start, end) = if values[place] < u16::MAX / 2 { (0, u16::MAX) } else { (u16::MAX, 0) };
        values[place] = start;
        self.hold(values, seen.now);
        self.light.as_mut()?.doing = Doing::Timing(Stopwatch { axis, end, stage: Stage::Leading });
        let name = axes::name(axis);
        Some(format!(
            "It goes to one end of {name} first; then it is sent to the other and the stopwatch starts. The beam crosses the room: let nobody look into it."
        ))
    }

    pub(super) fn run_stopwatch(&mut self, stopwatch: Stopwatch, seen: &Seen) {
        let Some(light) = &self.light else { return };
        let unit = light.unit;
        match stopwatch.stage {
            Stage::Leading if self.is_there(seen) => {
                let Some(mut values) = self.values() else { return };
                values[axes::index(stopwatch.axis)] = stopwatch.end;
                self.send_off(values, seen.now);
                let name = axes::name(stopwatch.axis);
                self.say(format!("Now: {name} goes to its other end. Tap when the head stands still."));
                self.time(Stopwatch { stage: Stage::Dark(seen.now), ..stopwatch });
            }
            Stage::Dark(since) if seen.now - since >= DARK => {
                self.acts.push(Act::Command(Command::Level { unit, level: LEVEL }));
                self.time(Stopwatch { stage: Stage::Running(since), ..stopwatch });
            }
            _ => {}
        }
    }

    fn time(&mut self, stopwatch: Stopwatch) {
        if let Some(light) = &mut self.light {
            light.doing = Doing::Timing(stopwatch);
        }
    }

    /// A dark light may be sent anywhere at once: its own motor sets the pace.
    fn send_off(&mut self, values: Values, now: Instant) {
        self.hold(values, now);
        for act in &mut self.acts {
            if let Act::Command(Command::Level { level, .. }) = act {
                *level = 0.0;
            }
        }
    }

    pub(super) fn stop_stopwatch(&mut self, all_of_kind: bool, seen: &Seen) -> Option<String> {
        let light = self.light.as_mut()?;
        let Doing::Timing(stopwatch) = light.doing else {
            return Some("The stopwatch does not run: start it first.".to_owned());
        };
        let Some(since) = stopwatch.since() else {
            return Some("Not yet: it is still on its way to where it starts.".to_owned());
        };
        light.doing = Doing::Nothing;
        let unit = light.unit;
        self.acts.push(Act::Command(Command::Level { unit, level: LEVEL }));
        let secs = ((seen.now - since).secs() * 100.0).round() / 100.0;
        let name = axes::name(stopwatch.axis);
        if !(PLAUSIBLE[0]..=PLAUSIBLE[1]).contains(&secs) {
            return Some(format!(
                "{secs:.1} s from end to end is not plausible for {name} ({} to {} s): nothing is kept. Start it again.",
                PLAUSIBLE[0], PLAUSIBLE[1]
            ));
        }
        let kind = self.rig.units[unit].profile.name.clone();
        let same =
            |other: &usize| *other == unit || all_of_kind && self.rig.units[*other].profile.name == kind;
        let units: Vec<usize> = (0..self.rig.units.len()).filter(same).collect();
        let time = Some(Seconds::new(secs));
        let mut edits = Vec::new();
        for &unit in &units {
            let found = &mut self.rig.units[unit].found;
            let finding = match stopwatch.axis {
                AxisName::Pan => {
                    found.pan_time = time;
                    Finding::PanTime(time)
                }
                AxisName::Tilt => {
                    found.tilt_time = time;
                    Finding::TiltTime(time)
                }
            };
            edits.push(Edit::Found(self.rig.units[unit].number, finding));
            self.renew(unit);
        }
        let whose = match units.len() {
            1 => format!("light {}", self.rig.units[unit].number),
            count => format!("all {count} lights of the kind \"{kind}\""),
        };
        let says =
            format!("{secs:.1} s from end to end, give or take {HAND} s of the hand: kept for {whose}.");
        Some(self.kept(says, edits))
    }
}
