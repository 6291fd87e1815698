//! Numbers in other writings than decimal digits, told as such before anything else is read: channels and counts in words,
//! values in hexadecimal digits alone, channels counted from the start address, slots, a level told by its two ends, and
//! ranges of which the first value alone is printed. Each row keeps the number of its line.

use super::text::{Row, plain};
use super::words::{Said, is_number, listed};

/// The rows with their numbers in decimal digits.
pub(super) fn in_digits(rows: Vec<Row>) -> Vec<Row> {
    let rows = counts_in_words(rows);
    let rows = hexadecimal(rows);
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

/// Two digits of a hexadecimal number at a place, with the mark that says so ("0x1F", "$1F", "1Fh") or without.
fn hex_at(chars: &[char], at: usize) -> Option<(u32, usize, bool)> {
    if at > 0 && (chars[at - 1].is_alphanumeric() || matches!(chars[at - 1], '$' | '#')) {
        return None;
    }
    let lead = match chars.get(at..) {
        Some(['0', 'x' | 'X', ..]) => 2,
        Some(['$' | '#', ..]) => 1,
        _ => 0,
    };
    let digits: String = chars.get(at + lead..at + lead + 2)?.iter().collect();
    let value = u32::from_str_radix(&digits, 16).ok().filter(|_| !digits.starts_with('+'))?;
    let mut end = at + lead + 2;
    let tail = matches!(chars.get(end), Some('h' | 'H'));
    end += usize::from(tail);
    let over = chars.get(end).is_some_and(|c| c.is_alphanumeric());
    (!over).then_some((value, end, lead > 0 || tail))
}

/// "10h..1Fh" at a place: its values, where it ends, and whether both are marked as hexadecimal.
fn hex_span(chars: &[char], at: usize) -> Option<(u32, u32, usize, bool)> {
    let (from, mut end, first) = hex_at(chars, at)?;
    let start = end;
    while chars.get(end).is_some_and(|c| matches!(c, ' ' | '-' | '.' | '~' | '→' | '>' | '÷'))
        && end < start + 6
    {
        end += 1;
    }
    let marked = chars[start..end].iter().any(|c| *c != ' ');
    let (to, end, second) = hex_at(chars, end).filter(|_| marked)?;
    Some((from, to, end, first && second))
}

/// Values in hexadecimal digits alone become decimal ones. What bears no mark is taken so where the text says it.
fn hexadecimal(mut rows: Vec<Row>) -> Vec<Row> {
    let spans = |row: &Row| -> Vec<(usize, (u32, u32, usize, bool))> {
        (0..row.chars.len()).filter_map(|at| hex_span(&row.chars, at).map(|span| (at, span))).collect()
    };
    let decimal = rows.iter().any(|row| {
        let text = plain(&row.text());
        let mut words = text.split(' ').peekable();
        std::iter::from_fn(|| {
            words.next().map(|word| (word.to_owned(), words.peek().copied().map(str::to_owned)))
        })
        .any(|(word, next)| word.trim_start_matches('0').is_empty() && next.is_some_and(|next| next == "255"))
    });
    let said = rows.iter().any(|row| Said::new(&row.text()).has("hex*|hexadezimal*|esadecimal*"));
    let whole = rows.iter().any(|row| spans(row).iter().any(|(_, (_, to, _, marked))| !marked && *to == 255));
    let bare = said && whole && !decimal;
    for row in &mut rows {
        // The same values beside them in decimal digits: those are read.
        let mut others = row.chars.clone();
        for (at, (.., end, _)) in spans(row) {
            others[at..end].fill(' ');
        }
        let others: Vec<u32> = plain(&others.iter().collect::<String>())
            .split(' ')
            .filter(|word| is_number(word))
            .filter_map(|word| word.parse().ok())
            .collect();
        for (at, (from, to, end, marked)) in spans(row).into_iter().rev() {
            let twin = others.windows(2).any(|pair| pair == [from, to]);
            if from <= to && !twin && (marked || bare) {
                put(&mut row.chars, at, end, &format!("{from}-{to}"));
            }
        }
    }
    rows
}

/// "S+3" at the start of a row: how far behind the start address, and where it ends.
fn offset_at(chars: &[char], at: usize) -> Option<(u32, usize)> {
    let word = chars[at..].iter().take_while(|c| c.is_alphabetic()).count();
    let mut end = at + word;
    while chars.get(end) == Some(&' ') && end < at + word + 2 {
        end += 1;
    }
    if word == 0 || word > 8 || chars.get(end) != Some(&'+') {
        return None;
    }
    end += 1 + usize::from(chars.get(end + 1) == Some(&' '));
    let digits = chars[end..].iter().take_while(|c| c.is_ascii_digit()).count();
    let text: String = chars[end..end + digits].iter().collect();
    let number = text.parse().ok().filter(|number| *number < 512)?;
    Some((number, end + digits))
}

/// Channels counted from the start address ("S+0", "Start + 1"): the first is 0.
fn offsets(mut rows: Vec<Row>) -> Vec<Row> {
    let label = |row: &Row| {
        let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
        let (first, mut end) = offset_at(&row.chars, start)?;
        let mut last = first;
        let mut next = end;
        while row.chars.get(next).is_some_and(|c| matches!(c, ' ' | ',' | '/' | '-' | '&')) && next < end + 3
        {
            next += 1;
        }
        if next > end
            && let Some((second, behind)) = offset_at(&row.chars, next)
            && second > first
        {
            (last, end) = (second, behind);
        }
        let rest: String = row.chars[end..].iter().take(2).collect();
        let apart = rest.is_empty() || rest == "  " || rest.starts_with(['\t', ':', ')', '.', '-']);
        apart.then_some((start, end, first, last))
    };
    let found: Vec<u32> = rows.iter().filter_map(|row| label(row).map(|(_, _, first, _)| first)).collect();
    if found.len() < 3 || !found.contains(&0) {
        return rows;
    }
    for row in &mut rows {
        if let Some((start, end, first, last)) = label(row) {
            let text = if last > first {
                format!("CH{}/CH{}", first + 1, last + 1)
            } else {
                format!("CH{}", first + 1)
            };
            put(&mut row.chars, start, end, &text);
        }
    }
    rows
}

/// "Slot 4" at the start or the end of rows is the fourth channel, where the slots of a text count up from 1; elsewhere a
/// slot is one of a wheel's.
fn slots(mut rows: Vec<Row>) -> Vec<Row> {
    const SLOT: &str =
        "slot|slots|adresse|address|indirizzo|direccion|adres|dmx address|byte|steuerkreis|kreis";
    let place = |row: &Row| {
        let words = words_of(&row.chars);
        let number = |from: usize, to: usize, last: bool| {
            let gap = row.chars[to..].iter().take_while(|c| **c == ' ').count();
            let digits = row.chars[to + gap..].iter().take_while(|c| c.is_ascii_digit()).count();
            let end = to + gap + digits;
            let number: u32 = row.chars[to + gap..end].iter().collect::<String>().parse().ok()?;
            let closed = if last {
                end == row.chars.len()
            } else {
                row.chars.get(end).is_none_or(|c| !c.is_alphanumeric())
            };
            (gap <= 2 && closed && (1..=512).contains(&number)).then_some((from, to, number))
        };
        if let Some((from, to, word)) = words.first()
            && listed(SLOT, word)
            && row.chars[..*from].iter().all(|c| c.is_whitespace())
        {
            return number(*from, *to, false);
        }
        // Behind a row's words, apart from them.
        let (from, to, word) = words.last()?;
        let apart =
            row.chars[..*from].iter().rev().take(2).filter(|c| matches!(c, ' ' | '.' | '\t' | '_')).count()
                == 2;
        if listed(SLOT, word) && apart { number(*from, *to, true) } else { None }
    };
    let found: Vec<u32> = rows.iter().filter_map(|row| place(row).map(|(_, _, number)| number)).collect();
    let counted = found.first() == Some(&1)
        && found.windows(2).filter(|pair| pair[1] == pair[0] + 1).count() >= 2
        && found.windows(2).all(|pair| pair[1] == 1 || pair[1] > pair[0]);
    if !counted {
        return rows;
    }
    for row in &mut rows {
        if let Some((from, to, _)) = place(row) {
            put(&mut row.chars, from, to, "CH");
        }
    }
    rows
}

/// "K1", "C 2", "V3" at the start of rows, counting up from 1: Kanal, canal, voie.
fn initial_labels(mut rows: Vec<Row>) -> Vec<Row> {
    let place = |row: &Row| {
        let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
        let letter =
            row.chars.get(start).map(char::to_ascii_lowercase).filter(|c| matches!(c, 'k' | 'c' | 'v'))?;
        let at = start + 1 + usize::from(matches!(row.chars.get(start + 1), Some(' ' | '.')));
        let digits = row.chars[at.min(row.chars.len())..].iter().take_while(|c| c.is_ascii_digit()).count();
        let number: u32 = row.chars.get(at..at + digits)?.iter().collect::<String>().parse().ok()?;
        let apart = row.chars.get(at + digits).is_none_or(|c| matches!(c, ' ' | '\t' | ':' | '.' | ')'));
        apart.then_some((start, at, number, letter))
    };
    let found: Vec<(u32, char)> =
        rows.iter().filter_map(|row| place(row).map(|(_, _, number, letter)| (number, letter))).collect();
    let counts =
        found.windows(2).all(|pair| pair[1].1 == pair[0].1 && (pair[1].0 == pair[0].0 + 1 || pair[1].0 == 1));
    if found.len() < 3 || found.first().is_none_or(|(number, _)| *number != 1) || !counts {
        return rows;
    }
    for row in &mut rows {
        if let Some((start, at, ..)) = place(row) {
            row.chars.splice(start..at, ['C', 'H']);
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
        || high < 2
        || high > 8
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

/// "From 16", "ab 16", ">= 16", "16 and up" at the start of a row, with no other end: where the number stands.
fn first_value(row: &Row) -> Option<(usize, usize, u32)> {
    const FROM: &str = "from|ab|desde|dal|da|vanaf|starting|begins|beginnt|des|depuis|partir|von";
    const UP: &str = "and up|and above|and more|and higher|upwards|onwards|und mehr|und hoher|aufwarts|et plus|y mas|e oltre|en hoger|up";
    let start = row.chars.iter().take_while(|c| c.is_whitespace()).count();
    let mut at = start;
    let mut said = false;
    for (from, to, word) in words_of(&row.chars).iter().take(4) {
        let filler = matches!(
            word.as_str(),
            "a" | "at" | "value" | "wert" | "bei" | "valeur" | "valor" | "valore" | "de" | "la" | "dmx"
        );
        if row.chars[at..*from].iter().any(|c| !c.is_whitespace()) || !(listed(FROM, word) || filler) {
            break;
        }
        said |= listed(FROM, word);
        at = *to;
    }
    while row.chars.get(at).is_some_and(|c| c.is_whitespace() || matches!(c, '>' | '=' | '≥')) {
        said |= matches!(row.chars[at], '>' | '≥');
        at += 1;
    }
    let digits = row.chars[at..].iter().take_while(|c| c.is_ascii_digit()).count();
    let end = at + digits;
    let number: u32 =
        row.chars[at..end].iter().collect::<String>().parse().ok().filter(|number| *number <= 255)?;
    let behind: String = row.chars[end..].iter().take(14).collect();
    let words = plain(&behind);
    let up = UP.split('|').find(|up| words == **up || words.starts_with(&format!("{up} ")));
    let plus = behind.starts_with('+') && !behind[1..].starts_with(|c: char| c.is_alphanumeric());
    let ended = behind.trim_start().starts_with(['-', '~', '→', '.', '%', '°'])
        || matches!(
            words.split(' ').next(),
            Some("to" | "bis" | "a" | "al" | "tot" | "t" | "thru" | "hz" | "s")
        );
    let end = match up {
        Some(_) => row.chars.len().min(
            end + behind.chars().count() - behind.trim_start().chars().count()
                + behind.trim_start().chars().take_while(|c| c.is_alphabetic() || *c == ' ').count(),
        ),
        None => end + usize::from(plus),
    };
    (said || plus || up.is_some()).then_some(()).filter(|()| !ended || up.is_some())?;
    Some((start, end, number))
}

/// A list of first values alone: each goes on to the value before the next, the last to 255. They rise from 0 in every
/// channel, or the list is none.
fn first_values(mut rows: Vec<Row>) -> Vec<Row> {
    let found: Vec<(usize, (usize, usize, u32))> = rows
        .iter()
        .enumerate()
        .filter_map(|(index, row)| first_value(row).map(|place| (index, place)))
        .collect();
    let groups = found.iter().filter(|(_, (_, _, number))| *number == 0).count();
    let rises = found.first().is_some_and(|(_, (_, _, number))| *number == 0)
        && found.windows(2).all(|pair| pair[1].1.2 == 0 || pair[1].1.2 > pair[0].1.2);
    if groups < 2 || found.len() < 5 || !rises {
        return rows;
    }
    for (at, (index, (start, end, number))) in found.iter().enumerate() {
        let next = found.get(at + 1).map(|(_, (_, _, next))| *next).filter(|next| *next > 0);
        let last = next.map_or(255, |next| next - 1);
        let Some(row) = rows.get_mut(*index) else { continue };
        put(&mut row.chars, *start, *end, &format!("{number}-{last}"));
    }
    rows
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
