//! A watch on the frames that are sent: no slot may stand where a light's chart warns of it (a reset, a heater, a
//! programme of its own, sound, or anything that acts when it is held). It reads the charts for itself, and shares
//! nothing with what writes the frames.

use lanthorn_dmx::Frames;
use lanthorn_rig::Rig;

/// A range that nobody may enter.
struct Fence {
    light: u32,
    label: String,
    universe: lanthorn_dmx::Universe,
    /// The channel, and the one that makes it dangerous, if there is one.
    spans: Vec<Span>,
}

/// "The value of these bytes, the coarse one first, lies from here to there."
struct Span {
    bytes: Vec<usize>,
    from: u16,
    to: u16,
}

/// Every fence of a rig.
pub(super) struct Fences(Vec<Fence>);

impl Fences {
    pub(super) fn new(rig: &Rig) -> Self {
        let mut fences = Vec::new();
        for unit in &rig.units {
            let Some(address) = unit.address() else { continue };
            let span = |place: u16, from, to| {
                let channel = unit.mode().channels.iter().find(|channel| channel.coarse == place)?;
                let places = [Some(channel.coarse), channel.fine];
                let byte = |place: u16| address.slot.index() + usize::from(place) - 1;
                Some(Span { bytes: places.into_iter().flatten().map(byte).collect(), from, to })
            };
            for channel in &unit.mode().channels {
                for range in channel.ranges.iter().filter(|it| it.danger.is_some() || it.hold.is_some()) {
                    let own = span(channel.coarse, range.from, range.to);
                    let other = range.when.map(|when| {
                        span(when.channel, when.from, when.to)
                            .expect("charts speak of channels that they have")
                    });
                    fences.push(Fence {
                        light: unit.number,
                        label: format!("{} {:?}", channel.name, range.label),
                        universe: address.universe,
                        spans: own.into_iter().chain(other).collect(),
                    });
                }
            }
        }
        Self(fences)
    }

    pub(super) const fn len(&self) -> usize {
        self.0.len()
    }

    /// The first fence that these frames stand behind, in words.
    pub(super) fn entered(&self, frames: &Frames) -> Option<String> {
        let fence = self.0.iter().find(|fence| {
            let slots = &frames.get(fence.universe).expect("every light's universe is sent").0;
            fence.spans.iter().all(|span| {
                let value = span.bytes.iter().fold(0_u16, |value, byte| value << 8 | u16::from(slots[*byte]));
                (span.from..=span.to).contains(&value)
            })
        })?;
        Some(format!("light {} enters {}", fence.light, fence.label))
    }
}

#[test]
fn the_watch_sees_a_slot_in_every_fence_of_the_shipped_charts_and_none_beside_it() {
    let mut seen = 0;
    for profile in lanthorn_store::shipped() {
        for mode in &profile.modes {
            let text = format!(
                "lanthorn = 1\n[show]\nname = \"one\"\n[room]\nname = \"hall\"\nx = [-6, 6]\ny = [-9, 4]\nheight = \"5 m\"\n\
                [[room.place]]\nname = \"bar\"\nkind = \"bar\"\nmiddle = [0, 0, 4.5]\nlength = \"8 m\"\n\
                [[unit]]\nnumber = 1\nprofile = \"{}\"\nmode = \"{}\"\nplace = \"bar\"\nat = \"0 m\"\naddress = \"1.101\"",
                profile.name, mode.name
            );
            let (file, problems) = lanthorn_store::read_show(&text);
            let rig = file.unwrap_or_else(|| panic!("{problems:?}")).rig;
            let fences = Fences::new(&rig);
            let universe = rig.units[0].address().unwrap().universe;
            for channel in mode.channels.iter().filter(|channel| channel.fine.is_none()) {
                let fenced =
                    |range: &&lanthorn_fixture::Range| range.danger.is_some() || range.hold.is_some();
                for range in channel.ranges.iter().filter(fenced) {
                    let mut frames = Frames::dark([universe]);
                    let slots = &mut frames.get_mut(universe).unwrap().0;
                    if let Some(when) = range.when {
                        slots[99 + usize::from(when.channel)] = u8::try_from(when.to).unwrap();
                    }
                    for value in [range.from, range.to] {
                        let slots = &mut frames.get_mut(universe).unwrap().0;
                        slots[99 + usize::from(channel.coarse)] = u8::try_from(value).unwrap();
                        let says =
                            fences.entered(&frames).unwrap_or_else(|| panic!("{}: {range:?}", profile.name));
                        assert!(says.starts_with("light 1 enters "), "{says}");
                        seen += 1;
                    }
                }
            }
        }
    }
    assert!(seen > 10, "the shipped charts warn of something: {seen}");
}
