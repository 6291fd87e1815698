//! From a profile to text.

use lanthorn_fixture::mode::{Danger, RangeKind, Sense};
use lanthorn_fixture::profile::{Kept, Optics, Response};
use lanthorn_fixture::{Attribute, Channel, Fact, Mode, Origin, Profile, Range};

use crate::ink::{angle, line, lines, list, number, quoted, with_unit};
use crate::words::{ADDRESSINGS, DANGERS, KINDS, ON_LOSS, ORIGINS, RANGE_KINDS, RESPONSES, SENSES, word};

/// Appends a profile. `within` is "profile." under `[[profile]]` in a show, empty in a file of its own.
pub(crate) fn profile(out: &mut String, profile: &Profile, within: &str) {
    line(out, "name", &quoted(&profile.name));
    line(out, "kind", &quoted(word(KINDS, &profile.kind)));
    fact(out, "noise", &profile.noise, |noise| with_unit(noise.get(), "dBA"));
    facts(out, profile, within);
    for emitter in &profile.emitters {
        out.push_str(&format!("\n[[{within}emitter]]\n"));
        line(out, "name", &quoted(&emitter.name));
        line(out, "does", &quoted(emitter.attribute.name()));
        fact(out, "colour", &emitter.chromaticity, |xy| list([number(xy.x), number(xy.y)]));
        fact(out, "output", &emitter.output, |output| number(*output));
        fact(out, "watts", &emitter.watts, |watts| with_unit(watts.get(), "W"));
    }
    for wheel in &profile.wheels {
        out.push_str(&format!("\n[[{within}wheel]]\n"));
        line(out, "does", &quoted(wheel.attribute.name()));
        out.push_str("slots = [\n");
        for slot in &wheel.slots {
            let mut keys = vec![format!("name = {}", quoted(&slot.name))];
            keys.extend(inline_fact("colour", &slot.chromaticity, |xy| list([number(xy.x), number(xy.y)])));
            keys.extend(inline_fact("passes", &slot.transmission, |passes| number(*passes)));
            out.push_str(&format!("  {{ {} }},\n", keys.join(", ")));
        }
        out.push_str("]\n");
    }
    for programme in &profile.programmes {
        out.push_str(&format!("\n[[{within}programme]]\n"));
        line(out, "name", &quoted(&programme.name));
        if programme.sound {
            line(out, "sound", "true");
        }
        line(out, "menu", &quoted(&programme.menu));
    }
    for one in &profile.modes {
        mode(out, one, within);
    }
    kept(out, &profile.kept, within);
}

/// What another file said and nothing here understands.
pub(crate) fn kept(out: &mut String, list: &[Kept], within: &str) {
    for one in list {
        out.push_str(&format!("\n[[{within}kept]]\n"));
        line(out, "at", &quoted(&one.at));
        line(out, "text", &lines_or_quoted(&one.text));
    }
}

fn lines_or_quoted(text: &str) -> String {
    if text.contains('\n') { lines(text) } else { quoted(text) }
}

