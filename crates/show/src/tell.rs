//! Looks, chases and cues in plain words, for a page, a list on paper or a command line.
//!
//! Plain, short, present tense: the thing first, the figure second. A colour word carries its colour, so that whoever
//! shows it can underline it in the colour that it means. Lights are named as the rig names them, places by the marks
//! that they are near.

mod colour;
mod figure;
mod part;
mod place;
mod sentence;

pub use figure::figure;

use lanthorn_physics::colour::Chromaticity;
use lanthorn_physics::{Point, Span};
use lanthorn_rig::{Rig, Room};

use crate::light_level::{self, LuxAnswer};
use crate::{Ask, Chase, Cue, Look, Order, Part, Show, Step, StepTime, Swing, Who};
use part::Detail;
use sentence::Sentence;

/// A cue is read at a glance: its sentence is about as long as two lines of print.
const CUE_LETTERS: usize = 158;

const FOLLOWS: &str = "the next follows ";

/// So many sentences of a look are told with a cue.
const MOST_PARTS: usize = 2;

/// So many colours of a chase are told.
const MOST_COLOURS: usize = 4;

/// A piece of a sentence.
#[derive(Clone, Debug, PartialEq)]
pub struct Word {
    /// The text, with its spaces and stops: the words of a sentence simply follow each other.
    pub text: String,
    /// What it means, for a word that is a colour.
    pub colour: Option<Chromaticity>,
    /// The field of the show's file that it tells, by its name there; none for what only joins.
    pub of: Option<&'static str>,
}

/// The sentence without its colours.
pub fn plain(words: &[Word]) -> String {
    words.iter().map(|word| word.text.as_str()).collect()
}

/// One sentence for each part of a look: "Spots 2, 3 and heads 8, 9 on the cake, warm white, 62 %."
pub fn look(look: &Look, show: &Show, rig: &Rig) -> Vec<Vec<Word>> {
    look.parts
        .iter()
        .zip(light_level::solve(look, &show.figures, rig))
        .map(|(part, answer)| {
            let mut sentence = Sentence::default();
            part::tell(part, answer.as_ref(), (show, rig), Detail::Whole, &mut sentence);
            sentence.end()
        })
        .collect()
}

/// The colours of a look, each once, in the order that it names them.
pub fn look_colours(look: &Look) -> Vec<Chromaticity> {
    let mut colours: Vec<Chromaticity> = Vec::new();
    for ask in look.parts.iter().flat_map(|part| &part.colours) {
        if !colours.contains(&ask.chromaticity) {
            colours.push(ask.chromaticity);
        }
    }
    colours
}

/// One sentence: "Slow wheel: amber to rose, a step every 4 beats, each flowing into the next, to and fro."
pub fn chase(chase: &Chase, show: &Show) -> Vec<Word> {
    let mut sentence = Sentence::default();
    sentence.say(&chase.name).say(": ");
    if step_colours(chase, show, &mut sentence) {
        sentence.say(", ");
    }
    sentence.say_of("step_time", &step_times(chase));
    match common(chase.steps.iter().map(|step| step.fade)) {
        Some(fade) if is_nothing(fade) => {}
        _ if flows(chase) => _ = sentence.comma().say_of("step_fade", "each flowing into the next"),
        Some(fade) => _ = sentence.comma().say("fading over ").say_of("step_fade", &time(fade)),
        None => {}
    }
    match chase.order {
        Order::Forward => {}
        Order::Backward => _ = sentence.comma().say_of("order", "backwards"),
        Order::ToAndFro => _ = sentence.comma().say_of("order", "to and fro"),
        Order::Random => _ = sentence.comma().say_of("order", "in any order"),
    }
    if chase.swing > Swing::EVEN {
        let first = 100.0 * chase.swing.0;
        let swung = format!("swung {} to {}", number(first), number(100.0 - first));
        sentence.comma().say_of("swing", &swung);
    }
    match chase.rounds {
        None => {}
        Some(1) => _ = sentence.comma().say_of("rounds", "once"),
        Some(rounds) => _ = sentence.comma().say_of("rounds", &format!("{rounds} times round")),
    }
    if chase.calm {
        sentence.comma().say_of("calm", "calm without music");
    }
    if let Some(strike) = chase.at_each {
        sentence.comma().say_of("at_each", &format!("at each {}", strike.word()));
    }
    sentence.end()
}

