//! The words of charts, in five languages. Lists are written between bars, without accents and in lower case.

use super::subject;
use super::table::Bit;
use super::text::plain;

/// Words with a blank at each end, to look for whole words in them.
#[derive(Clone, Debug)]
pub(super) struct Said {
    text: String,
    /// Where each word begins.
    starts: Vec<usize>,
}

impl Said {
    pub(super) fn new(text: &str) -> Self {
        let text = format!(" {} ", plain(&spelt_out(text)));
        let blank = |at: &usize| text.as_bytes()[*at] == b' ' && text.as_bytes()[at + 1] != b' ';
        let starts = (0..text.len() - 1).filter(blank).map(|at| at + 1).collect();
        Self { text, starts }
    }

    /// One of the phrases, between bars, is in it; one that ends with a star is the beginning of a
    /// word, one that begins with it the end of one.
    pub(super) fn has(&self, phrases: &str) -> bool {
        phrases.split('|').any(|phrase| self.at(phrase).is_some())
    }

    /// Where a phrase is.
    pub(super) fn at(&self, phrase: &str) -> Option<usize> {
        let rest = |at: usize| self.text.get(at..).unwrap_or_default();
        let mut starts = self.starts.iter().copied();
        if let Some(end) = phrase.strip_prefix('*') {
            return starts.find(|at| rest(*at).split(' ').next().is_some_and(|word| word.ends_with(end)));
        }
        match phrase.strip_suffix('*') {
            Some(begin) => starts.find(|at| rest(*at).starts_with(begin)),
            None => {
                starts.find(|at| rest(*at).strip_prefix(phrase).is_some_and(|rest| rest.starts_with(' ')))
            }
        }
    }

    /// The phrase is its end.
    pub(super) fn ends(&self, phrase: &str) -> bool {
        self.text.trim_end().ends_with(&format!(" {phrase}"))
    }

    /// Nothing but these words (and numbers).
    pub(super) fn only(&self, words: &str) -> bool {
        self.words().all(|word| listed(words, word) || is_number(word))
    }

    pub(super) fn words(&self) -> impl Iterator<Item = &str> {
        self.text.split_whitespace()
    }

    pub(super) fn is_empty(&self) -> bool {
        self.starts.is_empty()
    }
}

/// Abbreviations of charts, written out. "Rot." is a rotation, "rot" is German for red.
fn spelt_out(text: &str) -> String {
    const SHORT: &[(&str, &str)] = &[
        ("rot.", "rotation "),
        ("strob.", "strobe "),
        ("prog.", "programme "),
        ("progr.", "programme "),
        ("col.", "colour "),
        ("temp.", "temperature "),
        ("func.", "function "),
        ("sel.", "selection "),
        ("int.", "intensity "),
        ("dim.", "dimmer "),
        ("p/t", "pan tilt "),
        ("pan/tilt", "pan tilt "),
        ("autom.", "automatic "),
        ("ctrl.", "control "),
        ("cl.", "closed "),
        ("op.", "open "),
        ("str.", "strobe "),
        ("rand.", "random "),
        ("vel.", "velocity "),
        ("fct.", "function "),
        ("shut.", "shutter "),
        ("mac.", "macro "),
        ("f.", "fine "),
    ];
    let mut text = text.to_lowercase();
    for (short, long) in SHORT {
        let mut from = 0;
        while let Some(at) = text.get(from..).and_then(|rest| rest.find(short)).map(|at| from + at) {
            // The end of a longer word is none: "stop." is not "op.".
            from = at + short.len();
            if !text.get(..at).is_some_and(|before| before.ends_with(char::is_alphabetic)) {
                text.replace_range(at..from, long);
                from = at + long.len();
            }
        }
    }
    // "S->F", "F → S".
    let letters: Vec<char> = text.chars().filter(|c| !matches!(c, '-' | '>' | '→' | '~' | '.')).collect();
    let tight: String = letters.iter().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ");
    let marked = text.contains("->")
        || text.contains('→')
        || text.contains('>')
        || text.contains('~')
        || text.contains('-');
    if marked {
        let padded = format!(" {tight} ");
        if padded.contains(" s f ") || padded.contains(" sf ") {
            return text + " slow fast";
        }
        if padded.contains(" f s ") || padded.contains(" fs ") {
            return text + " fast slow";
        }
    }
    text
}

