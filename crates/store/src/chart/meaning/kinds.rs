//! What the words beside a range say in a channel whose purpose is known, one function for each purpose.

use super::super::figures::{number, quantity_said, quantity_said_in, sense, several};
use super::super::subject::{INDEX, Subject};
use super::super::words::{self, Said};
use super::{Around, Meaning, by_words, nothing, programme, set, sound, state};
use crate::reading::{KindReading as Kind, Way};

pub(super) fn positional(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of > 1 && said.has(words::STOP) {
        return set(attr, Kind::Fixed);
    }
    if one_of > 1 && said.has("continuous|endless|infinite|clockwise|counterclockwise|anticlockwise|cw|ccw") {
        return spin(&format!("{attr}Rotate"), said);
    }
    set(attr, Kind::Level)
}

pub(super) fn spin(attr: &str, said: &Said) -> Meaning {
    if said.has(words::STOP) && sense(said).is_none() && !said.has("static gobo|static wheel") {
        return state(attr, "stop");
    }
    let mut meaning = set(attr, Kind::Level);
    if said.has(
        "counter clockwise|counterclockwise|anticlockwise|anti clockwise|ccw|counter|backward|reverse|links|\
        linkslauf|backwards|to the left|left|negative|ruckwarts|arriere|indietro|atras|gauche|sinistra|izquierda|\
        antihorario|antiorario|antihoraire|gegen den uhrzeigersinn|gegenuhrzeigersinn|linksom|achteruit",
    ) {
        meaning.state = Some("ccw");
    } else if said.has("clockwise|cw|forward|rechts|rechtslauf|forwards|to the right|right|positive|vorwarts|avant|avanti|\
        adelante|droite|destra|derecha|horario|orario|horaire|uhrzeigersinn|rechtsom|vooruit") {
        meaning.state = Some("cw");
    }
    meaning
}

pub(super) fn speeds(attr: &str, said: &Said, one_of: usize, around: Around) -> Meaning {
    if one_of > 1 && said.has("blackout|black out") {
        return set("BlackoutMode", Kind::Fixed);
    }
    if one_of > 1 && sense(said).is_none() && !said.has(words::SPEED) {
        if said.has(words::PROGRAMME) && attr == "Effects1Rate" {
            return programme(said);
        }
        if said.has("max speed|maximum|fast|standard|normal|tracking") {
            return set(attr, Kind::Fixed);
        }
        let by = by_words(said, around, one_of);
        return if by.unread { set(attr, Kind::Fixed) } else { by };
    }
    set(attr, Kind::Level)
}

pub(super) fn any_speed(said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has(words::STROBE) {
        return strobe(said);
    }
    let attr = if said.has("pan|tilt|movement|motor|pt|xy") {
        "PositionMSpeed"
    } else if said.has(words::PROGRAMME) {
        "Effects1Rate"
    } else if around.moves && !around.programmes {
        "PositionMSpeed"
    } else {
        "Effects1Rate"
    };
    let mut meaning = speeds(attr, said, one_of, around);
    if around.moves
        && around.programmes
        && !said.has(words::PROGRAMME)
        && !said.has("pan|tilt|movement|motor")
    {
        meaning.either = Some(("PositionMSpeed", "Effects1Rate"));
    }
    meaning
}

pub(super) fn dimmer(said: &Said, one_of: usize, around: Around) -> Meaning {
    if one_of == 1 {
        return set("Dimmer", Kind::Level);
    }
    if said.has(words::STROBE) {
        return shutter(Subject::Strobe, said, one_of, around);
    }
    if sense(said).is_some() || quantity_said(said) {
        return set("Dimmer", Kind::Level);
    }
    if said.has("off|closed|blackout|black out|aus|dark|zu|geschlossen|ferme|no light|cerrado|chiuso|no intensity|noir|uit|unlit|\
        spento|spenta|apagado|apagada|eteint|eteinte|arret|dunkel|oscuro|buio|donker") {
        return state("Dimmer", "off");
    }
    if said.has(words::OPEN)
        || said.has("full|maximum|max|100|ein|on|voll|volle|plein|pleine|plena|piena|100 percent")
            && !said.has("0|min")
    {
        return state("Dimmer", "full");
    }
    if said.has(words::PROGRAMME) && !said.has("dimmer|dimming|intensity") {
        return programme(said);
    }
    set("Dimmer", Kind::Level)
}

