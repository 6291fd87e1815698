//! What a channel is for, by its name.

use super::words::{
    EMITTERS, FINE, GOBO, NOTHING, OPEN, PRISM, PROGRAMME, RESET, SHAKE, SOUND, SPEED, STOP, STROBE, Said,
    TURN, is_number, listed, split_number,
};

/// What a channel is for, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Subject {
    Pan,
    Tilt,
    PanFine,
    TiltFine,
    /// A fine byte; of what, its place says.
    Fine,
    PanEndless,
    TiltEndless,
    MoveSpeed,
    /// "Speed", of what its neighbours say.
    Speed,
    Dimmer,
    DimmerFine,
    DimmerCurve,
    DimmerSpeed,
    Shutter,
    Strobe,
    StrobeDuration,
    /// The attribute's name.
    Emitter(&'static str),
    Sub(&'static str),
    Cto,
    /// A wheel or mixes, as the other channels say.
    Colour(u8),
    Wheel(u8),
    WheelSpin(u8),
    Macro,
    MacroSpeed,
    Gobo(u8),
    GoboShake(u8),
    GoboSpin(u8),
    GoboIndex(u8),
    Prism(u8),
    PrismSpin(u8),
    PrismIndex(u8),
    Focus,
    Zoom,
    Iris,
    Frost,
    Programme,
    ProgrammeSpeed,
    Sound,
    Sensitivity,
    Reset,
    Lamp,
    Control,
    Display,
    Fog,
    Haze,
    /// What comes out of a machine, fog or haze.
    Emission,
    Fan,
    /// How a fan that cools is governed.
    FanMode,
    /// What warms the fluid of a fog machine.
    Heater,
    /// Turns its beams by a motor.
    Derby,
    Laser,
    Nothing,
}

/// Words that may stand beside a colour in the name of its channel.
const BESIDE_COLOUR: &str = "dimmer|dimming|intensity|led|leds|brightness|colour|color|farbe|couleur|level|segment|pixel|head|spot|zone|\
    section|cell|lamp|light|of|all|group|intensitat|helligkeit|intensite|luminosity|total|the|for|control|mix|\
    mixing|channel|value|part|par|can|kopf|tete|seg|px|strip|array|ring|emitter|dimmer|from|to|dark|\
    bright|min|max|linear|lens|point|pod|bar|eye|row|tube|block|unit|licht|lumiere|0|100|off|full|increasing|\
    brillo|intensidad|intensita|increase|gradually|by|percent|hell|dunkel|bis|von|a|de|du|la|le|el|il|del|luz|\
    testa|cabeza|pinspot|derby|panel|cell|cells|sections|segments|pixels|heads|spots|zones|bars|lamps|emitters|lens|\
    lenses|cellule|cellules|zelle|zellen|leiste|barra|barre|balken|jet|nozzle|duse|beam|effect|laser|moonflower|matrix";

/// What a name says the channel is for; one letter wrong in a word is forgiven. None when nobody can tell.
pub(super) fn subject(text: &str) -> Option<Subject> {
    let said = Said::new(text);
    if said.is_empty() {
        return None;
    }
    let right = || corrected(&said).and_then(|said| subject_of(&said));
    match subject_of(&said) {
        // "Bule dimming": the misprint says which.
        Some(Subject::Dimmer) => match right() {
            Some(emitter @ Subject::Emitter(_)) => Some(emitter),
            _ => Some(Subject::Dimmer),
        },
        known => known.or_else(right),
    }
}

/// The words with misprints put right; none when none is near enough to a word that charts use.
pub(super) fn corrected(said: &Said) -> Option<Said> {
    const USUAL: &str = "dimmer|blue|strobe|shutter|colour|color|green|white|amber|speed|focus|prism|rotation|function|programme|\
        program|sound|reset|master|intensity|closed|open|gobo|blackout|macro|wheel|random|yellow|magenta|effect|\
        rainbow|control";
    // Words in their own right that are one letter from those.
    const RIGHT: &str = "geen|while|rest|rests|close|closes|opens|opener|seed|steed|mast|masters|raids|random|reds|programm|programma|programmi|programa|programas|\
        colore|colori|colores|colour|colours|colors|effet|effets|effects|efecto|effetto|couleur|prisme|prisma|lento|\
        macros|makro|makros|gobos|white|whites|rotations|rotacion|rotazione|fonction|fonctions|funktion|funcion|closer|\
        opened|sounds|speeds|ambre|focusing";
    let mut changed = false;
    let words: Vec<&str> = said
        .words()
        .map(|word| {
            let near = (word.len() >= 4
                && !listed(USUAL, word)
                && !listed(RIGHT, word)
                && word.strip_suffix('s').is_none_or(|stem| !listed(USUAL, stem)))
            .then(|| USUAL.split('|').find(|usual| one_letter(word, usual)))
            .flatten();
            changed |= near.is_some();
            near.unwrap_or(word)
        })
        .collect();
    let text = words.join(" ");
    changed.then(|| Said::new(&text))
}

/// One letter too many, too few, another, or two exchanged.
pub(super) fn one_letter(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let same = a.iter().zip(&b).take_while(|(a, b)| a == b).count();
    let tail = |i: usize, j: usize| a.get(i..) == b.get(j..);
    same > 0
        && match a.len().abs_diff(b.len()) {
            0 => {
                tail(same + 1, same + 1)
                    || a.get(same) == b.get(same + 1)
                        && a.get(same + 1) == b.get(same)
                        && a.get(same).is_some()
                        && tail(same + 2, same + 2)
            }
            1 if a.len() > b.len() => tail(same + 1, same),
            1 => tail(same, same + 1),
            _ => false,
        }
}

fn subject_of(said: &Said) -> Option<Subject> {
    movement(said)
        .or_else(|| wheels(said))
        .or_else(|| beam(said))
        .or_else(|| colour(said))
        .or_else(|| rest(said))
}

/// Words for colour as such.
const COLOUR: &str = "colour|color|colours|colors|farb*|couleur*|colore|colori|colores";
/// Words for the two axes of a head.
const PAN: &str = "pan|x axis|x rotation|x turning|panning|horizontal*|orizzontale|schwenk*|panoramique|paneo|pan16|xaxis|axis x|x movement|movement x|\
    across|left right|left and right|left to right|sideways|side to side|azimuth|azimut|x achse|achse x|axe x|asse x|\
    eje x|x as|as x|mouvement x|movimiento x|movimento x|x bewegung|yaw";
const TILT: &str = "tilt|y axis|y rotation|y turning|vertical*|verticale|vertikal|neig*|inclin*|tilting|yaxis|axis y|y movement|movement y|\
    up and down|up down|up to down|down to up|top to bottom|elevation|y achse|achse y|axe y|asse y|eje y|y as|as y|mouvement y|\
    movimiento y|movimento y|y bewegung|kantel*|pitch";

fn is_fine(said: &Said) -> bool {
    said.has(FINE) && !said.has("tuning")
}

/// Where the head points, and how fast it gets there.
fn movement(said: &Said) -> Option<Subject> {
    use Subject as S;
    let speed = said.has(SPEED);
    let fine = is_fine(said);
    let (pan, tilt) = (said.has(PAN), said.has(TILT));
    let moves = pan && tilt
        || said.has(
            "pt|p t|xy|x y|movement|moving|move|bewegung*|mouvement|movimiento|movimento|head speed|\
            axis|axes|ejes|achsen|assi|assen|fahr*|bewegungs*|*bewegung|kopfgeschwindigkeit|mirror|spiegel|miroir|espejo|specchio|deplacement*|travel|yoke|joch|kopf|kopfes|cabezal|cabeza|tete|\
            testa|kop|lyre|bugel|head|forcella|horquilla",
        );
    Some(if said.has(SENSITIVITY) {
        S::Sensitivity
    } else if moves && (speed || said.has("time|slow|fast"))
        || said.has("motor|motors") && speed
        || (pan || tilt) && speed && !fine && !said.has("continuous|endless|infinite|rotation")
    {
        S::MoveSpeed
    } else if pan && !tilt {
        if fine {
            S::PanFine
        } else if said.has("continuous|endless|infinite|unlimited|infini|endlos*") && !said.has("0") {
            S::PanEndless
        } else {
            S::Pan
        }
    } else if tilt && !pan {
        if fine {
            S::TiltFine
        } else if said.has("continuous|endless|infinite|unlimited|infini|endlos*") {
            S::TiltEndless
        } else {
            S::Tilt
        }
    } else {
        return None;
    })
}

/// Curves, prisms and gobos.
fn wheels(said: &Said) -> Option<Subject> {
    use Subject as S;
    let n = number_word(said);
    let speed = said.has(SPEED);
    Some(if said.has("dimmer curve|dimming curve|dimmerkurve|curve|kurve|courbe|curva|curves|courbes|kurven|dimmerverhalten|\
        fader behaviour|fader behavior|dimming behaviour|dimmer behaviour|dimming law|regelkurve")
    {
        S::DimmerCurve
    } else if said.has("dimmer speed|dimming speed|dimmer response|dim speed|dimmergeschwindigkeit|dimmer delay|response time|\
        dimmer mode|intensity response|dimming response|response|inertia|inertie|tragheit|filament|gluhfaden|gluhwendel|\
        reacts at once|immediate response|afterglow|nachgluhen|dimmer smoothing|smoothing") {
        S::DimmerSpeed
    } else if said.has(PRISM) {
        if said.has(TURN) || speed {
            S::PrismSpin(n)
        } else if said.has(INDEX) {
            S::PrismIndex(n)
        } else {
            S::Prism(n)
        }
    } else if said.has(GOBO)
        && !said.has("pattern speed|effect pattern")
        && !(said.has("pattern|patterns")
            && said.has(PROGRAMME)
            && !said.has("gobo|gobos")
            && said.has("auto|sound|built in|program|programme"))
    {
        let holds = said.has("rotating gobo|rotating gobos|rotation gobos|rotation gobo|rotating gobo wheel|gobo wheel")
            && !said.has("gobo rotation|wheel rotation|wheel speed|gobo wheel rotation");
        if holds && said.has(INDEX) {
            S::GoboIndex(n)
        } else if holds {
            S::Gobo(n)
        } else if said.has(SHAKE) {
            S::GoboShake(n)
        } else if said.has(INDEX) && !said.has(TURN) {
            S::GoboIndex(n)
        } else if said.has(TURN) || speed {
            S::GoboSpin(n)
        } else {
            S::Gobo(n)
        }
    } else {
        return None;
    })
}

/// Flashes and what shapes the beam.
fn beam(said: &Said) -> Option<Subject> {
    use Subject as S;
    let (pan, tilt) = (said.has(PAN), said.has(TILT));
    let lit = said.has(OPEN) || said.has("led|leds|lamp|lamps|light|lights|colour|color|colours|colors");
    let motors = said.has(MOTORS);
    let derby = said.has("derby") && !said.has(STROBE) && !lit && emitter(said).is_none()
        || said.has("laser|lasers") && (said.has(TURN) || motors) && !said.has("colour|color");
    let alone = said
        .words()
        .all(|word| listed(MOTORS, word) || listed("both|beide|all|alle|left|right|links|rechts", word));
    let turned =
        motors && (alone || said.has(TURN) || said.has(STOP) || said.has("slow|fast|langsam|schnell"));
    Some(if derby || turned && !pan && !tilt && !said.has("prism") {
        S::Derby
    } else if said.has("laser|lasers") && !said.has(STROBE) {
        S::Laser
    } else if said.has("strobe duration|flash duration|duration|flash length|blitzdauer|pulse width|duree|duracion|durata|dauer|\
        puls duration|flash time|strobe time|strobe length|length of each flash|length of flash|length of the flash|flash width|blitzlange|\
        longueur de l eclair|duur|flitsduur|duree d eclair") {
        S::StrobeDuration
    } else if said.has("shutter|verschluss|obturateur|obturador|otturatore|light valve|light gate|interrupter|douser|dowser|sluiter|\
        lichtklappe|blende|occulteur")
        && !said.has("dimmer")
    {
        S::Shutter
    } else if said.has(STROBE) && !said.has("dimmer|gradateur|variateur|atenuador|regulador|intensidad dimmer") && !of_flashes(said) {
        S::Strobe
    } else if said.has(RESET) {
        S::Reset
    } else if said.has(ZOOM) {
        S::Zoom
    } else if said.has("focus*|fokus*|mise au point|enfoque|messa a fuoco|fuoco|focalisation|sharpness|scharfe|bildscharfe|nettete|\
        nitidez|nitidezza|scherpte") {
        S::Focus
    } else if !said.has("arco iris|arc en ciel") && said.has("iris|aperture|irisblende|diaphragm|diaphragme|diafragma|iride") {
        S::Iris
    } else if said.has("frost|diffusion|softlight|diffuser|diffusor|diffuseur|difusor|diffusore|diffusing|weichzeichner|streuscheibe|\
        streufilter|softener|diffus") {
        S::Frost
    } else if said.has("cto|colour temperature|color temperature|farbtemperatur|temperature de couleur|temperatura|cct|ctc") {
        S::Cto
    } else {
        return None;
    })
}

/// Wheels, mixes and what colours are mixed from.
fn colour(said: &Said) -> Option<Subject> {
    use Subject as S;
    let n = number_word(said);
    let speed = said.has(SPEED);
    let colour_word = said.has(COLOUR);
    let known = if colour_word && said.has("wheel|rad|roue|rueda|ruota|disc|disk|farbrad|disque|disco|wiel|scheibe|drum")
        || said.has("farbrad*|farbscheibe*|dichroic*|dichroitisch*|dichroique*|dicroic*|kleurenwiel|filter wheel|filterrad|\
            colour plate|color plate|roue de filtres|rueda de filtros|ruota filtri|colour filters|color filters|farbfilter")
    {
        if speed || said.has("rotation|spin") { S::WheelSpin(n) } else { S::Wheel(n) }
    } else if colour_word
        && (speed || said.has("macro speed|fade speed"))
        && said.has("macro*|makro*|change|mix*|fade|preset*|wechsel|jump")
    {
        S::MacroSpeed
    } else if colour_word
        && said.has(
            "macro|macros|makro|makros|preset|presets|mix|mixing|mixed|fixed|static|select|selection|choice|\
            auswahl|mischung|voreinstellung*|predefined|seleccion|selezione|farbmakro*|farbauswahl|melange|\
            mezcla|feste|fixes|fijos|fissi|pretes|listos|ready|ready made|vordefiniert*|vorgemischt*|gemischt",
        )
        || said.has("farbmakro*|farbauswahl|farbmischung*|mischfarbe*|festfarbe*|teintes|tints|tinte|tonalidades|shades|presets|\
            preset|festfarben|farbtone|nuances|hues")
    {
        S::Macro
    } else {
        return emitter(said);
    };
    Some(known)
}

/// What blows, and what comes out of a machine.
fn machine(said: &Said) -> Option<Subject> {
    use Subject as S;
    Some(if said.has("fan|fans|blower|ventilator|luftergeschwindigkeit|lufter|ventilateur|ventilador|ventola|geblase|cooling|kuhlung|\
        refroidissement|refrigeracion|raffreddamento|koeling|ventole|ventilation|luftung") {
        S::Fan
    } else if said.has("haze|hazer|dunst|brouillard leger|foschia|neblina|nebelwirkung") {
        S::Haze
    } else if said.has("fog|smoke|nebel*|fumee|humo|fumo|fogger|output volume|nebbia|niebla|rook|mist") {
        S::Fog
    } else if said.has("heater|heizung|heizer|chauffage|chauffe|calentador|riscaldatore|verwarming|heating") {
        S::Heater
    } else if said.has("brouillard|emission*|emissione|ausstoss|debit|emision|emisie|erogazione|uitstoot") {
        S::Emission
    } else {
        return None;
    })
}

/// Everything else, the least telling words last.
fn rest(said: &Said) -> Option<Subject> {
    use Subject as S;
    let speed = said.has(SPEED);
    let fine = is_fine(said);
    let colour_word = said.has(COLOUR);
    let n = number_word(said);
    Some(if said.has(LAMP) && said.has("lamp|lampe|lampara|lampada|brenner|bulb") {
        S::Lamp
    } else if (is_output(said) || is_lamps(said))
        && !said.has("fog|haze|smoke|fan|nebel|volume|pump")
        && !said.has(PROGRAMME)
        && !said.has(STROBE)
    {
        S::Dimmer
    } else if let Some(machine) = machine(said) {
        machine
    } else if said.has("lamp|lampe|lampara|lampada|lampen|brenner|bulb|lampje")
        && (said.has("on|off|control|an|aus|ignition|strike") || said.has(LAMP))
    {
        S::Lamp
    } else if said.has(PROGRAMME) && speed
        || said.has("effect speed|programmgeschwindigkeit|laufgeschwindigkeit")
    {
        S::ProgrammeSpeed
    } else if said.has("dimmer|int|lichtstrom|dimming|dimmen|dim|intensity|intensitat|intensite|intensidad|intensita|brightness|helligkeit|\
        luminosite|luminosidad|luminosita|brillo|blitzhelligkeit|blitzintensitat|blitzstarke|flitsintensiteit|master|gradation|gradateur|atenuador|variateur|\
        gesamthelligkeit|gesamtdimmer|hauptdimmer|masterdimmer|total brightness|master intensity|regulador|\
        lamp dimmer|fader|virtual fader|total light|light level|output level|light output|luminous output|overall level|\
        overall light|general level|gesamtlicht|lichtleistung|lichtstarke|niveau lumineux|niveau general|nivel de luz|\
        livello luce|hoofdregelaar|helderheid|sterkte|lichtsterkte|lichtausgang|flux lumineux|flujo luminoso|eclairage|\
        luminance|total level|master level|main level|regler|hauptregler|summenregler|gradateur general|dimmers|dark bright|\
        dark to bright|dark to light|dark full|dark to full|off to full|aus to voll|aus bis voll|off to on|eteint to plein|dunkel hell|dunkel bis hell|sombre clair|dark and 255 is full")
        || said.only("level|niveau|nivel|livello|pegel|output|light|licht|lumiere|luz|luce|0 100|to|percent|all|the|\
            lamp|lamps|lampe|lampen|lampes|lampara|lamparas|lampada|lampade|alle|and|bulb|bulbs|spot|spots|fine")
            && !said.words().all(is_number)
    {
        if fine { S::DimmerFine } else { S::Dimmer }
    } else if said.has(PROGRAMME) {
        S::Programme
    } else if speed && said.has("strobe") {
        S::Strobe
    } else if speed {
        S::Speed
    } else if said.has(SOUND) {
        S::Sound
    } else if colour_word {
        S::Colour(n)
    } else if said.has("control|special|function|functions|fonction|funktion*|service|mode|settings|sonderfunktion*|funciones|\
        funzioni|fonctions|maintenance|speciale|mode select|modes|modus|sonstiges|utilities|utility|housekeeping|system|\
        systeme|sistema|wartung|mantenimiento|manutenzione|servizio|servicio|dienst|operation|betrieb|betriebsart|\
        run mode|fonctionnement|funcionamiento|funzionamento|operating mode|extras|misc|various|verschiedenes|divers|\
        varios|varie|bedrijf|werking") && !said.has(NOTHING)
    {
        S::Control
    } else if said.has("display|anzeige|ecran") {
        S::Display
    } else if fine {
        S::Fine
    } else if said.has(NOTHING) {
        S::Nothing
    } else {
        return None;
    })
}

/// "Output 3", "alle Ausgänge": what a dimmer pack feeds.
pub(super) fn is_output(said: &Said) -> bool {
    const OUTPUTS: &str = "output|outputs|outlet|outlets|ausgang|ausgange|sortie|sorties|salida|salidas|uscita|uscite|circuit|\
        circuits|socket|kring|kringen|circuito|circuitos|circuiti|stromkreis|stromkreise|kreis|uitgang|uitgangen";
    let words: Vec<&str> = said.words().collect();
    let numbered =
        words.windows(2).any(|pair| listed(OUTPUTS, pair[0]) && (is_number(pair[1]) || pair[1].len() == 1));
    numbered
        || said.has(
            "all outputs|alle ausgange|toutes les sorties|todas las salidas|tutte le uscite|all circuits|\
        alle kringen|tous les circuits|todos los circuitos|\
        tutti i circuiti|alle kreise",
        )
}

/// Words for how much a microphone hears.
pub(super) const SENSITIVITY: &str = "sensitivity|empfindlichkeit|sensibilite|sensibilidad|sensibilita|sensitiv*|mikrofonempfindlichkeit|\
    microphone gain|mic gain|gain|mikrofonpegel|gevoeligheid|microphone level|ganancia|guadagno";
/// Words for the angle at which a gobo or a prism stands.
pub(super) const INDEX: &str = "index*|*position|positioning|orientation|ausrichtung|winkel|angle|angulo|angolo|orientacion|orientamento|stellung|\
    hoek|indizierung";
/// Words for how bright flashes are.
const OF_FLASHES: &str = "flash intensity|strobe intensity|intensity of the flash|intensity of flash|flash brightness|strobe brightness|\
    blitzhelligkeit|blitzintensitat|blitzstarke|helligkeit der blitze|intensite des eclairs|intensite de l eclair|\
    intensite du flash|intensidad del destello|intensidad de los destellos|intensidad del flash|intensita dei lampi|\
    intensita del lampo|intensita del flash|flitsintensiteit";
/// How bright flashes are, or the lamps that are there to flash.
fn of_flashes(said: &Said) -> bool {
    said.has(OF_FLASHES)
        || said.has("ring|led|leds|lamp|tube|panel")
            && ["level", "brightness", "intensity"].iter().any(|end| said.ends(end))
}

/// Words for what turns something.
const MOTORS: &str = "lasermotor|derbymotor|effektmotor|motor|motors|motore|motori|moteur|moteurs|motoren|rotor|rotors|rotoren|rotore|rotori";
/// Words for how wide the beam is.
const ZOOM: &str = "zoom|beam angle|beam width|spread|abstrahlwinkel|leuchtwinkel|strahlwinkel|lichtkegel|ausstrahlwinkel|angle of beam|\
    ouverture|angle du faisceau|angle de faisceau|apertura|angulo del haz|angulo de haz|angolo del fascio|field angle|\
    bundelhoek|largeur du faisceau|ampiezza del fascio|aperture angle|cone angle";

/// Words for what is done to a discharge lamp.
const LAMP: &str = "encendida|apagada|accesa|spenta|allumee|eteinte|allumage|allumer|extinction|eteindre|amorcage|encendido|encender|apagado|apagar|accensione|accendere|spegnimento|\
    spegnere|zunden|zundung|einschalten|ausschalten|ignite|ignites|ignition|strike|restrike|douse|douses|ontsteken|doven|\
    arranque|startet";

/// "Lamp 3", "all lamps": what a row of lamps, each with its own dimmer, is told by.
fn is_lamps(said: &Said) -> bool {
    const LAMPS: &str = "lamp|lamps|lampe|lampen|lampes|lampara|lamparas|lampada|lampade|bulb|bulbs|gluhlampe|gluhlampen|ampoule|\
        ampoules|bombilla|bombillas|lampadina|lampadine";
    let words: Vec<&str> = said.words().collect();
    let numbered = words.windows(2).any(|pair| listed(LAMPS, pair[0]) && is_number(pair[1]))
        || words.iter().any(|word| split_number(word).is_some_and(|(stem, _)| listed(LAMPS, stem)));
    let all = words
        .windows(2)
        .any(|pair| matches!(pair[0], "all" | "alle" | "les" | "las" | "le") && listed(LAMPS, pair[1]));
    let side = words.iter().any(|word| listed(LAMPS, word))
        && said.has("left|right|links|rechts|gauche|droite|izquierda|derecha|sinistra|destra|mitte|middle|centre|center|beide|\
            both|entrambe|ambas|deux|tutte|todas|toutes|linke|rechte|oben|unten|top|bottom");
    (numbered || all || side) && !said.has(NOTHING)
}

/// A colour to mix from: nothing else is in the name but what may stand beside it.
fn emitter(said: &Said) -> Option<Subject> {
    let mut found: Option<&'static str> = None;
    let mut rest: Vec<&str> = said.words().collect();
    for (words, attribute) in EMITTERS {
        for phrase in words.split('|') {
            let parts: Vec<&str> = phrase.split(' ').collect();
            let place = (0..rest.len()).find(|at| {
                rest.get(*at..*at + parts.len()).is_some_and(|have| {
                    have.iter().zip(&parts).enumerate().all(|(index, (word, part))| {
                        word == part || index + 1 == parts.len() && numbered(word, part)
                    })
                })
            });
            if let Some(at) = place
                && (phrase.len() > 1
                    || rest.iter().enumerate().all(|(index, word)| {
                        index == at
                            || listed(BESIDE_COLOUR, word)
                            || is_number(word)
                            || split_number(word).is_some_and(|(stem, _)| listed(BESIDE_COLOUR, stem))
                    }))
                && found.is_none_or(|earlier| earlier == *attribute || phrase.len() > 1)
            {
                // Two colours in one name are no single emitter ("white + red"); the same one in two languages is.
                if found.is_some_and(|earlier| earlier != *attribute) {
                    return None;
                }
                found = Some(attribute);
                rest.drain(at..at + parts.len());
            }
        }
    }
    let attribute = found.filter(|_| !is_output(said))?;
    let beside = rest.iter().all(|word| {
        listed(BESIDE_COLOUR, word)
            || is_number(word)
            || word.len() == 1
            || split_number(word).is_some_and(|(stem, _)| listed(BESIDE_COLOUR, stem))
    });
    let strange = rest.iter().filter(|word| !listed(BESIDE_COLOUR, word) && !is_number(word)).count();
    let clear = EMITTERS.iter().any(|(words, attr)| {
        *attr == attribute && words.split('|').any(|word| word.len() > 2 && said.at(word).is_some())
    });
    let few = strange <= if clear { 3 } else { 1 };
    if !(beside || few) || rest.iter().any(|word| matches!(*word, "wheel" | "temperature" | "macro")) {
        return None;
    }
    let subtracts = rest.iter().any(|word| matches!(*word, "flag" | "filter" | "cmy"));
    Some(match attribute {
        "ColorAdd_C" if subtracts => Subject::Sub("ColorSub_C"),
        "ColorAdd_M" if subtracts => Subject::Sub("ColorSub_M"),
        "ColorAdd_Y" if subtracts => Subject::Sub("ColorSub_Y"),
        other => Subject::Emitter(other),
    })
}

/// "r1", "red2": a word with a number behind it.
fn numbered(word: &str, stem: &str) -> bool {
    split_number(word).is_some_and(|(begins, _)| begins == stem)
}

/// "Gobo 2", "second colour wheel": which of two.
fn number_word(said: &Said) -> u8 {
    let second = said.has(
        "gobo 2|gobo2|gobo wheel 2|wheel 2|goborad 2|colour 2|color 2|colour wheel 2|color wheel 2|farbrad 2|\
        second|rotating gobo wheel 2|zweites|prism 2|prism2|prisma 2|prisme 2|zweite|deuxieme|2nd|segunda|segundo|seconda|\
        secondo|tweede",
    );
    if second { 2 } else { 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_five_languages() {
        use Subject as S;
        for (name, want) in [
            ("Pan", S::Pan),
            ("Tilt fine (16 bit)", S::TiltFine),
            ("Schwenken", S::Pan),
            ("Pan/tilt speed", S::MoveSpeed),
            ("Vitesse Pan / Tilt", S::MoveSpeed),
            ("Master dimmer (0-100%)", S::Dimmer),
            ("Helligkeit", S::Dimmer),
            ("Red dimmer", S::Emitter("ColorAdd_R")),
            ("Rouge", S::Emitter("ColorAdd_R")),
            ("Warm white", S::Emitter("ColorAdd_WW")),
            ("R1", S::Emitter("ColorAdd_R")),
            ("Segment 12 green", S::Emitter("ColorAdd_G")),
            ("Colour wheel", S::Wheel(1)),
            ("Color", S::Colour(1)),
            ("Colour macros", S::Macro),
            ("Gobo rotation", S::GoboSpin(1)),
            ("Gobo wheel 2", S::Gobo(2)),
            ("Prisma", S::Prism(1)),
            ("Programme speed", S::ProgrammeSpeed),
            ("Strobe", S::Strobe),
            ("Reset", S::Reset),
        ] {
            assert_eq!(subject(name), Some(want), "{name}");
        }
        assert_eq!(subject("Qwrtz"), None);
    }
}