/// `true` when a word is in a list.
pub(super) fn listed(list: &str, word: &str) -> bool {
    list.split('|').any(|known| known == word)
}

/// "Or", between two meanings of the same values.
pub(super) fn is_or(word: &str) -> bool {
    matches!(word, "or" | "oder" | "ou" | "oppure")
}

/// `true` for a word of digits.
pub(super) fn is_number(word: &str) -> bool {
    word.chars().all(|c| c.is_ascii_digit())
}

/// A word as letters and the number behind them.
pub(super) fn split_number(word: &str) -> Option<(&str, u32)> {
    let at = word.find(|c: char| c.is_ascii_digit())?;
    let number = word.get(at..)?.parse().ok()?;
    (at > 0).then(|| (word.get(..at).unwrap_or(word), number))
}

pub(super) const NOTHING: &str = "nf|not fuction|not function|not active|nicht aktiv|non attivo|no function|keep at 0|keep at zero|no functions|no funtion|no fuction|no effect|no action|none|unused|not used|reserved|\
    keine funktion|ohne funktion|keine|sans fonction|aucune|aucune fonction|aucun effet|pas de fonction|\
    sin funcion|ninguna|nessuna funzione|nessuna|nessun effetto|idle|unassigned|libre|frei|n a|null|nothing|\
    inactive|inaktiv|not in use|invalid|ungultig|keep the channel|keep this channel|keep channel|nc|sin efecto|reserviert|reserve|riservato|reservado|\
    non utilise|no utilizado|non usato|unbelegt|leerlauf|dummy|blank|disabled|disable|deactivated|funktionslos|\
    without function|empty|spare|non attribue|no use|without use|sans effet|sans action|aucune action|nessuna azione|\
    nessun uso|ninguna accion|sin accion|sin uso|no usado|keine aktion|keine wirkung|ohne wirkung|wirkungslos|\
    nicht belegt|nicht benutzt|vacant|vide|vacio|vuoto|leer|not assigned|not allocated|nothing happens|nothing runs|\
    geen functie|zonder functie|niet gebruikt|vrij|ongebruikt|niet in gebruik|inutilise|without effect|no operation";
pub(super) const STROBE: &str = "stb|strb|strob*|flash*|blitz*|estrob*|flicker*|stroboscop*|lampeggi*|eclair|eclairs|clignot*|blink*|destell*|parpade*|\
    intermitten*|twinkl*|scintill*|flacker*|flimmer*|knipper*|flits*|papillot*|lampo|lampi|centelle*|lightning|gewitter|orage|tormenta|temporale|thunder*";
pub(super) const OFF: &str = "off|aus|arret|spento|apagado|desactivado|eteint|disattivato|spenta|apagada|desactive|uit|eteinte|desactivada";
pub(super) const OPEN: &str = "normal lighting|normal light|normally lit|always lit|constantly|open|offen|ouvert|ouverte|abierto|abierta|aperto|aperta|always on|light on|led on|leds on|steady|constant|\
    continuous|dauerlicht|full on|on|an|opened|shutter open|no strobe light on|permanent|stays on|leds full|\
    lamp open|lit|stays lit|fully open|passing|passes|put through|lets through|durchlass|luz fija|luz continua|\
    luz constante|luce fissa|luce continua|luce costante|lumiere fixe|lumiere continue|lumiere constante|festlicht|\
    standlicht|permanently|fixed light|steadily|glowing|glow|aan|fisso|fija|fixe|auf|allume|en continu|continu|in continuo|encendido|en continuo|continuo|acceso|\
    allumee|encendida|accesa|leuchtet|brennt";
pub(super) const CLOSED: &str = "donker|closed|close|blackout|black out|geschlossen|zu|ferme|fermee|cerrado|cerrada|chiuso|chiusa|light off|dark|\
    dunkel|led off|leds off|noir|shut|off|aus|no light|no flash|buio|oscuro|shut off|cut off|luz cortada|cortada|\
    cortado|coupe|coupee|lumiere coupee|luce spenta|luz apagada|lumiere eteinte|licht aus|uit|dicht|unlit|blocked";