pub(super) fn strobe(said: &Said) -> Meaning {
    let attr = if said.has(words::RANDOM) {
        "Shutter1StrobeRandom"
    } else if said.has(words::PULSE) {
        "Shutter1StrobePulse"
    } else {
        "Shutter1Strobe"
    };
    set(attr, Kind::Level)
}

pub(super) fn shutter(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    let level = sense(said).is_some() || quantity_said(said);
    let unlit = said.has("led off|leds off|light off|licht aus|lumiere eteinte|luz apagada|luce spenta");
    if one_of > 1 && unlit && !said.has(TEMPO) {
        return state("Shutter1", "closed");
    }
    if one_of > 1 && !said.is_empty() && said.only("output|light|beam|licht|lumiere|luz|luce|faisceau|strahl")
    {
        return state("Shutter1", "open");
    }
    let flashes = said.has(words::STROBE) || said.has(words::RANDOM) || said.has(words::PULSE);
    if one_of > 1 && !level {
        let named_only = said.only("shutter|strobe|strobo");
        if !named_only
            && said.has(words::CLOSED)
            && !said.has("open and close|open close|opening|closing|strobe off")
            && !said.has("open")
        {
            return state("Shutter1", "closed");
        }
        if said.has("light on|led on|leds on|open")
            || said.has(words::OPEN) && (!flashes || said.has("open|no strobe|steady"))
        {
            return state("Shutter1", "open");
        }
    }
    if one_of > 1 && !flashes && !level {
        if said.has("dimmer|dimming|intensity") {
            return dimmer(said, one_of, around);
        }
        if said.has(words::PROGRAMME) && !said.has("effect|effects|effekt|run") {
            return programme(said);
        }
    }
    if one_of > 1 && said.has("dimmer|dimming|intensity") && !flashes {
        return set("Dimmer", Kind::Level);
    }
    if said.is_empty() && one_of > 1 {
        return Meaning { unread: true, ..nothing() };
    }
    let known = flashes
        || level
        || said.is_empty()
        || one_of == 1
        || said.has("speed|effect|effects|opening|closing|fade")
        || subject == Subject::Strobe && said.only("on");
    if known { strobe(said) } else { by_words(said, around, one_of) }
}

pub(super) fn mixed(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of == 1 || sense(said).is_some() || quantity_said(said) {
        return set(attr, Kind::Level);
    }
    if said.has(words::STROBE) {
        return strobe(said);
    }
    if attr == "Frost1" && (said.has(words::OUT) || said.has("not in the beam")) {
        return nothing();
    }
    let one = said.only("frost|diffuser|diffuseur|diffusor|difusor|diffusore|weichzeichner|filter|filtre|medium|light|heavy|leicht|stark");
    if attr == "Frost1"
        && (said.has("frost effect|frost filter") || said.has(words::IN) || one && !said.is_empty())
    {
        return set(attr, Kind::Fixed);
    }
    if said.has("off|closed|aus|blackout|dark") {
        return state(attr, "off");
    }
    if attr == "Iris" && said.has("open|offen|ouvert") {
        return state(attr, "open");
    }
    if said.has("full|on|100|max|maximum|voll") {
        return state(attr, "full");
    }
    if said.has(words::PROGRAMME) || said.has(words::PULSE) {
        return set("Effects1", Kind::Level);
    }
    set(attr, Kind::Level)
}

pub(super) fn wheel(n: u8, said: &Said, one_of: usize) -> Meaning {
    let attr = format!("Color{n}");
    let turning = format!("Color{n}WheelSpin");
    let turns = said.has(words::TURN) || said.has(words::RANDOM) || sense(said).is_some() && one_of > 1;
    if one_of > 1 && said.has(words::STOP) && !turns {
        return state(&turning, "stop");
    }
    let closes = said.has("closed|blackout|geschlossen|ferme") || said.only("black|dark|dunkel|noir|nero");
    if one_of > 1 && closes && !turns {
        return Meaning { either: Some(("Shutter1", "Color1")), ..state("Shutter1", "closed") };
    }
    if turns && !said.has("half|split|position|index*|no rotation") {
        return spin(&turning, said);
    }
    if said.has("index*|continuous positioning|stepless|linear|position|positioning")
        || one_of == 1 && said.has("0")
    {
        return set(&attr, Kind::Level);
    }
    let wheel_alone = said.only("colour|color|wheel|farbrad|roue|couleurs|colours|colors|selection|filter");
    if several(said) || one_of == 1 || wheel_alone && !said.words().any(words::is_number) {
        set(&attr, Kind::Select)
    } else {
        set(&attr, Kind::Fixed)
    }
}