/// What a cue changes, one sentence: "Speeches over 3 s: spots 2, 3 on the speaker, warm white, 80 %; slow wheel stops."
/// A look that is on already is not told again, nor are those of its sentences that the look before it had; of many
/// sentences only the first are told. `index` is its place in the cue list; a place that does not exist says nothing.
pub fn cue(index: usize, show: &Show, rig: &Rig) -> Vec<Word> {
    let Some(cue) = show.cues.get(index) else { return Vec::new() };
    let mut rest = Sentence::default();
    chase_changes(index, cue, show, &mut rest);
    if let Some(bpm) = cue.tempo {
        rest.semicolon().say("tempo ").say_of("tempo", &format!("{} beats a minute", number(bpm)));
    }
    let follow = cue.follow.filter(|_| index + 1 < show.cues.len()).map(|follow| {
        if follow > Span::ZERO { format!("{} later", span(follow)) } else { "at once".to_owned() }
    });
    let spoken = rest.letters() + follow.as_deref().map_or(0, |when| FOLLOWS.len() + when.len());
    let mut sentence = look_change(index, show, rig, spoken);
    if !rest.is_empty() {
        sentence.semicolon().append(rest);
    }
    if sentence.is_empty() {
        sentence.say("nothing changes");
    }
    if let Some(follow) = follow {
        sentence.semicolon().say(FOLLOWS).say_of("follow", &follow);
    }
    sentence.end()
}

/// The look that a cue puts on. `spoken` is how many letters the rest of its sentence has.
fn look_change<'s>(index: usize, show: &'s Show, rig: &Rig, spoken: usize) -> Sentence {
    let cue = &show.cues[index];
    let before = show.cues[..index].iter().rev().find_map(|cue| cue.look.as_deref());
    let Some(name) = cue.look.as_deref().filter(|name| before != Some(*name)) else {
        return Sentence::default();
    };
    let look = |name: &str| show.look_index(name).map(|look| &show.looks[look]);
    let known = before.and_then(look).map_or(&[][..], |look| &look.parts);
    let told = |look: &'s Look| look.parts.iter().zip(light_level::solve(look, &show.figures, rig));
    let changed: Vec<(&Part, Option<LuxAnswer>)> =
        look(name).into_iter().flat_map(told).filter(|(part, _)| !known.contains(part)).collect();
    let with = |count: usize| {
        let begins =
            if cue.fade > Span::ZERO { format!("over {}", span(cue.fade)) } else { "at once".to_owned() };
        let mut sentence = Sentence::default();
        sentence.say_of("look", name).say(" ").say_of("fade", &begins);
        for (place, (part, answer)) in changed.iter().take(count).enumerate() {
            sentence.say(if place == 0 { ": " } else { "; " });
            let mut told = Sentence::default();
            part::tell(part, answer.as_ref(), (show, rig), Detail::Glance, &mut told);
            // A cue tells it, the look has it.
            sentence.append(told.of_another());
        }
        if count > 0 && count < changed.len() {
            sentence.say("; and the rest");
        }
        sentence
    };
    let most = (1..=MOST_PARTS).rev().map(with).find(|told| told.letters() + spoken <= CUE_LETTERS);
    most.unwrap_or_else(|| with(1))
}

fn chase_changes(index: usize, cue: &Cue, show: &Show, sentence: &mut Sentence) {
    let Some(named) = &cue.chases else { return };
    let before = show.cues[..index].iter().rev().find_map(|cue| cue.chases.as_deref()).unwrap_or_default();
    let starts: Vec<&str> = named.iter().filter(|name| !before.contains(name)).map(String::as_str).collect();
    let stops: Vec<&str> = before.iter().filter(|name| !named.contains(name)).map(String::as_str).collect();
    for (names, one, several) in [(starts, "starts", "start"), (stops, "stops", "stop")] {
        if !names.is_empty() {
            let verb = if names.len() == 1 { one } else { several };
            sentence.semicolon().say_of("chases", &list(&names)).say(" ").say(verb);
        }
    }
}