pub(super) const SOUND: &str = "sprachsteuerung|stimmsteuerung|gehor|sound|sound active|sound activated|music|musik*|musique|musica|audio|audioactive|mic|microphone|mikrofon|\
    sonido|suono|son|sonore|audiorythmique|sound control|voice|soundactive|soundsteuerung|beat|beats|rhythm|rythme|\
    ritmo|takt|listens|listening|acoustic|akustisch|geluid|muziek|musical|musicale|musicales|musicali";
pub(super) const PROGRAMME: &str = "automatisch laufen|automatiklauf|muster*|giochi|gioco|looplicht*|auto|automatic|automatik|automatikprogramm*|automatique|automatico|automatica|automatikmodus|program|\
    programs|programme|programmes|programm|programma|programmi|programa|programas|show|shows|macro|macros|makro|\
    makros|chase|chases|chaser|built in|builtin|effect|effects|effekt|effekte|effet|effets|efecto|efectos|\
    effetto|effetti|fade|jump|jumping|gradual|gradient|dream|lauflicht|selbstlauf|demo|pattern|patterns|\
    sequence|sequences|scene|scenes|sequenz*|run|running|snap|autorun|auto run|cross fade|pulse|enchainement*|\
    automation|animation*|secuencia*|ablauf|ablaufe|self propelled|self running|self walking|self propel|autonomous|\
    selbstlaufend|playback|routine|routines|lauflichter|jumps|fades|sauts|fondu|szene|szenen|escena|escenas|scena|\
    ciclo|cicli|ciclos|cycles|fundido*|dissolvenz*|uberblend*|overvloei*|crossfade*";
pub(super) const SPEED: &str = "andatura|andamento|*geschwindigkeit|*tempo|speed|geschwindigkeit|vitesse|velocidad|velocita|tempo|spd|speeds|laufgeschwindigkeit|\
    programmgeschwindigkeit|tempi|pace|agility|swiftness|rapidity|rapidite|rapidita|rapidez|allure|schnelligkeit|\
    snelheid|cadence|cadencia|cadenza|velocity|quickness";
pub(super) const TURN: &str = "*rotation|*drehung|gobo rot|prism rot|wheel rot|rot cw|rot ccw|rotation|rotate|rotates|rotating|rotat*|spin|spinning|scroll|scrolling|rainbow|regenbogen*|arc en ciel|\
    arcoiris|arcobaleno|arco iris|turning|turn|drehung|drehen|dreht|cycle|flow|flowing|running water|run|\
    clockwise|counterclockwise|anticlockwise|giro|rotazione|rotacion|colour change|color change|colour scroll|\
    farbwechsel|farblauf|endless|continuous|rolling|roll|forward|backward|reverse|cw|ccw|drehend|tourne|\
    rotationne|rechts|links|linkslauf|rechtslauf|durchlauf|defilement|spins|turns|scrolls|rolls|revolv*|girando|girante|\
    gira|girar|girevole|tournant|tournante|tournent|draait|draaiend|wechselnd|drift|drifting|anticlockwise|to the right|\
    to the left|forwards|backwards";
pub(super) const STOP: &str = "stop|stopp|stopped|stops|halt|still|arret|arrete|parada|fermo|stillstand|no rotation|keine rotation|hold|\
    stand still|stands still|sans rotation|sin rotacion|static|pause|halted|halts|standing|at rest|parado|detenido|\
    fermato|immobile|immobil|steht";
pub(super) const SHAKE: &str = "shk|shake|shaking|shak*|schuttel*|scuotimento|vibration|jitter*|wobbl*|trembl*|bounc*|vibr*|zitter*|wackel*|temblor|tremol*|tremul*|trepid*|\
    sacudid*|quiver*|oscill*|dither*";
pub(super) const RANDOM: &str = "rnd|random|lightning|gewitter|orage|tormenta|temporale|thunder*|zufall*|aleatoire*|aleatori*|casual*|randomly|irregular*|unregelmassig*|irregulier*|irregolar*|chaotic|\
    willekeurig";
