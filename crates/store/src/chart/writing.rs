//! Numbers in other writings than decimal digits, told as such before anything else is read: channels and counts in words,
//! values in hexadecimal digits alone, channels counted from the start address, slots, a level told by its two ends, and
//! ranges of which the first value alone is printed, and those that lost the mark between their two; and words that lost the blanks between them. Each row keeps the number of its line.

mod first;
mod glued;
mod hex;
mod labels;
mod lost;

use super::text::{Row, plain};
use super::words::{is_number, listed};
use first::first_values;
use hex::hexadecimal;
use labels::{initial_labels, offsets, slots};

/// The rows with their numbers in decimal digits.
pub(super) fn in_digits(rows: Vec<Row>) -> Vec<Row> {
    let rows = glued::apart(rows);
    let rows = counts_in_words(rows);
    let rows = hexadecimal(rows);
    let rows = lost::marks(rows);
    let rows = offsets(rows);
    let rows = slots(rows);
    let rows = initial_labels(rows);
    let rows = rows.into_iter().map(two_ends).collect();
    first_values(rows)
}

/// Puts text in the place of some characters; columns behind it stay where they are, as far as a wide gap allows.
fn put(chars: &mut Vec<char>, from: usize, to: usize, text: &str) {
    let new: Vec<char> = text.chars().collect();
    let (old, len) = (to - from, new.len());
    let gap = chars[to..].iter().take_while(|c| **c == ' ').count();
    let mut to = to;
    let mut padded = new;
    if gap >= 2 && len < old {
        padded.extend(std::iter::repeat_n(' ', old - len));
    } else if gap > len.saturating_sub(old) + 1 {
        to += len.saturating_sub(old);
    }
    chars.splice(from..to, padded);
}

/// One to twenty, in five languages and Dutch; each list begins with one.
const NUMBERS: &[&str] = &[
    "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen|twenty",
    "eins|zwei|drei|vier|funf|sechs|sieben|acht|neun|zehn|elf|zwolf|dreizehn|vierzehn|funfzehn|sechzehn|siebzehn|achtzehn|neunzehn|zwanzig",
    "un|deux|trois|quatre|cinq|six|sept|huit|neuf|dix|onze|douze|treize|quatorze|quinze|seize",
    "uno|dos|tres|cuatro|cinco|seis|siete|ocho|nueve|diez|once|doce|trece|catorce|quince|dieciseis",
    "uno|due|tre|quattro|cinque|sei|sette|otto|nove|dieci|undici|dodici|tredici|quattordici|quindici|sedici",
    "een|twee|drie|vier|vijf|zes|zeven|acht|negen|tien|elf|twaalf|dertien|veertien|vijftien|zestien",
];
/// Words for a channel beside a number in words.
const CHANNEL: &str = "channel|channels|ch|kanal|kanale|canal|canaux|canales|canale|canali|voie|voies|kanaal|kanalen|slot|slots";
/// Words for a mode, which say that a number in words before "channels" is a count.
const MODE: &str = "mode|modus|modo|modes|way|operation|betrieb|betriebsart|personality|version|setting|weg|fonctionnement|\
    funzionamento|funcionamiento|bedrijf|stand";

/// A number in words, from one to twenty.
pub(super) fn number_word(word: &str) -> Option<u32> {
    let word = if word == "ein" { "eins" } else { word };
    NUMBERS
        .iter()
        .find_map(|list| list.split('|').position(|known| known == word))
        .and_then(|at| u32::try_from(at + 1).ok())
}

/// A word of a row: where it stands, and plain.
fn words_of(chars: &[char]) -> Vec<(usize, usize, String)> {
    let mut out = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        if !chars[at].is_alphabetic() {
            at += 1;
            continue;
        }
        let end = at + chars[at..].iter().take_while(|c| c.is_alphabetic()).count();
        out.push((at, end, plain(&chars[at..end].iter().collect::<String>())));
        at = end;
    }
    out
}

/// "Channel six", "the eight-channel way", "lamp two". Words become digits where a text counts its channels in words, and
/// right before "channel" in a heading.
fn counts_in_words(mut rows: Vec<Row>) -> Vec<Row> {
    let labels = rows
        .iter()
        .filter(|row| {
            let words = words_of(&row.chars);
            matches!(words.as_slice(), [(_, end, first), (at, _, second), ..]
                if listed(CHANNEL, first) && number_word(second).is_some() && at.saturating_sub(*end) <= 2)
        })
        .count();
    for row in &mut rows {
        let words = words_of(&row.chars);
        let short = words.len() <= 9 && words.iter().any(|(_, _, word)| listed(MODE, word));
        for (index, (from, to, word)) in words.iter().enumerate().rev() {
            let Some(number) = number_word(word) else { continue };
            let counts = short
                && words
                    .get(index + 1)
                    .is_some_and(|(at, _, next)| listed(CHANNEL, next) && at.saturating_sub(*to) <= 1);
            if labels >= 2 || counts {
                put(&mut row.chars, *from, *to, &number.to_string());
            }
        }
    }
    rows
}

