//! What differs between two descriptions of a light, in words.

use std::collections::BTreeMap;

use lanthorn_fixture::{Channel, Mode, Profile, Range};

use super::identity::identity;
use super::telling::{facts, meaning, place, values};
use crate::profile_file::write_profile;

/// One thing that differs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// Where: a fact, or a place in a chart ("mode \"8 channels\", channel 3").
    pub at: String,
    /// How: "28 W is now 30 W (guessed)".
    pub how: String,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.at, self.how)
    }
}

/// Everything that differs, facts first, then mode by mode in the order of the charts. Empty when both have one identity.
pub fn difference(old: &Profile, new: &Profile) -> Vec<Difference> {
    if identity(old) == identity(new) {
        return Vec::new();
    }
    let mut list = Vec::new();
    if old.name != new.name {
        list.push(told("name", format!("\"{}\" is now \"{}\"", old.name, new.name)));
    }
    of_facts(old, new, &mut list);
    if photometry(old) != photometry(new) {
        let how = match (old.optics.measured.is_some(), new.optics.measured.is_some()) {
            (false, true) => "is new",
            (true, false) => "is gone",
            _ => "is another",
        };
        list.push(told("photometric file", how.to_owned()));
    }
    of_modes(old, new, &mut list);
    if list.is_empty() {
        list.extend(of_lines(old, new));
    }
    list
}

fn told(at: impl Into<String>, how: String) -> Difference {
    Difference { at: at.into(), how }
}

fn photometry(profile: &Profile) -> Option<&str> {
    profile.optics.measured.as_ref().map(|measured| measured.text.as_str())
}

fn of_facts(old: &Profile, new: &Profile, list: &mut Vec<Difference>) {
    let (before, after) = (facts(old), facts(new));
    let after_by: BTreeMap<&str, String> =
        after.iter().map(|line| (line.what.as_str(), line.told())).collect();
    for line in &before {
        match after_by.get(line.what.as_str()) {
            Some(now) if *now != line.told() => {
                list.push(told(&line.what, format!("{} is now {now}", line.told())));
            }
            Some(_) => {}
            None => list.push(told(&line.what, "is gone".to_owned())),
        }
    }
    for line in after.iter().filter(|line| before.iter().all(|known| known.what != line.what)) {
        list.push(told(&line.what, format!("is new: {}", line.told())));
    }
}

fn of_modes(old: &Profile, new: &Profile, list: &mut Vec<Difference>) {
    for mode in &old.modes {
        let at = format!("mode \"{}\"", mode.name);
        match new.mode(&mode.name) {
            None => list.push(told(at, "is gone".to_owned())),
            Some(now) => of_mode(&at, mode, now, list),
        }
    }
    for mode in new.modes.iter().filter(|mode| old.mode(&mode.name).is_none()) {
        list.push(told(format!("mode \"{}\"", mode.name), format!("is new, {} channels", mode.footprint())));
    }
    let common = |of: &Profile, other: &Profile| -> Vec<String> {
        of.modes.iter().map(|mode| mode.name.clone()).filter(|name| other.mode(name).is_some()).collect()
    };
    if common(old, new) != common(new, old) {
        list.push(told("modes", "stand in another order; the first is taken where none is named".to_owned()));
    }
}

fn of_mode(at: &str, old: &Mode, new: &Mode, list: &mut Vec<Difference>) {
    let menu = |mode: &Mode| mode.menu.get().map_or("not known".to_owned(), |menu| format!("\"{menu}\""));
    if old.menu != new.menu {
        let (before, after) = (menu(old), menu(new));
        let how = if before == after {
            "comes from elsewhere".to_owned()
        } else {
            format!("{before} is now {after}")
        };
        list.push(told(format!("{at}, menu"), how));
    }
    if old.footprint() != new.footprint() {
        list.push(told(at, format!("takes {} channels instead of {}", new.footprint(), old.footprint())));
    }
    if old.heads != new.heads {
        list.push(told(at, format!("has {} heads instead of {}", new.heads, old.heads)));
    }
    for channel in &old.channels {
        let here = format!("{at}, channel {}", place(channel));
        match new.channels.iter().find(|other| other.coarse == channel.coarse) {
            None => list.push(told(here, format!("\"{}\" is gone", channel.name))),
            Some(now) => of_channel(&here, channel, now, list),
        }
    }
    let is_new = |channel: &&Channel| old.channels.iter().all(|known| known.coarse != channel.coarse);
    for channel in new.channels.iter().filter(is_new) {
        let does: Vec<String> = channel.ranges.iter().map(whole).collect();
        let how = format!("\"{}\" is new: {}", channel.name, does.join("; "));
        list.push(told(format!("{at}, channel {}", place(channel)), how));
    }
}