pub(super) const PULSE: &str = "pulse|pulseffekt|pulsstrobe|pulses|pulsing|pulsat*|pulsier*|puls|impuls*|pulsation|pulso|pulsos|ramp|ramping|ramps|swelling|anschwell*|\
    breathing|respir*|atmend";
pub(super) const GOBO: &str = "gobo|goboposition|gobodrehung|gobos|goborad|goboraeder|pattern|patterns|goborotation|stencil|stencils|schablone*|motif|motifs|motiv|motive|\
    dibujo|dibujos|disegno|disegni|goboscheibe|figure plate|figure|figures";
pub(super) const PRISM: &str =
    "prism|prismarotation|prismaposition|prismenrotation|prismadrehung|prisma|prisme|prismas|facet";
pub(super) const RESET: &str = "reset|resets|rucksetzen|reinitialis*|re initialis*|reinitializ*|re initializ*|reinicio|reiniciar|ripristino|reinit|\
    neustart|restart|restarts|re set|reboot|redemarrage|riavvio|herstart|initialisation|initialization|initialise|\
    initialize|neu starten|wiederanlauf*|anlauf|grundstellung|referenzfahrt|reinicializ*|azzera*|remise a zero|\
    initialisier*|kalibrier*|calibrat*|recalibrat*|calibrazione|calibracion|homing|rearme|restoration|restore|re home|rehome|re homes|home all|go home";
/// Words for what a fog machine does to its heater and pump.
pub(super) const HOT: &str = "heat*|heiz*|chauff*|prime|priming|pump|calent*|calef*|riscald*|warm up|warmup|purge|clean*|verwarm*|resistance";
/// Words for a part that has left the beam, and for one that stands in it.
pub(super) const OUT: &str = "out|withdraw|retract|retreat|removed|raus|none|retracted|ausgefahren|ausgeschwenkt|leave|leaves|leaving|away|withdrawn|not in the beam|\
    out of the beam|out of beam|exit|exits|hors|hors faisceau|fuera|fuori|weg|retire|retiree|escluso|esclusa|excluded|\
    disengaged|nicht im strahl|swung out|uitgezwenkt|eruit|desinsere|disinserito|disinserita|retirado|draussen";
pub(super) const IN: &str = "in|inserted|insert|enter|enters|engaged|im strahl|in the beam|insere|inseree|inserito|inserita|dentro|\
    eingeschwenkt|eingefahren|drin|active|activated|erin|introduit|insertado|insertada|included";
/// Words for the light going dark, for the time of something, and for what moves then.
pub(super) const DARK: &str = "blackout|black out|blacked out|blacks out|dark|darkness|no light|light off|dunkel|noir|oscuro|buio|scuro|\
    donker|blackouts|unlit|dunkelschaltung";
pub(super) const DURING: &str =
    "during|while|whilst|when|wahrend|bei|pendant|durante|mientras|mentre|tijdens|in|lors";
pub(super) const MOTION: &str = "move|moving|moves|movement|movements|change|changing|changes|travel|travels|travelling|bewegung*|mouvement*|\
    movimiento*|movimento*|pan|tilt|wechsel*|wheel|wheels|turning|turns|beweging|cambio|changement*|fahrt";
/// What a fan that cools does: by itself, quietly, at full speed.
pub(super) const FAN_MODES: &str = "selbsttatig|flusterleise|auto|automatic|automatik|automatisch|automatique|automatico|automatica|quiet|silent|leise|silence|silencieux|\
    silencioso|silenziosa|silencieuse|silenciosa|silenzioso|normal|regulated|geregelt|temperature|temperaturgeregelt|studio|theatre|stil|automatically|\
    constant|eco|low noise|whisper";

pub(super) const FINE: &str = "fine|16 bit|16bit|lsb|low byte|fein|feineinstellung|fijn|fino|fina|fine adjustment|micro|precise|precision|\
    fein 16 bit|ultra|fin|finement|feinjustierung|fine tune|lower byte|second byte|2nd byte|least significant|\
    octet faible|poids faible|ajuste fino|regolazione fine|reglage fin|niederwertig*|zweites byte|fine tuning|feines byte|feinbyte|byte fin|octet fin|byte fino|byte fijn";

