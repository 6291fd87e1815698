//! A profile that is there already, told as a reading.

use lanthorn_fixture::mode::{Danger, RangeKind, Sense};
use lanthorn_fixture::{Attribute, Channel, Mode, Origin, Profile, Range};

use super::{ChannelReading, KindReading, ModeReading, RangeReading, Reading, Way, WhenReading};
use crate::chart::with_steady_light_of;
use crate::words::{DANGERS, ORIGINS, word};

/// What a profile says of its modes. 16-bit channels are told by the values of their coarse byte, with the fine byte as a
/// channel of its own.
pub fn of_profile(profile: &Profile) -> Reading {
    let mut reading = Reading { modes: profile.modes.iter().map(mode).collect(), questions: Vec::new() };
    with_steady_light_of(profile, &mut reading);
    reading
}

fn mode(mode: &Mode) -> ModeReading {
    let footprint = mode.footprint();
    let mut channels: Vec<ChannelReading> = Vec::new();
    for channel in &mode.channels {
        let coarse = coarse(channel, mode.heads > 1);
        if let Some(fine) = channel.fine {
            channels.push(ChannelReading {
                ch: fine,
                name: format!("{} fine", channel.name),
                fine_of: Some(channel.coarse),
                ranges: coarse
                    .ranges
                    .iter()
                    .find(|range| range.kind == KindReading::Level)
                    .map(whole)
                    .into_iter()
                    .collect(),
                ..coarse.clone()
            });
        }
        channels.push(coarse);
    }
    channels.sort_by_key(|channel| channel.ch);
    ModeReading {
        name: mode.name.clone(),
        footprint,
        last_start_address: 513_u16.checked_sub(footprint).filter(|last| *last > 0),
        channels,
        steady_on: None,
        virtual_dimmer: false,
    }
}

fn whole(range: &RangeReading) -> RangeReading {
    RangeReading {
        from: 0,
        to: 255,
        dir: Some(Way::Up),
        phys: None,
        unit: None,
        label: String::new(),
        ..range.clone()
    }
}

fn coarse(channel: &Channel, heads: bool) -> ChannelReading {
    let shift = if channel.fine.is_some() { 8 } else { 0 };
    ChannelReading {
        ch: channel.coarse,
        name: channel.name.clone(),
        fine_of: None,
        home: channel.home.value().map(|value| value >> shift),
        head: channel.head.filter(|_| heads),
        ranges: channel.ranges.iter().map(|one| range(one, shift)).collect(),
        lines: Vec::new(),
    }
}

fn range(range: &Range, shift: u32) -> RangeReading {
    let kind = match range.kind {
        RangeKind::Level => KindReading::Level,
        RangeKind::Fixed => KindReading::Fixed,
        RangeKind::Select => KindReading::Select,
        RangeKind::Nothing => KindReading::None,
    };
    let dir = (kind == KindReading::Level && range.origin != Origin::Guessed)
        .then_some(if range.direction == Sense::Down { Way::Down } else { Way::Up });
    let unit = match range.attribute {
        Attribute::Pan | Attribute::Tilt | Attribute::Zoom => Some("deg"),
        _ if range.attribute.name().contains("Strobe") => Some("Hz"),
        _ => None,
    };
    let state = match (&range.attribute, kind, range.physical) {
        (Attribute::Shutter1, KindReading::Fixed, Some((from, to))) if from >= 1.0 && to >= 1.0 => {
            Some("open")
        }
        (Attribute::Shutter1, KindReading::Fixed, Some((from, to))) if from <= 0.0 && to <= 0.0 => {
            Some("closed")
        }
        (_, _, _) if range.danger == Some(Danger::Sound) => Some("sound"),
        _ => None,
    };
    RangeReading {
        from: range.from >> shift,
        to: range.to >> shift,
        attr: range.attribute.name().to_owned(),
        kind,
        dir,
        state: state.map(str::to_owned),
        slot: range.slot,
        when: range.when.map(|when| WhenReading { ch: when.channel, from: when.from, to: when.to }),
        hold_s: range.hold.map(|hold| hold.get()),
        danger: range.danger.map(|danger| word(DANGERS, &danger).to_owned()),
        phys: range.physical,
        unit: range.physical.and(unit).map(str::to_owned),
        label: range.label.clone(),
        origin: word(ORIGINS, &range.origin).to_owned(),
        lines: Vec::new(),
    }
}
