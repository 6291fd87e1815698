//! A text that lost its blanks on the way ("010-199Strobe,slowtofast"): words are set apart behind the values, and English
//! words that charts use from one another. A word that is not made of such words alone stays as it is.

use super::super::text::Row;

/// Words of English charts, the longer of two that begin alike found by trying both.
const WORDS: &str = "adjust|all|amber|and|angle|anti|audio|auto|automatic|blackout|blue|bright|built|by|cell|ch|chase|change|channel|channels|\
    clockwise|close|closed|cold|color|colors|colour|colours|control|counter|cool|curve|cyan|dark|degree|degrees|description|dimmer|dimming|\
    dmx|duration|effect|effects|fade|fan|fast|fine|fixed|flash|focus|fog|forward|frost|from|full|function|functions|gobo|\
    gobos|green|head|haze|high|hold|in|index|indigo|iris|jump|keep|lamp|laser|led|leds|length|level|lime|linear|light|long|low|macro|\
    macros|magenta|manual|master|max|mic|min|mode|motor|movement|music|no|not|none|of|off|on|open|orange|out|output|pan|pattern|\
    pink|pixel|position|power|prism|program|programs|programme|programmes|protocol|pulse|pump|purple|rainbow|random|\
    range|red|reserved|reset|rotation|rotate|scroll|seconds|segment|select|selection|sensitivity|shake|short|show|shutter|slow|\
    smoke|sound|speed|static|steady|stop|strobe|strobing|switch|the|tilt|time|to|unused|used|uv|value|values|violet|\
    voice|warm|wash|wheel|white|with|without|yellow|zoom|active|activated|action|beam|blower|heater";

/// The rows, words apart.
pub(super) fn apart(rows: Vec<Row>) -> Vec<Row> {
    let glued = rows.iter().filter(|row| behind_values(&row.chars).is_some()).count();
    if glued < 3 || glued * 4 < rows.len() {
        return rows;
    }
    rows.into_iter().map(|row| Row { line: row.line, chars: words_apart(&row.chars) }).collect()
}

/// Where a word follows right behind "000-255".
fn behind_values(chars: &[char]) -> Option<usize> {
    let digits =
        |at: usize| chars.get(at..at + 3).is_some_and(|three| three.iter().all(char::is_ascii_digit));
    (0..chars.len()).find_map(|at| {
        let dash = chars.get(at + 3).is_some_and(|c| matches!(c, '-' | '~'));
        let word = chars.get(at + 7..at + 10).is_some_and(|three| three.iter().all(|c| c.is_alphabetic()));
        (digits(at) && dash && digits(at + 4) && word).then_some(at + 7)
    })
}

fn words_apart(chars: &[char]) -> Vec<char> {
    let mut out: Vec<char> = Vec::with_capacity(chars.len() + 16);
    let (values, rest) = chars.split_at(behind_values(chars).unwrap_or(0));
    out.extend(values);
    if !values.is_empty() {
        out.extend([' ', ' ']);
    }
    let mut at = 0;
    while at < rest.len() {
        let len = rest[at..].iter().take_while(|c| c.is_alphabetic()).count();
        if len == 0 {
            out.push(rest[at]);
            at += 1;
            continue;
        }
        let word: String = rest[at..at + len].iter().collect();
        // "1CHMODE": the count's own word stays with it.
        for (index, part) in parts(&word).unwrap_or_else(|| vec![word.clone()]).iter().enumerate() {
            if index > 0 {
                out.push(' ');
            }
            out.extend(part.chars());
        }
        at += len;
        if rest.get(at).is_some_and(|c| matches!(c, ',' | ';')) {
            out.extend([rest[at], ' ']);
            at += 1;
        }
    }
    out
}

/// The fewest words of the list that a word is made of, in their order; none when it is made of others.
fn parts(word: &str) -> Option<Vec<String>> {
    const LONGEST: usize = 60;
    let letters: Vec<char> = word.chars().collect();
    let lower: String = word.to_lowercase();
    if !word.is_ascii() || letters.len() > LONGEST {
        return None;
    }
    // How each beginning of the word is made: from where its last part goes, and of how many parts.
    let mut best: Vec<Option<(usize, usize)>> = vec![None; letters.len() + 1];
    best[0] = Some((0, 0));
    for end in 1..=letters.len() {
        for from in 0..end {
            let Some((_, count)) = best[from] else { continue };
            let known = lower.get(from..end).is_some_and(|part| super::listed(WORDS, part));
            if known && best[end].is_none_or(|(_, fewest)| count + 1 < fewest) {
                best[end] = Some((from, count + 1));
            }
        }
    }
    let mut out = Vec::new();
    let mut end = letters.len();
    while end > 0 {
        let (from, _) = best[end]?;
        out.push(letters[from..end].iter().collect());
        end = from;
    }
    out.reverse();
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    #[test]
    fn words_that_lost_their_blanks_are_set_apart() {
        let text = "1CHMODE\nCH1 000-009Blackout\n010-199Strobe,slowtofast\n200-255LEDon\n";
        let read: Vec<String> = apart(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            ["1CH MODE", "CH1 000-009  Blackout", "010-199  Strobe, slow to fast", "200-255  LED on"]
        );
        assert_eq!(parts("Fernsteuerung"), None);
        // One such row is no such text.
        let text = "CH1 000-009Blackout\n010-199  Strobe\n200-255  on\n";
        assert_eq!(apart(rows(text)), rows(text));
    }
}