/// The colours that a light may mix from, most telling first: words, attribute.
pub(super) const EMITTERS: &[(&str, &str)] = &[
    (
        "warm white|warm wit|warmwit|ww|warmweiss|warm weiss|blanc chaud|blanco calido|bianco caldo|white warm|wm white",
        "ColorAdd_WW",
    ),
    (
        "cold white|cool white|cw|kaltweiss|kalt weiss|blanc froid|blanco frio|bianco freddo|white cold",
        "ColorAdd_CW",
    ),
    (
        "uv|ultraviolet|ultraviolett|ultra violet|violet uv|black light|blacklight|schwarzlicht|lumiere noire",
        "ColorAdd_UV",
    ),
    ("amber|bernstein|ambre|ambar|ambra|a", "ColorAdd_RY"),
    ("lime|limette|lima", "ColorAdd_GY"),
    (
        "red|rot|rote|roten|roter|rotes|rouge|rouges|rojo|roja|rojos|rojas|rosso|rossa|rossi|rosse|r|rood|rode",
        "ColorAdd_R",
    ),
    (
        "green|grun|gruen|grune|grunen|gruner|grunes|vert|verte|verts|vertes|verde|verdes|verdi|g|groen|groene",
        "ColorAdd_G",
    ),
    (
        "blue|blau|blaue|blauen|blauer|blaues|bleu|bleue|bleus|bleues|azul|azules|blu|b|blauw|blauwe",
        "ColorAdd_B",
    ),
    (
        "white|wht|weiss|weisse|weissen|weisser|blanc|blanche|blancs|blanches|blanco|blanca|blancos|blancas|bianco|bianca|bianchi|bianche|w|wit|witte",
        "ColorAdd_W",
    ),
    ("cyan|ciano|cian|zyan|cyaan", "ColorAdd_C"),
    ("magenta", "ColorAdd_M"),
    ("yellow|gelb|jaune|amarillo|giallo|geel", "ColorAdd_Y"),
];

/// `true` for a cell that heads a column of a table.
pub(super) fn is_column_head(cell: &str) -> bool {
    let said = Said::new(cell);
    let any = said.words().any(|word| listed(HEADS, word));
    any && !said.has(NOTHING) && !said.has(ENDS) && said.words().all(is_head)
}

/// A word that heads a column, spelt right or nearly so.
fn is_head(word: &str) -> bool {
    const LONG: &str = "channel|channels|function|functions|value|values|description|meaning|kanal|funktion|beschreibung|bedeutung|\
        fonction|funcion|descripcion|funzione|descrizione";
    let near = || LONG.split('|').any(|known| subject::one_letter(word, known));
    listed(HEADS, word) || word.len() >= 5 && near()
}

/// A way that a level goes, in words that can be heads of columns as well.
const ENDS: &str = "min to max|max to min|de min a max|de max a min|von min bis max|von max bis min";

/// Words that head the columns of a table.
const HEADS: &str = "func|desc|val|channel|channels|ch|chanel|channnel|kanal|canal|canale|voie|value|values|dmx|function|functions|fuction|\
        funtion|funktion|fonction|funcion|funzione|description|descripcion|beschreibung|wert|werte|valeur|\
        valeurs|valor|valores|valore|valori|range|from|to|mode|modes|remark|remarks|note|notes|dec|decimal|hex|\
        percent|number|no|name|feature|features|parameter|effect|control|start|end|bereich|bemerkung|content|\
        contents|and|item|traits|chan|setting|settings|nr|de|a|von|bis|first|last|min|max|bit|meaning|bedeutung|\
        chart|table|protocol|slot|address|intervalo|plage|effet|descrizione|hexadecimal|step|steps|percentage|\
        nombre|default|value|512|wertebereich|dmx512|begin|midpoint|middle|home|ch.|chnl|action|detail|details|\
    parametre|parametro|assignment|explain|explanation|kanaal|waarde|functie|betekenis|belegung|zuordnung|\
    eigenschaft|wirkung|onderwerp|uitleg|omschrijving|significado|significato|signification|designation|bezeichnung|fonctions|funktionen|\
    funciones|funzioni|functions|descriptions|slots|property|purpose|use|uso|usage|attribut|attribute";