/// A wheel that turns. The speed of one may be how fast it goes from one colour to the next.
pub(super) fn wheel_spin(n: u8, said: &Said, sole: bool) -> Meaning {
    let meaning = spin(&format!("Color{n}WheelSpin"), said);
    let speed = n == 1 && sole && sense(said) == Some(Way::Down) && !said.has(words::TURN);
    Meaning { either: speed.then_some(("Color1WheelSpin", "Control1")).or(meaning.either), ..meaning }
}

pub(super) fn colour_macro(said: &Said, one_of: usize) -> Meaning {
    let programmed = said.has(
        "auto|automatic|automatik|automatikprogramm*|automatique|automatico|program|programs|programme|\
        programmes|programm|show|shows|chase|fade|fading|jump|jumping|change|changing|wechsel|farbwechsel|dream|\
        gradient|gradual|rainbow|lauflicht|scroll|cycle|pulse|automat*|enchainement*|sequenz*|secuencia*|sequence*|\
        animation*|ablauf*|ablaufe",
    );
    // "Colour mixing by channels 6 to 9", "manual": the others decide.
    if one_of > 1 && said.has(BY_OTHERS) {
        return nothing();
    }
    let changes = said.has("fondu|fundido|dissolvenza|uberblend*|changement*|cambio|cambios|cambiamento|fading|rainbow|change|changing|fade|wechsel|farbwechsel|cycle|scroll|flow");
    if changes && sense(said).is_some() && !said.has("auto|automatic|program|programme|programm|show") {
        return set("ColorMacro1Rate", Kind::Level);
    }
    if programmed && one_of > 1 {
        return programme(said);
    }
    if said.has(words::STROBE) {
        return strobe(said);
    }
    // "Colour macro" with no number is hardly a single one.
    if several(said)
        || one_of == 1
        || said.has("macro") && said.only("colour|color|macro") && !said.words().any(words::is_number)
    {
        return set("ColorMacro1", Kind::Select);
    }
    if sense(said).is_some() {
        return set("ColorMacro1Rate", Kind::Level);
    }
    let mixes = said.has("mix|mixing|mixed|mischung|farbmischung|melange|mezcla");
    set("ColorMacro1", if mixes { Kind::Level } else { Kind::Fixed })
}

pub(super) fn gobo_open(subject: Option<Subject>) -> Meaning {
    match subject {
        Some(Subject::Gobo(n) | Subject::GoboShake(n)) => state(&format!("Gobo{n}"), "open"),
        _ => state("Gobo1", "open"),
    }
}

pub(super) fn shake(n: u8, said: &Said) -> Meaning {
    let kind = if several(said) {
        Kind::Select
    } else if number(said).is_some() && sense(said).is_none() {
        Kind::Fixed
    } else {
        Kind::Level
    };
    set(&format!("Gobo{n}SelectShake"), kind)
}

/// One gobo, by its number: "gobo 3", "G3".
fn named_gobo(said: &Said) -> bool {
    let words: Vec<&str> = said.words().collect();
    words.iter().any(|word| words::split_number(word).is_some_and(|(stem, _)| matches!(stem, "g" | "gobo")))
        || words.windows(2).any(|pair| pair[0] == "gobo" && words::is_number(pair[1]))
}