/// The first colour of each step, each once: "amber to rose", "amber, rose and blue". `false` when they have none.
fn step_colours(chase: &Chase, show: &Show, sentence: &mut Sentence) -> bool {
    let mut asks = Vec::new();
    for step in &chase.steps {
        let look = show.look_index(&step.look).map(|look| &show.looks[look]);
        let first = look.and_then(|look| look.parts.iter().find_map(|part| part.colours.first()));
        if let Some(ask) = first.filter(|ask| !asks.contains(ask)) {
            asks.push(ask);
        }
    }
    let last = asks.len().min(MOST_COLOURS).saturating_sub(1);
    for (place, ask) in asks.iter().take(MOST_COLOURS).enumerate() {
        let before = match place {
            0 => "",
            1 if asks.len() == 2 => " to ",
            place if place == last && asks.len() <= MOST_COLOURS => " and ",
            _ => ", ",
        };
        sentence.say(before).say_colour(ask);
    }
    if asks.len() > MOST_COLOURS {
        sentence.say(" and more");
    }
    !asks.is_empty()
}

/// Whether every step fades for as long as it lasts, so that nothing ever stands still.
fn flows(chase: &Chase) -> bool {
    chase.steps.iter().all(|step| step.fade == step.time)
}

fn step_times(chase: &Chase) -> String {
    match common(chase.steps.iter().map(|step| step.time)) {
        Some(StepTime::Beats(beats)) if (beats - 1.0).abs() < 1e-9 => "a step every beat".to_owned(),
        Some(StepTime::Bars(bars)) if (bars - 1.0).abs() < 1e-9 => "a step every bar".to_owned(),
        Some(each) => format!("a step every {}", time(each)),
        None => match shortest_and_longest(&chase.steps) {
            Some((shortest, longest)) => format!("steps of {} to {}", number(shortest), time(longest)),
            None => format!("{} steps of differing length", chase.steps.len()),
        },
    }
}

/// In beats, where all are; the longest with its unit.
fn shortest_and_longest(steps: &[Step]) -> Option<(f64, StepTime)> {
    let beats = steps.iter().map(|step| match step.time {
        StepTime::Beats(beats) => Some(beats),
        StepTime::Time(_) | StepTime::Bars(_) => None,
    });
    let beats: Vec<f64> = beats.collect::<Option<_>>()?;
    let shortest = beats.iter().copied().reduce(f64::min)?;
    Some((shortest, StepTime::Beats(beats.iter().copied().reduce(f64::max)?)))
}

/// The value that all have.
fn common(mut times: impl Iterator<Item = StepTime>) -> Option<StepTime> {
    let first = times.next()?;
    times.all(|time| time == first).then_some(first)
}

fn is_nothing(time: StepTime) -> bool {
    match time {
        StepTime::Time(span) => span <= Span::ZERO,
        StepTime::Beats(count) | StepTime::Bars(count) => count <= 0.0,
    }
}

fn time(time: StepTime) -> String {
    match time {
        StepTime::Time(length) => span(length),
        StepTime::Beats(beats) if (beats - 1.0).abs() < 1e-9 => "1 beat".to_owned(),
        StepTime::Beats(beats) => format!("{} beats", number(beats)),
        StepTime::Bars(bars) if (bars - 1.0).abs() < 1e-9 => "1 bar".to_owned(),
        StepTime::Bars(bars) => format!("{} bars", number(bars)),
    }
}

/// Where a point is: "the cake", "the floor, 1.3 m right and 0.9 m behind the dance floor", "the back wall". Right and left
/// as seen from the audience; behind is away from it.
pub fn place(at: Point, room: &Room) -> String {
    place::tell(at, room)
}

/// Which lights: "washes", "spots 5, 6", "all lights".
pub fn who(who: &Who, rig: &Rig) -> String {
    part::who(who, rig)
}

/// The words of a colour: as written, but for figures the nearest word.
pub(crate) fn colour_word(ask: &Ask) -> String {
    colour::word(ask)
}

/// "0.25 s", "3 s", "2 min", "1 min 30 s".
pub fn span(span: Span) -> String {
    let secs = span.secs();
    if secs < 60.0 || (secs > 60.0 && secs < 90.0) {
        return format!("{} s", number(secs));
    }
    let whole = secs.round();
    let (minutes, rest) = ((whole / 60.0).floor(), whole % 60.0);
    if rest > 0.0 { format!("{minutes} min {rest} s") } else { format!("{minutes} min") }
}

/// No more than two decimals, and none that say nothing.
pub(crate) fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// "a", "a and b", "a, b and c".
fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
