//! Words for what does not happen: "no function", "no strobe", "off" where that leaves the light as it is.

use super::super::figures::sense;
use super::super::subject::Subject;
use super::super::words::{self, Said};
use super::kinds::gobo_open;
use super::{Around, Meaning, nothing, set, state};
use crate::reading::KindReading as Kind;

/// Words before a thing that does not happen.
const NO: &str = "no|non|ohne|kein|keine|keinen|sans|sin|senza|without|pas de|not|geen|zonder|aucun|ningun|nessun|niente|nada de|pas d";

/// "No function", "no strobe", "off" where that leaves the light as it is.
pub(super) fn says_nothing(subject: Option<Subject>, said: &Said, around: Around) -> Option<Meaning> {
    use Subject as S;
    let nothing_said = said.has(words::NOTHING)
        || said.words().count() == 1
            && said.has("kein|keiner|keins|aucun|ningun|ninguno|nessun|nessuno|geen|no|nee|nein|non");
    if let Some(meaning) = nothing_there(subject, said, around) {
        return Some(meaning);
    }
    // "None to full" is a level.
    let level = sense(said).is_some() && said.has("none|null|nothing|nul");
    if nothing_said && !level && !off_light(subject, said) {
        // "No function" in its own right; a word more may say what does not happen.
        return Some(nothing());
    }
    if matches!(subject, Some(S::Fog | S::Haze))
        && no(said, "fog|haze|smoke|nebel|nebbia|niebla|fumee|humo|fumo|emission|output|mist")
    {
        return Some(state(if subject == Some(S::Fog) { "Fog1" } else { "Haze1" }, "off"));
    }
    if no(said, THINGS) {
        return Some(nothing());
    }
    if said.has(words::OFF) && sense(said).is_none() { off_there(subject, said, around) } else { None }
}

/// What may be said not to happen.
const THINGS: &str = "laserblitzen|laser blitzen|laser flash|laser strobe|korrektur|correction|correccion|correzione|correctie|strobe|strobo|stroboscope|blitz|rotation|prism|prisma|prisme|macro|makro|program|programme|effect|effekt|effet|\
    dimming|colour|color|macros|gobo|frost|shake|sound|music|estrobo|fog|haze|auto|show|chase|change|colour macro|\
    color macro|reset|control|preset|presets|animation|animations|sequence|chases|pattern|scene|blinking|diffuser|\
    diffuseur|diffusor|difusor|diffusore|weichzeichner|filtre|programma|programa|animatie|secuencia|sequenz|ablauf|\
    motion|movement|animacion|animazione|lauflicht|szene|blitzen|blinken|blitze|flackern|flimmern|lampeggio|lampeggi|\
    destello|destellos|parpadeo|clignotement|eclair|eclairs|flits|flitsen|knipperen|flicker|flickering|strobing|flashing";

/// One of the things is said not to be: "no gobo", "sans gobo", "gobo no".
fn no(said: &Said, things: &str) -> bool {
    things.split('|').any(|thing| {
        NO.split('|').any(|no| said.at(&format!("{no} {thing}")).is_some())
            || said.ends(&format!("{thing} no"))
    })
}

/// A wheel without anything in the beam, a shutter without a flash.
fn nothing_there(subject: Option<Subject>, said: &Said, around: Around) -> Option<Meaning> {
    use Subject as S;
    const OPEN: &str = "none|hollow|empty|keiner|keins|aucun|ninguno|nessuno|geen|leer|vide|vuoto|vacio";
    const GOBOS: &str = "gobo|gobos|pattern|wheel|dibujo|motif|motiv|motivo|disegno|stencil|schablone|schablonen|dessin|\
        drawing|muster|figure|figura";
    Some(match subject {
        Some(S::Gobo(_)) if !said.is_empty() && said.words().all(|word| words::listed(OPEN, word)) => {
            gobo_open(subject)
        }
        Some(S::Gobo(_) | S::GoboShake(_)) if no(said, GOBOS) => gobo_open(subject),
        Some(S::Wheel(n)) if no(said, "colour|color|wheel|farbe|couleur|colore|filter|filtre|filtro") => {
            set(&format!("Color{n}"), Kind::Fixed)
        }
        Some(S::Wheel(n) | S::WheelSpin(n)) if no(said, "rotation") => {
            state(&format!("Color{n}WheelSpin"), "stop")
        }
        Some(S::Gobo(n)) if no(said, "rotation") => state(&format!("Gobo{n}WheelSpin"), "stop"),
        Some(S::PrismSpin(n)) if no(said, "rotation") => state(&format!("Prism{n}PosRotate"), "stop"),
        Some(S::Strobe | S::Shutter) if no(said, "flash|light|licht|output|lumiere|luz|luce") => {
            if around.only_flashes || !no(said, "flash") { state("Shutter1", "closed") } else { nothing() }
        }
        _ => return None,
    })
}

/// "Off", where it is no light that goes out.
fn off_there(subject: Option<Subject>, said: &Said, around: Around) -> Option<Meaning> {
    use Subject as S;
    match subject {
        Some(S::Colour(_) | S::Macro) if says_lamps_off(said) => Some(state("Dimmer", "off")),
        Some(
            S::Prism(_)
            | S::PrismSpin(_)
            | S::Programme
            | S::Macro
            | S::Frost
            | S::Control
            | S::Reset
            | S::GoboSpin(_)
            | S::Sound
            | S::MoveSpeed
            | S::ProgrammeSpeed
            | S::Speed
            | S::WheelSpin(_)
            | S::DimmerSpeed
            | S::DimmerCurve
            | S::GoboShake(_)
            | S::MacroSpeed,
        ) => (!said.has("lamp|lampe|lampara|lampada|brenner|bulb|display|fan") && !said.has(words::HOT))
            .then(nothing),
        Some(S::Strobe) if !off_light(subject, said) => {
            let dark = around.only_flashes || around.on_beside;
            Some(if dark { state("Shutter1", "closed") } else { nothing() })
        }
        Some(S::Colour(_) | S::Wheel(_)) if said.only("off|aus|colour|color|wheel") => Some(nothing()),
        _ => None,
    }
}

/// "LEDs off", "blackout": the light goes dark.
fn off_light(subject: Option<Subject>, said: &Said) -> bool {
    let dark = said.has("blackout|closed|led off|leds off|light off|dark|shutter closed|geschlossen|ferme|cerrado|chiuso|no light|shut|\
        shut off|cut off|unlit|coupe|coupee|cortada|cortado|dunkel|oscuro|buio|luce spenta|luz apagada|licht aus|\
        lumiere eteinte");
    let light = says_lamps_off(said);
    (dark || light) && matches!(subject, Some(Subject::Strobe | Subject::Shutter | Subject::Dimmer))
}

/// "LEDs off": the lamps are, by name.
fn says_lamps_off(said: &Said) -> bool {
    said.has("light|licht|lumiere|luz|luce|led|leds|lamp|lamps|lampe|beam|faisceau|haz|fascio|strahl")
        && said
            .has("off|aus|uit|eteint*|spent*|apagad*|cut|coupe*|cortad*|unterbrochen|interrupted|interrott*")
}