pub(super) fn gobo(n: u8, said: &Said, one_of: usize) -> Meaning {
    if said.has(words::SHAKE) {
        return shake(n, said);
    }
    // "G3, slow to fast": a gobo by its number does not turn the wheel.
    if one_of > 1 && sense(said).is_some() && !said.has(words::TURN) && named_gobo(said) {
        return shake(n, said);
    }
    let turns = said.has(words::TURN) || sense(said).is_some() && one_of > 1;
    if one_of > 1 && said.has(words::STOP) && !turns && !said.has("static") {
        return state(&format!("Gobo{n}WheelSpin"), "stop");
    }
    if turns && !said.has("index*") {
        return spin(&format!("Gobo{n}WheelSpin"), said);
    }
    if said.has("open|offen|ouvert|abierto|aperto|no gobo|white|weiss|blanc|clear|klar|wit") {
        return state(&format!("Gobo{n}"), "open");
    }
    let wheel_alone =
        said.only("gobo|gobos|wheel|goborad|selection|patterns") && !said.words().any(words::is_number);
    if several(said) || one_of == 1 || wheel_alone {
        set(&format!("Gobo{n}"), Kind::Select)
    } else {
        set(&format!("Gobo{n}"), Kind::Fixed)
    }
}

pub(super) fn gobo_spin(n: u8, said: &Said, one_of: usize) -> Meaning {
    if said.has("index*|position|angle|static|0 360") || quantity_said_in(said, "deg") && one_of > 1 {
        return set(&format!("Gobo{n}Pos"), Kind::Level);
    }
    if said.has(words::SHAKE) {
        return shake(n, said);
    }
    spin(&format!("Gobo{n}PosRotate"), said)
}

pub(super) fn prism(n: u8, said: &Said, one_of: usize) -> Meaning {
    if one_of > 1 && said.has(words::STOP) && !said.has("static") && sense(said).is_none() {
        return state(&format!("Prism{n}PosRotate"), "stop");
    }
    if said.has(words::TURN) || sense(said).is_some() || one_of > 1 && said.has(INDEX) {
        return prism_spin(n, said);
    }
    if one_of > 1
        && (said.has(words::OUT) || said.has("open|offen"))
        && (!said.has(words::IN) || said.has("not in the beam|nicht im strahl|out"))
    {
        return nothing();
    }
    let attr = format!("Prism{n}");
    if said.has("macro|macros") || several(said) && one_of > 1 {
        return set(&attr, Kind::Select);
    }
    set(&attr, Kind::Fixed)
}

pub(super) fn prism_spin(n: u8, said: &Said) -> Meaning {
    if said.has(INDEX) && !said.has(words::TURN) || quantity_said_in(said, "deg") {
        return set(&format!("Prism{n}Pos"), Kind::Level);
    }
    spin(&format!("Prism{n}PosRotate"), said)
}

/// Words for a programme channel that leaves the light to the other channels.
const MANUAL: &str = "manual|dmx|rgb|dimmer|rgbw|mixing|individual|manuell|manuel|dmx mode|rgb mode|colour mixing|color mixing|direct|\
    direct control|direkt|directe|directo|diretto|direkte|manuale|manueel|manually|by hand|von hand|standby for manual|\
    individually|single control|einzelsteuerung";

/// Words for a range that hands over to the channels of the colours.
const BY_OTHERS: &str = "uber kanal*|uber die kanal*|by channel*|via channel*|from channel*|through channel*|with channel*|by the channel*|\
    par les canaux|par canaux|par voies|par les voies|por canal*|por los canal*|da canal*|dai canal*|con i canal*|\
    con los canal*|manual|manuell|manuel|manuale|manuelle|manueel|direct control|individual|individually";

/// Words for the ends of a speed.
const TEMPO: &str = "slow|fast|langsam|schnell|lent|rapide|lento|rapido|veloce|traag|snel";

/// A motor that turns beams: no attribute of the standard fits it plainly.
pub(super) fn derby(said: &Said) -> Meaning {
    let meaning = spin("Gobo1WheelSpin", said);
    if meaning.kind == Kind::Level {
        Meaning { either: Some(("Gobo1WheelSpin", "Control1")), ..meaning }
    } else {
        meaning
    }
}

/// A laser is switched, by its colours or as one: no attribute of the standard fits it plainly.
pub(super) fn laser(said: &Said, one_of: usize) -> Meaning {
    if one_of > 1 && (said.has(words::CLOSED) || said.has(words::OFF)) {
        return state("Dimmer", "off");
    }
    if one_of > 1 && sense(said).is_none() && !said.has(words::STROBE) && !said.has(words::PROGRAMME) {
        return Meaning { either: Some(("ColorMacro1", "Control1")), ..set("ColorMacro1", Kind::Fixed) };
    }
    Meaning { either: Some(("Color1", "Control1")), ..set("Control1", Kind::Level) }
}