/// "0 is dark and 255 is full": one level, told by its two ends.
fn two_ends(mut row: Row) -> Row {
    const IS: &str = "is|ist|est|es|e|means|gives|bedeutet|heisst";
    let text = row.text();
    let Some(at) = (0..row.chars.len()).find(|at| {
        row.chars[*at] == '0'
            && (*at == 0
                || !row.chars[at - 1].is_alphanumeric() && !matches!(row.chars[at - 1], '-' | '.' | ','))
            && row.chars.get(at + 1).is_some_and(|c| matches!(c, ' ' | '=' | ':'))
    }) else {
        return row;
    };
    let tail: String = row.chars[at..].iter().collect();
    let said = plain(&tail);
    let words: Vec<&str> = said.split(' ').collect();
    let equals = tail.matches(['=', ':']).count() >= 2;
    let Some(high) = words.iter().position(|word| *word == "255") else { return row };
    let verb = |at: usize| words.get(at).is_some_and(|word| listed(IS, word));
    let joined = words[1..high].iter().all(|word| !word.chars().any(|c| c.is_ascii_digit()));
    if words.first() != Some(&"0")
        || !(2..=8).contains(&high)
        || !joined
        || !(equals || verb(1) && verb(high + 1))
    {
        return row;
    }
    let clean = |words: &[&str]| {
        let kept: Vec<&str> = words
            .iter()
            .copied()
            .filter(|word| !listed(IS, word) && !matches!(*word, "and" | "und" | "et" | "y"))
            .collect();
        kept.join(" ")
    };
    let told = format!("0-255 {} to {}", clean(&words[1..high]), clean(&words[high + 1..]));
    if words[high + 1..].iter().any(|word| is_number(word)) || text.len() > 300 {
        return row;
    }
    row.chars.truncate(at);
    row.chars.extend(told.chars());
    row
}

#[cfg(test)]
mod tests {
    use super::super::text::rows;
    use super::*;

    fn read(text: &str) -> Vec<String> {
        in_digits(rows(text))
            .iter()
            .map(|row| row.text().split_whitespace().collect::<Vec<_>>().join(" "))
            .collect()
    }

    #[test]
    fn numbers_in_words() {
        assert_eq!(
            read(
                "The eight-channel way\nChannel one   Lamp two, 0 to 255\nChannel two   0 is dark and 255 is full"
            ),
            ["The 8-channel way", "Channel 1 Lamp 2, 0 to 255", "Channel 2 0-255 dark to full"]
        );
        assert_eq!(read("one step to the left"), ["one step to the left"]);
    }

    #[test]
    fn hexadecimal_alone() {
        assert_eq!(
            read("00h..0Fh shut\n$10-$1F open\n0x20 - 0xFF flash"),
            ["0-15 shut", "16-31 open", "32-255 flash"]
        );
        // Beside decimal ones they are left for later, which takes them out.
        assert_eq!(read("000-007 00h-07h open\n128-255 80h-FFh shut")[1], "128-255 80h-FFh shut");
        assert_eq!(
            read("Values are hexadecimal\n10-1F open\n20-FF shut")[1..],
            ["16-31 open", "32-255 shut"]
        );
        assert_eq!(read("10-19 red\n20-29 blue"), ["10-19 red", "20-29 blue"]);
    }

    #[test]
    fn channels_from_the_start_address() {
        assert_eq!(
            read("S+0, S+1   Intensity   0-65535\nS+2   Red   0-255\nS+3   Blue   0-255"),
            ["CH1/CH2 Intensity 0-65535", "CH3 Red 0-255", "CH4 Blue 0-255"]
        );
        assert_eq!(
            read("0-255 Red ..... slot 1\n0-255 Green ..... slot 2\n0-255 Blue ..... slot 3")[2],
            "0-255 Blue ..... CH 3"
        );
        assert_eq!(read("CH1 0-9 slot 1\n10-19 slot 2\n20-29 slot 3")[1], "10-19 slot 2");
    }

    #[test]
    fn first_values_alone() {
        assert_eq!(
            read("1 Shutter\nfrom 0 shut\nfrom 8 open\n2 Red\nfrom 0 0 to 100 %\n3 Blue\nab 0\nab 9 voll"),
            [
                "1 Shutter",
                "0-7 shut",
                "8-255 open",
                "2 Red",
                "0-255 0 to 100 %",
                "3 Blue",
                "0-8",
                "9-255 voll"
            ]
        );
    }
}
