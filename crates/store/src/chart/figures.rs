//! Figures and senses in words: which way a level goes, how many things are spoken of, units, seconds.

use super::text::plain;
use super::words::{self, Said};
use crate::reading::Way;

/// Levels whose sense everybody takes for granted: more with a larger value.
pub(super) fn goes_up_by_itself(attr: &str) -> bool {
    matches!(
        attr,
        "Dimmer"
            | "Pan"
            | "Tilt"
            | "Zoom"
            | "Iris"
            | "Frost1"
            | "Focus1"
            | "CTO"
            | "Fog1"
            | "Haze1"
            | "Fan1"
            | "Color1"
            | "Color2"
            | "Gobo1Pos"
            | "Gobo2Pos"
            | "Prism1Pos"
            | "Prism2Pos"
            | "StrobeDuration"
            | "SoundSensitivity"
    ) || attr.starts_with("ColorAdd_")
        || attr.starts_with("ColorSub_")
}

/// The words speak of several things at once: "gobos 1-7", "16 colours", "programmes".
pub(super) fn several(said: &Said) -> bool {
    const MANY: &str = "giochi|kinds|choose|choosing|selecting|kind of|colours|colors|gobos|programs|programmes|programmi|programas|macros|makros|shows|patterns|effects|\
        effekte|effets|presets|scenes|chases|farben|couleurs|colores|colori|efectos|effetti|sequences|choices|\
        steps|stufen|various|different|selection|auswahl|select|farbauswahl|programmauswahl|programme auswahl|\
        modes|curves|prisms|positions|colour selection|seleccion|selezione|choix|verschiedene|teintes|tints|hues|shades|\
        tonalidades|tinte|farbtone|nuances|kleuren|mischfarben|festfarben|festen farben|dichroics|filters|filter farben|\
        sequenzen|secuencias|sequenze|scenarios|szenen|escenas|lauflichter|animations|animationen|animaciones|\
        animazioni|motifs|motive|dibujos|disegni|stencils|enchainements|ablaufe|routines|schablonen|programas";
    // One after the other by itself: one thing.
    if said.has("all programs|all programmes|alle programme|tous les programmes|todos los programas|tutti i programmi") {
        return false;
    }
    // One prism has many facets.
    if said.has("facets|facetten|facettes|facetas|faccette")
        && !said.has("prisms|prismen|prismas|prismes|prismi")
    {
        return false;
    }
    if said.has("half colours|split colours|half colors|split colors") {
        return true;
    }
    let words: Vec<&str> = said.words().collect();
    let numbers: Vec<u32> = words.iter().filter_map(|word| word.parse().ok()).collect();
    let range = matches!(numbers[..], [a, b, ..] if b > a && b <= 64);
    let spoken = said.has(MANY)
        && !(said.has("programme|colour change")
            && numbers.len() == 1
            && !range
            && said.at("programmes").is_none());
    spoken
        && !said.has("half")
        && !(numbers.len() == 1 && words.last().is_some_and(|word| word.parse::<u32>().is_ok()))
        || range
            && words.iter().any(|word| word.chars().all(char::is_alphabetic) && word.len() > 2)
            && sense(said).is_none()
            && !said.has("hz|seconds")
            && quantity_free(said)
}

pub(super) fn quantity_free(said: &Said) -> bool {
    !said.has("hz|s|sec|deg|bpm|ms|k")
}

pub(super) fn quantity_said(said: &Said) -> bool {
    let words: Vec<&str> = said.words().collect();
    words.windows(2).any(|pair| pair[0] == "0" && pair[1] == "100" || pair[0] == "100" && pair[1] == "0")
        || said.has("hz|1 100|from 0|0 to 100")
        || words
            .iter()
            .any(|word| word.ends_with("hz") && word.chars().next().is_some_and(|c| c.is_ascii_digit()))
}

pub(super) fn quantity_said_in(said: &Said, unit: &str) -> bool {
    unit == "deg" && (said.has("360|540|degrees|0 360|deg") && !said.has(words::TURN))
}