pub(super) fn programmes(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has(words::SPEED) && sense(said).is_some() && one_of == 1 {
        return set("Effects1Rate", Kind::Level);
    }
    if subject == Subject::Sound && one_of == 1 && said.has(TEMPO) && sense(said).is_some() {
        return set("Effects1Rate", Kind::Level);
    }
    if said.has(words::SOUND) || subject == Subject::Sound && one_of == 1 {
        return sound();
    }
    if one_of > 1 && said.has(words::STROBE) && !said.has(words::PROGRAMME) {
        return strobe(said);
    }
    if one_of > 1 && (said.has("closed") || said.has(words::DARK)) && sense(said).is_none() {
        return state("Dimmer", "off");
    }
    if one_of > 1 && (said.has(MANUAL) || said.has(BY_OTHERS)) && !said.has("auto|program|programme") {
        return nothing();
    }
    let coloured = said.has("colour|color|colours|colors|farb*|couleur*");
    if around.mixes && coloured && sense(said).is_some() && said.has("fade|rainbow|change|flow|cycle") {
        return set("ColorMacro1Rate", Kind::Level);
    }
    if one_of > 1
        && coloured
        && (said.has("macro|macros|static|preset|fixed")
            || !said.has(words::PROGRAMME) && !said.has(words::TURN))
    {
        return colour_macro(said, one_of);
    }
    if one_of == 1 && !said.is_empty() && sense(said).is_some() {
        return programme(said);
    }
    if one_of == 1 {
        return Meaning { kind: Kind::Select, ..programme(said) };
    }
    programme(said)
}

pub(super) fn control(subject: Subject, said: &Said, one_of: usize, around: Around) -> Meaning {
    if said.has("lamp|lampe|lampara|lampada|brenner|bulb") {
        return Meaning { danger: Some("other"), ..set("LampControl", Kind::Fixed) };
    }
    if said.has("display|anzeige|screen") {
        return set("DisplayIntensity", Kind::Fixed);
    }
    if said.has("fan|fans|lufter|ventilator") {
        return set("FanMode", Kind::Fixed);
    }
    if said.has("dimmer curve|curve|kurve|dimmer|linear|s curve") && one_of > 1 {
        return set("DimmerCurve", Kind::Fixed);
    }
    if said.has("blackout") {
        return set("BlackoutMode", Kind::Fixed);
    }
    if one_of > 1 && said.has(MANUAL) {
        return nothing();
    }
    if subject == Subject::Reset && one_of == 1 {
        return Meaning { danger: Some("reset"), ..set("FixtureGlobalReset", Kind::Fixed) };
    }
    let by = by_words(said, around, one_of);
    if by.unread { Meaning { unread: true, ..set("Control1", Kind::Fixed) } } else { by }
}

pub(super) fn machine(attr: &str, said: &Said, one_of: usize) -> Meaning {
    if one_of == 1 {
        return set(attr, Kind::Level);
    }
    if said.has(words::HOT) {
        return Meaning { danger: Some("heater"), ..set("Control1", Kind::Fixed) };
    }
    if sense(said).is_some()
        || quantity_said(said)
        || said.has("amount|volume|output|variable|menge|debit|adjustable|regulated")
            && !said.has("full|no output|off|max|maximum|maximal|maximale|100")
    {
        return set(attr, Kind::Level);
    }
    if said.has("off|aus|stop|no output|no fog|no haze|no smoke|arret|spento|apagado|kein nebel|spenta|apagada|eteint|eteinte|\
        uit|no emission|none|closed|sin niebla|sans fumee|no mist|geen") {
        return state(attr, "off");
    }
    if said.has("full|max|maximum|100|voll|voller|volle|on|full output|massimo|massima|maximo|maxima|maximal|maximale|plein|pleine|vol|\
        lleno|pieno|piena|ein|an|aan|continuous") {
        return state(attr, "full");
    }
    set(attr, Kind::Level)
}