fn of_channel(at: &str, old: &Channel, new: &Channel, list: &mut Vec<Difference>) {
    let mut push = |how: String| list.push(told(at, how));
    if old.name != new.name {
        push(format!("\"{}\" is now \"{}\"", old.name, new.name));
    }
    if old.fine != new.fine {
        push(match (old.fine, new.fine) {
            (_, Some(fine)) => format!("its fine byte is at {fine} now"),
            (_, None) => "it has no fine byte any more".to_owned(),
        });
    }
    if old.head != new.head {
        let head = |head: Option<u8>| {
            head.map_or("on all heads".to_owned(), |head| format!("on head {}", u16::from(head) + 1))
        };
        push(format!("acts {} instead of {}", head(new.head), head(old.head)));
    }
    if old.home != new.home {
        let home = |channel: &Channel| {
            let origin = super::telling::origin_word(channel.home.origin());
            channel.home.value().map_or("found from the ranges".to_owned(), |at| format!("{at} ({origin})"))
        };
        push(format!("it rests at: {} is now {}", home(old), home(new)));
    }
    let mut left: Vec<&Range> = new.ranges.iter().collect();
    let mut gone: Vec<&Range> = Vec::new();
    for range in &old.ranges {
        match left.iter().position(|other| *other == range) {
            Some(place) => drop(left.remove(place)),
            None => gone.push(range),
        }
    }
    for range in gone {
        let alike = |other: &&Range| (other.from, other.to, other.when) == (range.from, range.to, range.when);
        // The same values with another meaning, else the same meaning at other values.
        let moved = |other: &&Range| meaning(other) == meaning(range);
        let found = left.iter().position(alike).or_else(|| left.iter().position(moved));
        match found.map(|place| left.remove(place)) {
            Some(now) => push(changed(range, now)),
            None => push(format!("{} is gone", whole(range))),
        }
    }
    for range in left {
        push(format!("{} is new", whole(range)));
    }
}

/// "10–255 strobe 1 to 20 Hz is now 1 to 18 Hz".
fn changed(old: &Range, new: &Range) -> String {
    let (before, after) = (meaning(old), meaning(new));
    let mut how = if (old.from, old.to) == (new.from, new.to) {
        if before == after {
            whole(old)
        } else {
            format!("{} {before} is now {after}", values(old.from, old.to))
        }
    } else {
        format!("{} {before} is at {} now", values(old.from, old.to), values(new.from, new.to))
    };
    if old.danger != new.danger || old.hold != new.hold {
        how.push_str(match (old.danger.is_some(), new.danger.is_some()) {
            (false, true) => "; it is fenced now",
            (true, false) => "; it is no longer fenced",
            _ => "; what it warns of is another",
        });
    }
    if old.origin != new.origin {
        let word = super::telling::origin_word;
        how.push_str(&format!("; {} instead of {}", word(new.origin), word(old.origin)));
    }
    if old.kind != new.kind && before == after {
        how.push_str("; how its values differ is another");
    }
    if old.direction != new.direction && before == after {
        how.push_str("; it runs the other way");
    }
    how
}

fn whole(range: &Range) -> String {
    format!("{} {}", values(range.from, range.to), meaning(range))
}

