//! Charts of lights for the page: their reading, the text of a PDF, and what a kind of light's channels do; and what may be
//! tried on one channel.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use lanthorn_dmx::Address;
use lanthorn_fixture::mode::Danger;
use lanthorn_fixture::profile::Kind;
use lanthorn_fixture::{Attribute, Channel, Range};
use lanthorn_live::Trial;
use lanthorn_physics::Span;
use lanthorn_store::reading::of_profile;
use lanthorn_store::{MOST_CHART_BYTES, chart, shipped_profile};
use serde::Serialize;

use crate::current::Both;
use crate::pdf_text;
use crate::wire::{ChartAsk, Intent, KindView};
use crate::words::capital;

/// The reading of a chart.
pub(crate) fn read(ask: &ChartAsk) -> Response {
    if ask.text.len() > MOST_CHART_BYTES {
        let why = format!("This text has {} KB: keep the pages of the chart alone.", ask.text.len() >> 10);
        return (StatusCode::PAYLOAD_TOO_LARGE, why).into_response();
    }
    answer(&chart::read(&ask.text, &ask.answers))
}

/// The text of a PDF, or why there is none.
pub(crate) fn text_of(bytes: Vec<u8>) -> Response {
    match pdf_text::text_of(bytes) {
        Ok(text) => ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response(),
        Err(why) => (StatusCode::UNPROCESSABLE_ENTITY, format!("{}.", capital(&why))).into_response(),
    }
}

/// What the channels of a kind of light do: of the show's own before the library's.
pub(crate) fn kind(both: &Both, query: &str) -> Response {
    let name = query.strip_prefix("name=").and_then(unescaped).unwrap_or_default();
    let own = both.text.profiles.iter().find(|profile| profile.name == name).cloned();
    let Some(profile) = own.or_else(|| shipped_profile(&name)) else {
        return (StatusCode::NOT_FOUND, "There is no such kind of light.").into_response();
    };
    let kept = both.text.charts.iter().find(|kept| kept.chart.profile == name).map(|kept| &kept.chart);
    answer(&KindView {
        name,
        reading: of_profile(&profile),
        text: kept.map(|kept| kept.text.clone()),
        answers: kept.map(|kept| kept.answers.clone()).unwrap_or_default(),
    })
}

fn answer(what: &impl Serialize) -> Response {
    match serde_json::to_string(what) {
        Ok(text) => {
            let how = [(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")];
            (how, text).into_response()
        }
        Err(error) => (StatusCode::INTERNAL_SERVER_ERROR, error.to_string()).into_response(),
    }
}

/// A word of a request as it was before a browser wrote it in hexadecimal.
fn unescaped(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        bytes.push(match byte {
            b'%' => {
                let hex = [rest.next()?, rest.next()?];
                u8::from_str_radix(std::str::from_utf8(&hex).ok()?, 16).ok()?
            }
            b'+' => b' ',
            byte => byte,
        });
    }
    String::from_utf8(bytes).ok()
}

/// What an intent asks to be tried; none where it asks nothing of the kind. A refusal is a sentence.
pub(crate) fn trial(intent: &Intent, both: &Both) -> Option<Result<Option<Trial>, String>> {
    let Intent::ChannelTry { unit, channel, value, sure } = intent else {
        return matches!(intent, Intent::ChannelRelease).then_some(Ok(None));
    };
    let index = both.rig.index_of(*unit)?;
    let light = &both.rig.units[index];
    let Some(address) = light.address() else {
        return Some(Err(format!("Light {unit} has no address: nothing can be sent to it.")));
    };
    let place = light.mode().channels.iter().find(|one| one.coarse == *channel || one.fine == Some(*channel));
    let offset = channel.checked_sub(1).filter(|offset| *offset < light.mode().footprint());
    let slot = offset.and_then(|offset| {
        Address::new(address.universe.number().into(), u32::from(address.slot.number()) + u32::from(offset))
            .ok()
    });
    let Some(slot) = slot else {
        return Some(Err(format!("Light {unit} has no channel {channel} in this mode.")));
    };
    let does = place.filter(|place| place.coarse == *channel).and_then(|place| may_harm(place, *value));
    if let Some(what) = does.filter(|_| !sure) {
        return Some(Err(format!("{what} Press once more if that is what you want.")));
    }
    let fog = light.profile.kind == Kind::Hazer;
    let flash = Span::from_secs(1.0 / both.rig.limits.in_force().get().max(0.1));
    Some(Ok(Some(Trial { unit: index, slot, value: *value, lit: !fog, pace: flash })))
}

/// Why a value may not be sent by one press alone.
fn may_harm(channel: &Channel, value: u8) -> Option<&'static str> {
    let value = if channel.fine.is_some() { u16::from(value) << 8 } else { u16::from(value) };
    channel
        .ranges
        .iter()
        .filter(|range| (range.from..=range.to).contains(&value))
        .find_map(|range| harm(range, value))
}

fn harm(range: &Range, value: u16) -> Option<&'static str> {
    match (range.danger, &range.attribute) {
        (Some(Danger::Reset), _) => Some("Here the light starts anew, and its head may swing anywhere."),
        (Some(Danger::Heater), _) => Some("Here a heater, a pump or the lamp itself is switched."),
        (Some(Danger::Sound), _) => {
            Some("Here the light listens to its own microphone, outside the limit on flashes.")
        }
        (Some(Danger::Programme), _) => {
            Some("Here the light runs a programme of its own, outside the limit on flashes.")
        }
        (Some(Danger::Other), _) => Some("The manual warns of this value."),
        (None, Attribute::Fog1 | Attribute::Haze1) if value > range.from => {
            Some("This makes fog or haze: see to smoke alarms and to who breathes it first.")
        }
        (
            None,
            Attribute::Shutter1Strobe
            | Attribute::Shutter1StrobePulse
            | Attribute::Shutter1StrobeRandom
            | Attribute::StrobeRate,
        ) => Some("Here the light flashes, outside the limit on flashes: that can bring on seizures."),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_as_a_browser_writes_them() {
        assert_eq!(unescaped("small%20spot+head%C3%A4").as_deref(), Some("small spot headä"));
        assert_eq!(unescaped("a%2"), None);
        assert_eq!(unescaped("a%ff"), None);
    }

    #[test]
    fn what_may_harm_wants_a_second_press() {
        let spot = shipped_profile("small spot head").unwrap();
        let channels = &spot.modes[0].channels;
        let mut asked = 0;
        for channel in channels {
            for value in 0..=u8::MAX {
                let wide = if channel.fine.is_some() { u16::from(value) << 8 } else { u16::from(value) };
                let at = |range: &&Range| (range.from..=range.to).contains(&wide);
                let danger = channel.ranges.iter().filter(at).any(|range| range.danger.is_some());
                let says = may_harm(channel, value);
                assert!(!danger || says.is_some(), "{} {value}", channel.name);
                asked += usize::from(says.is_some());
            }
        }
        assert!(asked > 50, "{asked}");
        let dimmer = channels.iter().find(|channel| channel.name == "dimmer").unwrap();
        assert!((0..=u8::MAX).all(|value| may_harm(dimmer, value).is_none()));
    }
}