/// The tables of facts; an empty one is left out, except that of a movement whose facts are all unknown.
fn facts(out: &mut String, profile: &Profile, within: &str) {
    let length = |value: &lanthorn_physics::units::Metres| with_unit(value.get(), "m");
    table(out, &format!("{within}body"), false, |out| {
        fact(out, "width", &profile.body.width, length);
        fact(out, "depth", &profile.body.depth, length);
        fact(out, "height", &profile.body.height, length);
        fact(out, "weight", &profile.body.weight, |weight| with_unit(weight.get(), "kg"));
    });
    table(out, &format!("{within}power"), false, |out| {
        let power = &profile.power;
        fact(out, "watts", &power.watts, |watts| with_unit(watts.get(), "W"));
        fact(out, "power_factor", &power.power_factor, |factor| number(*factor));
        fact(out, "supply", &power.supply, |(low, high)| {
            list([with_unit(low.get(), "V"), with_unit(high.get(), "V")])
        });
        fact(out, "through", &power.through, |amps| with_unit(amps.get(), "A"));
        fact(out, "connector", &power.connector, |text| quoted(text));
        fact(out, "leakage", &power.leakage, |amps| with_unit(amps.get(), "A"));
        fact(out, "inrush", &power.inrush, |amps| with_unit(amps.get(), "A"));
        fact(out, "battery", &power.battery, |energy| with_unit(energy.get(), "Wh"));
    });
    table(out, &format!("{within}data"), false, |out| {
        let data = &profile.data;
        fact(out, "unit_load", &data.unit_load, |load| number(*load));
        fact(out, "connector", &data.connector, |text| quoted(text));
        fact(out, "on_loss", &data.on_loss, |on_loss| quoted(word(ON_LOSS, on_loss)));
        fact(out, "addressing", &data.addressing, |addressing| quoted(word(ADDRESSINGS, addressing)));
        fact(out, "counts_from", &data.counts_from, u8::to_string);
        fact(out, "rdm", &data.rdm, |rdm| quoted(&format!("{:04x}:{:04x}", rdm.manufacturer, rdm.model)));
    });
    if let Some(movement) = &profile.movement {
        let time = |value: &lanthorn_physics::units::Seconds| with_unit(value.get(), "s");
        table(out, &format!("{within}movement"), true, |out| {
            fact(out, "pan_travel", &movement.pan_travel, |travel| angle(*travel));
            fact(out, "tilt_travel", &movement.tilt_travel, |travel| angle(*travel));
            fact(out, "pan_time", &movement.pan_time, time);
            fact(out, "tilt_time", &movement.tilt_time, time);
            fact(out, "pan_acceleration", &movement.pan_acceleration, time);
            fact(out, "tilt_acceleration", &movement.tilt_acceleration, time);
        });
    }
    table(out, &format!("{within}optics"), false, |out| {
        let optics = &without_measured(&profile.optics);
        fact(out, "beam", &optics.beam, |beam| angle(*beam));
        fact(out, "field", &optics.field, |field| angle(*field));
        fact(out, "peak", &optics.peak, |peak| with_unit(peak.get(), "cd"));
        fact(out, "flux", &optics.flux, |flux| with_unit(flux.get(), "lm"));
        fact(out, "response", &optics.response, |response| match response {
            Response::Measured(curve) => list(curve.points().iter().map(|point| list(point.map(number)))),
            known => quoted(word(RESPONSES, known)),
        });
        if let Some(measured) = &optics.measured {
            line(out, "ies", &lines(&measured.text));
        }
    });
    table(out, &format!("{within}menu"), false, |out| {
        fact(out, "address", &profile.menu.address, |text| quoted(text));
        fact(out, "leader", &profile.menu.leader, |text| quoted(text));
        fact(out, "follower", &profile.menu.follower, |text| quoted(text));
    });
}

/// What a measured beam says of itself is not written beside it: it is found anew.
fn without_measured(optics: &Optics) -> Optics {
    let mut from_file = Optics { measured: optics.measured.clone(), ..Optics::default() };
    from_file.fill_from_measured();
    let mut own = optics.clone();
    fn forget<T: PartialEq>(own: &mut Fact<T>, from_file: &Fact<T>) {
        if own == from_file {
            *own = Fact::unknown();
        }
    }
    forget(&mut own.beam, &from_file.beam);
    forget(&mut own.field, &from_file.field);
    forget(&mut own.peak, &from_file.peak);
    forget(&mut own.flux, &from_file.flux);
    own
}

fn table(out: &mut String, name: &str, even_empty: bool, fill: impl FnOnce(&mut String)) {
    let mut inside = String::new();
    fill(&mut inside);
    if even_empty || !inside.is_empty() {
        out.push_str(&format!("\n[{name}]\n{inside}"));
    }
}

fn fact<T>(out: &mut String, key: &str, fact: &Fact<T>, show: impl Fn(&T) -> String) {
    if let Some(text) = inline_fact(key, fact, show) {
        out.push_str(&text);
        out.push('\n');
    }
}