/// "12ch": a count of channels in one word.
fn is_counted(word: &str) -> bool {
    let unit = word.trim_start_matches(|c: char| c.is_ascii_digit());
    unit.len() < word.len() && matches!(unit, "ch" | "chs" | "can" | "kanal" | "k")
}

/// `true` for the row that heads the columns of a table.
pub(super) fn is_header(bits: &[Bit]) -> bool {
    let mut any = false;
    for bit in bits {
        let Bit::Words(words) = bit else { return false };
        let said = Said::new(&words.text);
        if said.has(NOTHING) || said.has(ENDS) {
            return false;
        }
        for word in said.words() {
            // "12CH" heads the column of that mode's numbers.
            let of_mode = is_counted(word);
            any |= listed(HEADS, word);
            if !of_mode && !is_head(word) {
                return false;
            }
        }
    }
    // A channel may well be called "Control", "Function" or "Effect".
    let one = match bits {
        [Bit::Words(words)] => matches!(
            plain(&words.text).as_str(),
            "control" | "effect" | "mode" | "settings" | "setting" | "modes"
        ),
        _ => false,
    };
    any && !one
}

/// `true` for a text with a quantity that no channel has: "Tank 1,2 l", "Mains 230 V".
pub(super) fn has_measure(text: &str) -> bool {
    const UNITS: &str =
        "l|ml|kg|g|w|kw|va|a|v|hz|mm|cm|m|min|mins|minutes|minuten|minuti|minutos|lbs|lb|ah|mah";
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    let number = |word: &str| word.starts_with(|c: char| c.is_ascii_digit());
    let unit = |word: &str| listed(UNITS, word.trim_end_matches(['.', ',', ';', ')']));
    words.iter().zip(words.iter().skip(1)).any(|(first, second)| number(first) && unit(second))
}

/// What a light weighs and takes: "Weight 3,6 kg", "Ref. 41-0726".
fn is_data(text: &str, said: &Said) -> bool {
    const DATA: &str = "weight|poids|gewicht|peso|dimensions|abmessungen|dimensiones|dimensioni|consumption|power consumption|power supply|\
        leistungsaufnahme|consumo|consommation|fuse|sicherung|fusible|fusibile|ref|mains|voltage|stromversorgung";
    let begins = DATA.split('|').any(|word| said.at(word) == said.starts.first().copied());
    begins && text.contains(|c: char| c.is_ascii_digit())
}

/// `true` for a text that says of itself that it is a remark ("Note: …").
pub(super) fn is_note(text: &str) -> bool {
    const NOTES: &str = "note|notes|remark|remarks|attention|warning|caution|important|hint|hinweis|hinweise|achtung|anmerkung|wichtig|\
        remarque|remarques|avertissement|nota|notas|atencion|aviso|importante|attenzione|avvertenza|avviso|let op|opmerking";
    text.split_once([':', '!', '.']).is_some_and(|(first, _)| listed(NOTES, &plain(first)))
}

/// `true` for what belongs to the page and not to the table: page numbers, addresses of the maker, document numbers.
pub(super) fn is_noise(text: &str) -> bool {
    let said = Said::new(text);
    let lower = text.to_lowercase();
    lower.contains("www.")
        || lower.contains("http")
        || lower.contains('@')
        || lower.contains('©')
        || said.has(
            "page|seite|pagina|user manual|owner s manual|bedienungsanleitung|manual|user guide|copyright|\
            all rights reserved|rev|version|mode d emploi|manuel|firmware|doc|document|item no|guide|edition|\
            instructions|anleitung|handbuch|quick start|art nr|article",
        )
        || !said.is_empty() && !text.contains(['%', '°']) && said.words().all(is_number)
        || is_data(&lower, &said)
        || matches!(said.words().collect::<Vec<_>>()[..], ["p", page] if is_number(page))
}