/// Which way the words say that it goes.
pub(super) fn sense(said: &Said) -> Option<Way> {
    const LOW: &str = "niedrig|niedrige|tief|tiefe|bas|basse|baja|bassa|baixo|laag|slow|slowly|slowest|dark|min|minimum|low|lowest|weak|narrow|near|small|langsam|dunkel|lent|lente|\
        lentement|lento|sombre|oscuro|scuro|buio|short|kurz|closed|zu|dim|off|eng|schmal|nah|klein|soft|minimal|\
        null|schwach|0|little|quiet|leise|lenta|petit|proche|faible|ferme|aus|cold|warm white min|slower|\
        despacio|bajo|basso|baixa|escuro|fechado|fraco|estreito|devagar|chiuso|cerrado|less|none|noir|mini|closer|unsharp|lowest speed|lents|lentes|lentos|lentas|\
        lenti|traag|langzaam|donker|lazy|leisurely|calm|calme|gentle|feeble|faint|smallest|narrowest|tight|minima|\
        minimo|minime|debole|debil|tenue|tranquillo|tranquilo|gemachlich|trage|stretto|estrecho|etroit|smal|zwak|\
        smaller|narrower|weakest|sluggish|unhurried|darkest|piccolo|pequeno|kleinste|klein|kleiner|apagado|apagada|spento|spenta|eteint|eteinte|uit|kort|corto|corta|court|courte";
    const HIGH: &str = "hoch|hohe|haut|haute|alta|eleve|elevee|hoog|fast|quick|quickly|fastest|bright|max|maximum|high|highest|strong|wide|far|large|big|schnell|hell|\
        rapide|vite|rapido|veloce|clair|claro|chiaro|long|lang|open|full|on|weit|breit|fern|gross|hard|maximal|\
        voll|stark|100|much|loud|laut|rapida|grand|loin|fort|ouvert|an|faster|rapidement|alto|aperto|abierto|\
        more|blanc|maxi|forte|forts|fortes|fuerte|forti|brightest|velocemente|sharp|luminoso|brillante|luminosa|rapid|rapidly|swift|swiftly|brisk|\
        hectic|lively|hurried|nervous|biggest|largest|widest|greatest|strongest|quickest|rapides|rapidos|rapidas|\
        rapidi|rapide|veloci|hektisch|hastig|zugig|flott|vol|fel|snel|maxima|massima|massimo|maximo|massimi|vif|vifs|\
        vive|vivace|larger|bigger|wider|stronger|nervos|largo|ancho|grande|groot|groter|breed|sterk|sharpest|furious|\
        frantic|plein|pleine|lleno|pieno|flink|flinke";
    // "Light" alone is a lamp.
    if said.has("dark to light") {
        return Some(Way::Up);
    }
    if said.has("light to dark") {
        return Some(Way::Down);
    }
    let first = |list: &str| list.split('|').filter_map(|word| said.at(word)).min();
    let last = |list: &str| list.split('|').filter_map(|word| said.at(word)).max();
    if let (Some(low), Some(high)) = (first(LOW), first(HIGH)) {
        let (low_last, high_last) = (last(LOW).unwrap_or(low), last(HIGH).unwrap_or(high));
        // "Min slow to max fast": both words of an end stand together.
        return match (low < high, low_last < high_last) {
            (true, true) => Some(Way::Up),
            (false, false) => Some(Way::Down),
            (true, false) => Some(Way::Up),
            (false, true) => Some(Way::Down),
        };
    }
    if said.has("increas*|faster as|come faster|faster with|schneller mit|zunehmend*|croissant*|accelerat*|ascending|crescente|creciente|ansteigend|aumenta*|steigend|\
        progressive|accelere|accelerando|schneller werdend|rising") && !said.has("decreas*")
    {
        return Some(Way::Up);
    }
    if said
        .has("decreas*|abnehmend*|decroissant*|descending|decelerat*|decrescente|fallend|decreciente|falling")
    {
        return Some(Way::Down);
    }
    None
}

/// A number that names one of several things: "gobo 3", "programme 12".
pub(super) fn number(said: &Said) -> Option<u32> {
    let numbers: Vec<u32> = said
        .words()
        .filter_map(|word| word.parse().ok().or_else(|| words::split_number(word).map(|(_, number)| number)))
        .collect();
    match numbers[..] {
        [one] => Some(one),
        _ => None,
    }
}