fn inline_fact<T>(key: &str, fact: &Fact<T>, show: impl Fn(&T) -> String) -> Option<String> {
    let value = show(fact.get()?);
    // The text "unknown" would read back as no value at all unless its origin stands beside it.
    if fact.origin() == Origin::Stated && value != "\"unknown\"" {
        return Some(format!("{key} = {value}"));
    }
    Some(format!("{key} = {{ {} = {value} }}", word(ORIGINS, &fact.origin())))
}

fn mode(out: &mut String, mode: &Mode, within: &str) {
    out.push_str(&format!("\n[[{within}mode]]\n"));
    line(out, "name", &quoted(&mode.name));
    fact(out, "menu", &mode.menu, |text| quoted(text));
    if !mode.breaks.is_empty() {
        line(out, "breaks", &list(mode.breaks.iter().map(u16::to_string)));
    }
    if mode.heads != 1 {
        line(out, "heads", &mode.heads.to_string());
    }
    for one in &mode.channels {
        out.push_str(&format!("\n[[{within}mode.channel]]\n"));
        channel(out, one);
    }
}

fn channel(out: &mut String, channel: &Channel) {
    let at = match channel.fine {
        Some(fine) => format!("[{}, {fine}]", channel.coarse),
        None => channel.coarse.to_string(),
    };
    line(out, "at", &at);
    line(out, "name", &quoted(&channel.name));
    if let Some(head) = channel.head {
        line(out, "head", &(u16::from(head) + 1).to_string());
    }
    fact(out, "home", &channel.home, u16::to_string);
    match &channel.ranges[..] {
        [only] if (only.from, only.to) == (0, channel.full()) => {
            for (key, value) in range(only) {
                line(out, key, &value);
            }
        }
        ranges => {
            out.push_str("ranges = [\n");
            for one in ranges {
                let keys: Vec<String> = std::iter::once(format!("values = {}", values(one.from, one.to)))
                    .chain(range(one).into_iter().map(|(key, value)| format!("{key} = {value}")))
                    .collect();
                out.push_str(&format!("  {{ {} }},\n", keys.join(", ")));
            }
            out.push_str("]\n");
        }
    }
}

fn values(from: u16, to: u16) -> String {
    if from == to { from.to_string() } else { quoted(&format!("{from}-{to}")) }
}

/// The keys of a range, those left out that a reader fills in by itself.
fn range(range: &Range) -> Vec<(&'static str, String)> {
    let mut keys = Vec::new();
    let nothing = range.attribute == Attribute::NoFeature;
    if !nothing {
        keys.push(("does", quoted(range.attribute.name())));
    }
    let usual = match (nothing, range.slot) {
        (true, _) => RangeKind::Nothing,
        (false, Some(_)) => RangeKind::Fixed,
        (false, None) => RangeKind::Level,
    };
    if range.kind != usual {
        keys.push(("kind", quoted(word(RANGE_KINDS, &range.kind))));
    }
    if range.direction != Sense::Up {
        keys.push(("sense", quoted(word(SENSES, &range.direction))));
    }
    if let Some((from, to)) = range.physical {
        let same = from.to_bits() == to.to_bits();
        keys.push(("physical", if same { number(from) } else { list([number(from), number(to)]) }));
    }
    if let Some(slot) = range.slot {
        keys.push(("slot", slot.to_string()));
    }
    if let Some(when) = range.when {
        let span = values(when.from, when.to);
        keys.push(("when", format!("{{ channel = {}, values = {span} }}", when.channel)));
    }
    if let Some(hold) = range.hold {
        keys.push(("hold", with_unit(hold.get(), "s")));
    }
    if let Some(danger) = range.danger {
        let danger: Danger = danger;
        keys.push(("danger", quoted(word(DANGERS, &danger))));
    }
    if !range.label.is_empty() {
        keys.push(("label", quoted(&range.label)));
    }
    if range.origin != Origin::Stated {
        keys.push(("origin", quoted(word(ORIGINS, &range.origin))));
    }
    keys
}