/// What no sentence above tells: the first lines that differ.
fn of_lines(old: &Profile, new: &Profile) -> Option<Difference> {
    let (old, new) = (write_profile(old), write_profile(new));
    let pair = old.lines().zip(new.lines()).find(|(before, after)| before != after);
    let how = pair
        .map_or("one of them goes on".to_owned(), |(before, after)| format!("`{before}` is now `{after}`"));
    Some(told("text", how))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::shipped;
    use crate::profile_file::read_profile;

    const PAR: &str = include_str!("../../profiles/rgbw-par.toml");

    fn read(text: &str) -> Profile {
        let (profile, problems) = read_profile(text);
        profile.unwrap_or_else(|| panic!("{problems:?}"))
    }

    /// A change of the text, and what is said of it.
    const ROWS: &[(&str, &str, &[&str])] = &[
        (
            "watts = \"72 W\"",
            "watts = { guessed = \"80 W\" }",
            &["power at full: 72 W is now 80 W (guessed)"],
        ),
        ("through = \"8 A\"\n", "", &["may pass on: 8 A is now not known"]),
        ("menu = \"P 03\"", "menu = \"P 04\"", &["programme \"slow colours\": \"P 03\" is now \"P 04\""]),
        (
            "name = \"4 channels\"\nmenu = \"n 4\"",
            "name = \"4 colours\"\nmenu = \"n 4\"",
            &["mode \"4 channels\": is gone", "mode \"4 colours\": is new, 4 channels"],
        ),
        (
            "values = \"11-255\", does = \"Shutter1Strobe\", label",
            "values = \"11-255\", does = \"Shutter1Strobe\", physical = [1, 18], label",
            &[
                "mode \"8 channels\", channel 6: 11–255 strobe, slow to fast [Shutter1Strobe] is now strobe, slow to fast [Shutter1Strobe], 1 to 18 Hz",
            ],
        ),
        (
            "values = \"0-10\", label",
            "values = \"0-9\", label",
            &["mode \"8 channels\", channel 7: 0–10 no function is at 0–9 now"],
        ),
        (
            "values = \"1-5\", does = \"Effects1\", kind = \"fixed\", danger = \"sound\"",
            "values = \"1-5\", does = \"Effects1\", kind = \"fixed\"",
            &["mode \"8 channels\", channel 6: 1–5 with the music [Effects1]; it is no longer fenced"],
        ),
        (
            "at = 5\nname = \"white\"",
            "at = 9\nname = \"white\"",
            &[
                "mode \"8 channels\": takes 9 channels instead of 8",
                "mode \"8 channels\", channel 5: \"white\" is gone",
                "mode \"8 channels\", channel 9: \"white\" is new: 0–255 ColorAdd_W",
            ],
        ),
    ];

    #[test]
    fn differences_are_told_in_words() {
        let old = read(PAR);
        for (from, to, says) in ROWS {
            let text = PAR.replacen(from, to, 1);
            assert_ne!(text, PAR, "{from}");
            let list: Vec<String> = difference(&old, &read(&text)).iter().map(ToString::to_string).collect();
            assert_eq!(list, *says, "{from}");
        }
        assert_eq!(difference(&old, &read(&PAR.replace('#', "# ,"))), []);
    }

    /// Whatever line of whatever chart is left out or another figure stands in it: something is told.
    #[test]
    fn no_difference_is_silent() {
        let mut told = 0;
        for (of, profile) in shipped().iter().enumerate() {
            let text = write_profile(profile);
            // One line in five: another fifth of each chart.
            for (index, line) in text.lines().enumerate().filter(|(index, _)| (index + of) % 5 == 0) {
                let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
                lines[index] = line.replace('1', "2");
                for lines in [lines.clone(), [&lines[..index], &lines[index + 1..]].concat()] {
                    let Some(other) = read_profile(&lines.join("\n")).0 else { continue };
                    if identity(&other) != identity(profile) {
                        let list = difference(profile, &other);
                        assert!(
                            !list.is_empty() && list.iter().all(|one| one.at != "text"),
                            "{line}: {list:?}"
                        );
                        told += 1;
                    }
                }
            }
        }
        assert!(told > 500, "{told}");
    }
}