/// Two figures with a unit, as they are printed: "0,5 Hz ... 25 Hz", "0-540°", "100%-0%".
pub(super) fn quantity(label: &str) -> Option<(f64, f64, &'static str)> {
    let chars: Vec<char> = label.chars().collect();
    let mut found: Vec<(f64, Option<&'static str>, usize, usize)> = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let begins = chars[at].is_ascii_digit() && (at == 0 || !chars[at - 1].is_alphanumeric());
        if !begins {
            at += 1;
            continue;
        }
        let start = at;
        let mut text = String::new();
        while let Some(c) = chars.get(at) {
            let point = matches!(c, '.' | ',')
                && chars.get(at + 1).is_some_and(char::is_ascii_digit)
                && !text.contains('.');
            if c.is_ascii_digit() {
                text.push(*c);
            } else if point {
                text.push('.');
            } else {
                break;
            }
            at += 1;
        }
        let negative = start > 0
            && chars[start - 1] == '-'
            && (start == 1 || chars[start - 2] == ' ' || chars[start - 2] == '(')
            && found.is_empty();
        let plus = chars.get(at) == Some(&' ');
        let unit_at = if plus { at + 1 } else { at };
        let word: String = chars[unit_at.min(chars.len())..]
            .iter()
            .take_while(|c| c.is_alphabetic() || matches!(c, '°' | '%' | 'º'))
            .collect();
        let unit = match plain_unit(&word) {
            "hz" => Some("Hz"),
            "deg" | "degree" | "degrees" | "°" | "grad" | "°c" => Some("deg"),
            "%" | "percent" => Some("%"),
            "ms" => Some("ms"),
            "s" | "sec" | "seconds" | "sek" => Some("s"),
            "k" => Some("K"),
            "rpm" => Some("rpm"),
            _ => None,
        };
        if let Ok(value) = text.parse::<f64>() {
            found.push((if negative { -value } else { value }, unit, start, at));
        }
    }
    let pair = found.windows(2).find(|pair| {
        pair[1].1.is_some() && (pair[0].1.is_none() || pair[0].1 == pair[1].1) && pair[1].2 - pair[0].3 <= 10
    });
    if let Some(pair) = pair {
        return Some((pair[0].0, pair[1].0, pair[1].1?));
    }
    // "540°" alone is the whole travel.
    match found[..] {
        [(value, Some("deg"), ..)] if value > 0.0 => Some((0.0, value, "deg")),
        _ => None,
    }
}

pub(super) fn plain_unit(word: &str) -> &str {
    match word {
        "Hz" | "HZ" | "hz" => "hz",
        "°" | "º" => "°",
        "S" | "s" => "s",
        "K" | "k" => "k",
        other => other,
    }
}

/// The words without a range of percent ("0%-100%"), which many charts print beside every range, and that range.
pub(super) fn without_percent(label: &str) -> (Option<(f64, f64)>, String) {
    let joined = label.replace(" %", "%");
    let words: Vec<&str> = joined.split_whitespace().collect();
    let mut percent = None;
    let mut rest = Vec::new();
    let figure = |word: &str| -> Option<f64> {
        word.trim_matches(['(', ')', '%', ',', ';']).replace(',', ".").parse().ok()
    };
    let mut at = 0;
    while at < words.len() {
        let joined = words[at].split_once(['-', '~']).or_else(|| words[at].split_once(".."));
        let pair = joined
            .filter(|(_, to)| to.trim_end_matches([')', ',', ';']).ends_with('%'))
            .and_then(|(from, to)| figure(from).zip(figure(to.trim_start_matches(['.', '-', '~']))));
        if pair.is_some() {
            percent = pair;
            at += 1;
            continue;
        }
        let apart = words.get(at + 2).filter(|_| {
            words.get(at + 1).is_some_and(|mark| {
                let mark = mark.to_lowercase();
                matches!(mark.as_str(), "-" | "~" | "to" | "..." | "→" | "->" | "bis" | "a" | "à" | ">")
            })
        });
        if let Some(to) = apart.filter(|to| to.trim_end_matches([')', ',', ';']).ends_with('%'))
            && let (Some(from), Some(to)) = (figure(words[at]), figure(to))
        {
            percent = Some((from, to));
            at += 3;
            continue;
        }
        rest.push(words[at]);
        at += 1;
    }
    (percent, rest.join(" "))
}

/// Numbers in words as digits.
fn in_digits(label: &str) -> String {
    let words = label.split_whitespace().map(|word| match super::writing::number_word(&plain(word)) {
        Some(number) => number.to_string(),
        None => word.to_owned(),
    });
    words.collect::<Vec<_>>().join(" ")
}

/// "Hold 5 seconds", "after 3s", "for five seconds": for how long.
pub(super) fn seconds(label: &str) -> Option<f64> {
    let label = &in_digits(label);
    let chars: Vec<char> = label.to_lowercase().chars().collect();
    let mut at = 0;
    while at < chars.len() {
        if !chars[at].is_ascii_digit() || at > 0 && chars[at - 1].is_alphanumeric() {
            at += 1;
            continue;
        }
        let mut text = String::new();
        while let Some(c) = chars.get(at).filter(|c| c.is_ascii_digit() || matches!(c, '.' | ',')) {
            text.push(if *c == ',' { '.' } else { *c });
            at += 1;
        }
        while chars.get(at).is_some_and(|c| matches!(c, ' ' | '-')) {
            at += 1;
        }
        let unit: String = chars[at.min(chars.len())..].iter().take_while(|c| c.is_alphabetic()).collect();
        if matches!(
            plain(&unit).as_str(),
            "s" | "sec"
                | "secs"
                | "second"
                | "seconds"
                | "sek"
                | "sekunden"
                | "sekunde"
                | "secondes"
                | "segundos"
                | "secondi"
                | "seconde"
        ) {
            return text.trim_end_matches('.').parse().ok();
        }
    }
    None
}
