// Generated from crates/app/src/wire.rs by its test; do not edit.
import type { Answer, BeginLights, BeginRoom, Change, FigureField, PartField, RoomMeasures, ScorePartField, Value } from './change.gen';

/**
 * From the machine to the page.
 */
export type ToPage = { "type": "scene" } & Scene | { "type": "moment" } & Moment | { "type": "colour" } & ColourAnswer | { "type": "pair" } & PairAsk | { "type": "admitted" } & Admitted | { "type": "door" } & DoorView | { "type": "refused", 
/**
 * Why.
 */
says: string, } | { "type": "said", 
/**
 * What was done, or why not; a sentence or a few.
 */
says: string, 
/**
 * Nothing was done.
 */
wrong: boolean, } | { "type": "history" } & HistoryView | { "type": "what_if" } & WhatIfView | { "type": "set_up" } & SetUpView | { "type": "sent_away", 
/**
 * One sentence.
 */
says: string, };

/**
 * The show, its room and its rig, as far as they stand still.
 */
export type Scene = { 
/**
 * Moments of the same number belong to it; one more each time that show or rig are replaced while they run.
 */
generation: number, 
/**
 * The show's name.
 */
show: string, 
/**
 * The room.
 */
room: RoomView, 
/**
 * Every light, by number.
 */
units: Array<UnitView>, 
/**
 * What colours each kind of light can make.
 */
reaches: Array<ReachView>, 
/**
 * Groups in the order of the show file.
 */
groups: Array<GroupView>, 
/**
 * Looks in the order of the show file.
 */
looks: Array<LookView>, 
/**
 * Chases in the order of the show file.
 */
chases: Array<ChaseView>, 
/**
 * The cue list in order.
 */
cues: Array<CueView>, 
/**
 * Scored tracks, in the order of the file.
 */
scores: Array<ScoreView>, 
/**
 * The plan's sums and findings.
 */
plan: PlanView, 
/**
 * The flash limit in force, flashes a second.
 */
flash_limit_hz: number, 
/**
 * Who agreed to a limit above four, in the venue's words.
 */
flash_reason: string | null, 
/**
 * What can be taken back and done again.
 */
edits: EditsView, 
/**
 * Named colours in the order of the show file.
 */
swatches: Array<SwatchView>, 
/**
 * Figures in the order of the show file.
 */
figures: Array<FigureView>, 
/**
 * The looks and chases that have a pad tonight, in order; none: all of them.
 */
tonight: Array<string> | null, 
/**
 * Looks from which the music picks: calm, groove, peak.
 */
moods: [Array<string>, Array<string>, Array<string>], 
/**
 * Kinds of light that can be added: the show's own first.
 */
profiles: Array<ProfileView>, 
/**
 * What the library describes otherwise.
 */
offers: Array<OfferView>, 
/**
 * Where more lights would answer.
 */
free: Array<FreeView>, };

/**
 * The room: floor from `x[0]` to `x[1]` and `y[0]` to `y[1]`, walls up to `height`.
 */
export type RoomView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Left and right wall.
 */
x: [number, number], 
/**
 * Audience end and far end (the far end has the larger y).
 */
y: [number, number], 
/**
 * Ceiling height.
 */
height: number, 
/**
 * Raised floors (stage).
 */
platforms: Array<AreaView>, 
/**
 * Where people stand or sit.
 */
audience: Array<AreaView>, 
/**
 * Tables and the like, for the picture alone.
 */
furniture: Array<FurnitureView>, 
/**
 * Points to aim at.
 */
marks: Array<MarkView>, 
/**
 * Bars, trusses, stands.
 */
places: Array<PlaceView>, };

/**
 * A rectangle on the floor, `height` above it.
 */
export type AreaView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Left and right.
 */
x: [number, number], 
/**
 * Near and far.
 */
y: [number, number], 
/**
 * Top above the hall floor; for audience areas, of the floor they stand on.
 */
height: number, };

/**
 * A thing that stands in the room.
 */
export type FurnitureView = { 
/**
 * Its name.
 */
name: string, 
/**
 * `table` (long), `round_table`, `cake`, `person`.
 */
kind: string, 
/**
 * Middle of its foot.
 */
at: [number, number, number], 
/**
 * Size along x, y and z before turning; for round things x is the diameter.
 */
size: [number, number, number], 
/**
 * Turn about the vertical, radians.
 */
turn: number, };

/**
 * A mark.
 */
export type MarkView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Where.
 */
at: [number, number, number], };

/**
 * A hanging place.
 */
export type PlaceView = { 
/**
 * Its name.
 */
name: string, 
/**
 * `bar`, `truss`, `stand`, `floor`.
 */
kind: string, 
/**
 * One end.
 */
from: [number, number, number], 
/**
 * The other end (the same as `from` for a stand without a crossbar).
 */
to: [number, number, number], 
/**
 * Load as a sentence: "41.2 of 80 kg", "limit not known".
 */
load: string, 
/**
 * From end to end, metres; 0 for a stand without a crossbar.
 */
length: number, 
/**
 * What the show says of it.
 */
fields: Array<FieldView>, };

/**
 * A light where it hangs.
 */
export type UnitView = { 
/**
 * Its number.
 */
number: number, 
/**
 * What kind of light, in words ("small wash head").
 */
kind: string, 
/**
 * What to draw, by the kind of light: `wash_head`, `par`, `profile_spot`, `fogger` and so on.
 */
symbol: string, 
/**
 * Mode's name.
 */
mode: string, 
/**
 * Base plate in the room.
 */
at: [number, number, number], 
/**
 * World from fixture, quaternion x, y, z, w.
 */
rotation: [number, number, number, number], 
/**
 * Width, depth, height of the body in the fixture frame.
 */
size: [number, number, number], 
/**
 * `true` when pan and tilt can follow a spot.
 */
moves: boolean, 
/**
 * How many independently lit heads it has.
 */
heads: number, 
/**
 * Hanging place.
 */
place: string, 
/**
 * Along it, metres from its middle; towards larger x (before the place is turned) is positive.
 */
along: number, 
/**
 * How it is turned about the vertical, degrees, as the plan has it.
 */
turn: number, 
/**
 * The modes it has.
 */
modes: Array<ModeView>, 
/**
 * `driven`, `linked, leads`, `linked, follows 3`, `on its own`.
 */
run: string, 
/**
 * The light that it follows, its own number when it leads; `null` when it is not linked.
 */
leader: number | null, 
/**
 * The built-in programme that it runs when it leads or is on its own.
 */
programme: string | null, 
/**
 * The built-in programmes that its kind has.
 */
programmes: Array<string>, 
/**
 * First slot, "1.101"; `null` when it has none.
 */
address: string | null, 
/**
 * How many channels.
 */
footprint: number, 
/**
 * What to select in its own menu, in words.
 */
menu: Array<string>, 
/**
 * Circuit's name.
 */
circuit: string | null, 
/**
 * Its data line, as the show file calls it ("A"); none: the one of its universe.
 */
line: string | null, 
/**
 * Names of the groups it belongs to.
 */
groups: Array<string>, 
/**
 * What sighting in has found out; none for a light that cannot follow a spot.
 */
sighting: SightingView | null, 
/**
 * Place in `Scene::reaches` of what colours it can make; none for a light that gives none.
 */
reach: number | null, };

/**
 * What sighting in has found out about one light.
 */
export type SightingView = { 
/**
 * The sights, in order.
 */
sights: Array<SightView>, 
/**
 * What is known, what is wrong and what to do, in sentences; most important first.
 */
says: Array<string>, 
/**
 * Expected miss at each mark, 95 %, centimetres, in the order of `RoomView::marks`; empty while nothing is solved,
 * `null` for a mark out of reach.
 */
expected_cm: Array<number | null>, 
/**
 * Radius of the spot at each mark, centimetres; `null` when the beam is not known.
 */
spot_cm: Array<number | null>, 
/**
 * The mark to sight next.
 */
next_mark: string | null, 
/**
 * Enough is known: the expected miss is below a third of the spot wherever it matters.
 */
enough: boolean, 
/**
 * The sign check: `not watched`, `as the plan says`, `backwards`.
 */
signs: string, 
/**
 * Full travel of pan, seconds, as it counts now.
 */
pan_time_s: number | null, 
/**
 * Full travel of tilt.
 */
tilt_time_s: number | null, 
/**
 * Where these times come from: `stopwatch`, `profile`, `assumed`; pan, tilt.
 */
times_from: [string, string], };

/**
 * One sight.
 */
export type SightView = { 
/**
 * The mark's name; none for a bare point.
 */
mark: string | null, 
/**
 * Where.
 */
at: [number, number, number], 
/**
 * How far the solved beam passes from it, centimetres; `null` while nothing is solved.
 */
miss_cm: number | null, 
/**
 * It does not fit the others and is left out.
 */
wrong: boolean, };

/**
 * What colours a kind of light can make, and how bright it is there.
 */
export type ReachView = { 
/**
 * Corners of what it can mix, from the left and from the top of a field, 0 to 1; empty when it does not mix an area.
 */
outline: Array<[number, number]>, 
/**
 * Width of the field over its height.
 */
aspect: number, 
/**
 * Colours inside.
 */
dots: Array<ReachDot>, 
/**
 * Whites from warm to cold.
 */
whites: Array<ReachWhite>, 
/**
 * It mixes.
 */
mixes: boolean, 
/**
 * Its colours rest on typical emitters.
 */
guessed: boolean, };

/**
 * A colour that a light can make.
 */
export type ReachDot = { 
/**
 * From the left and from the top of the field, 0 to 1.
 */
at: [number, number], 
/**
 * As a screen shows it best.
 */
hex: string, 
/**
 * Its most light there as a part of its full light, 0 to 1.
 */
most: number, 
/**
 * How an intent asks for it.
 */
write: string, };

/**
 * A white.
 */
export type ReachWhite = { 
/**
 * Colour temperature, K.
 */
kelvin: number, 
/**
 * As a screen shows it best.
 */
hex: string, 
/**
 * Its most light there as a part of its full light; `null` when the light cannot make it.
 */
most: number | null, };

/**
 * What a light makes of a colour that was asked for.
 */
export type ColourAnswer = { 
/**
 * The light's number.
 */
unit: number, 
/**
 * What was asked.
 */
ask: string, 
/**
 * What it shows, as a screen shows that best; `null` when the words were not understood.
 */
hex: string | null, 
/**
 * It is what was asked.
 */
reached: boolean, 
/**
 * One or two sentences.
 */
says: string, };

/**
 * A group.
 */
export type GroupView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Light numbers in order.
 */
units: Array<number>, };

/**
 * A look, told.
 */
export type LookView = { 
/**
 * Its name.
 */
name: string, 
/**
 * The colours in it as `#rrggbb`, each once.
 */
colours: Array<string>, 
/**
 * The sentences: who, where, what colour, how bright.
 */
words: Array<Array<Word>>, 
/**
 * Where the spots run that run a figure.
 */
paths: Array<PathView>, 
/**
 * How long it fades when put on by hand, as the file has it.
 */
fade: string | null, 
/**
 * Where it is used: "in 1 chase and 2 cues"; empty where nowhere.
 */
used: string, 
/**
 * What the editors of its sentences need, one for each.
 */
parts: Array<PartView>, };

/**
 * The way of one light's spot in one look: closed, metres in the room.
 */
export type PathView = { 
/**
 * The light's number.
 */
unit: number, 
/**
 * Points along it.
 */
points: Array<[number, number, number]>, };

/**
 * A sentence of a look.
 */
export type PartView = { 
/**
 * Its values as the file has them, by their names there; what it leaves out is not there.
 */
values: { [key in PartField]?: Value }, 
/**
 * The lights that it is about, in its order.
 */
lights: Array<number>, 
/**
 * Each of its colours, `#rrggbb`.
 */
hexes: Array<string>, 
/**
 * The gobos that any of its lights has.
 */
gobos: Array<string>, };

/**
 * A step of a chase; none where the file says nothing of its own.
 */
export type StepView = { 
/**
 * The look's name.
 */
look: string, 
/**
 * How long it stands.
 */
time: string | null, 
/**
 * How long it comes in.
 */
fade: string | null, };

/**
 * What can be taken back and done again, in words; none where there is nothing.
 */
export type EditsView = { 
/**
 * What undo takes back.
 */
undo: string | null, 
/**
 * What redo does again.
 */
redo: string | null, 
/**
 * How often the show was given a name in its history since the machine began.
 */
names: number, };

/**
 * A named colour.
 */
export type SwatchView = { 
/**
 * Its name.
 */
name: string, 
/**
 * As the file has it.
 */
colour: string, 
/**
 * As a screen shows it, `#rrggbb`.
 */
hex: string, };

/**
 * A figure.
 */
export type FigureView = { 
/**
 * Its name.
 */
name: string, 
/**
 * What it is: "a circle 2 m across, 0.8 m/s".
 */
says: string, 
/**
 * Its values as the file has them, by their names there.
 */
values: { [key in FigureField]?: Value }, 
/**
 * Where it runs: "in 2 looks"; empty where nowhere.
 */
used: string, };

/**
 * A kind of light that can be added.
 */
export type ProfileView = { 
/**
 * Its name.
 */
name: string, 
/**
 * What to draw, as `UnitView::symbol`.
 */
symbol: string, 
/**
 * What sort of light, in words ("wash head").
 */
sort: string, 
/**
 * The show's own, or used in it; not only in the library.
 */
own: boolean, 
/**
 * Shown before anybody searches.
 */
usual: boolean, 
/**
 * Questions about the chart that it was read from which nobody has answered; `null`: the show keeps no chart of it.
 */
questions: number | null, 
/**
 * Its modes, as the maker's chart orders them.
 */
modes: Array<ModeView>, };

/**
 * Another description of a kind of light than the show has; nothing changes until it is taken.
 */
export type OfferView = { 
/**
 * Name of the kind of light.
 */
name: string, 
/**
 * It lies in one's own folder; else it came with the program.
 */
own: boolean, 
/**
 * The identity of what is offered, for `profile_take`.
 */
identity: string, 
/**
 * Lights that it concerns.
 */
lights: Array<number>, 
/**
 * What would be another, one sentence each.
 */
differences: Array<string>, };

/**
 * A mode of a kind of light.
 */
export type ModeView = { 
/**
 * Its name.
 */
name: string, 
/**
 * How many slots it takes.
 */
channels: number, };

/**
 * Where more lights of so many channels would answer.
 */
export type FreeView = { 
/**
 * How many channels each has.
 */
channels: number, 
/**
 * In this universe alone; `null`: wherever there is room first.
 */
universe: number | null, 
/**
 * The addresses that lights added one after another get, in order; there may be no room for more.
 */
addresses: Array<string>, };

/**
 * A piece of a sentence; a colour word carries its colour.
 */
export type Word = { 
/**
 * The text, spaces and stops included.
 */
text: string, 
/**
 * `#rrggbb` when this is a colour word.
 */
colour: string | null, 
/**
 * The field of the show's file that it tells, by its name there.
 */
of: string | null, };

/**
 * A chase, told.
 */
export type ChaseView = { 
/**
 * Its name.
 */
name: string, 
/**
 * For each step the look's name.
 */
steps: Array<string>, 
/**
 * One colour for each step, `#rrggbb`.
 */
colours: Array<string>, 
/**
 * One sentence.
 */
words: Array<Word>, 
/**
 * In what order its steps come.
 */
order: string, 
/**
 * How much of the time of two steps the first has, 0.5 even, to 0.75.
 */
swing: number, 
/**
 * It stands while no music is heard.
 */
calm: boolean, 
/**
 * What it answers to: `kick`, `snare`, `hat` or `drop`.
 */
at_each: string | null, 
/**
 * Rounds after which it ends.
 */
rounds: number | null, 
/**
 * How long it comes in and goes out, as the file has it.
 */
fade: string | null, 
/**
 * For steps that say nothing of their own.
 */
step_time: string | null, 
/**
 * Likewise.
 */
step_fade: string | null, 
/**
 * Where it is used: "in 2 cues"; empty where nowhere.
 */
used: string, 
/**
 * Its steps as the file has them.
 */
each: Array<StepView>, };

/**
 * A cue, told.
 */
export type CueView = { 
/**
 * Its number as printed ("4", "4.5").
 */
number: string, 
/**
 * Its name.
 */
name: string, 
/**
 * What will change, one sentence.
 */
words: Array<Word>, 
/**
 * A note for the person ("after the toast").
 */
note: string, 
/**
 * Fade-in, seconds.
 */
fade_s: number, 
/**
 * Seconds after which the next cue follows by itself.
 */
follow_s: number | null, 
/**
 * The look that it puts on.
 */
look: string | null, 
/**
 * The chases that run from it on; none: those that ran before.
 */
chases: Array<string> | null, 
/**
 * Its fade, as the file has it.
 */
fade: string | null, 
/**
 * When the next one follows, as the file has it.
 */
follow: string | null, 
/**
 * Beats a minute from it on.
 */
tempo: number | null, };

/**
 * The plan's sums and findings.
 */
export type PlanView = { 
/**
 * One sentence: "Eleven lights, one line, two circuits."
 */
headline: string, 
/**
 * Findings, worst first.
 */
findings: Array<FindingView>, 
/**
 * Circuits with their sums.
 */
circuits: Array<CircuitView>, 
/**
 * Data lines in true order: light numbers, first to last (the last carries the terminator).
 */
lines: Array<LineView>, 
/**
 * What hangs on each place that carries a light, in the room's order.
 */
places: Array<PlaceSumsView>, 
/**
 * What belongs to no circuit, line or place: supply, chains of power, fans, batteries.
 */
others: Array<SumView>, 
/**
 * Another way to divide the lights among the circuits, where it is better than today's.
 */
divide: DivideView | null, 
/**
 * What to pack, case by case.
 */
cases: Array<CaseView>, 
/**
 * What the show says of the mains.
 */
mains: Array<FieldView>, };

/**
 * Something that the show says, or could say, of a thing: a word of its sentence, and what is typed to say it otherwise.
 */
export type FieldView = { 
/**
 * Its key in a change: "breaker".
 */
field: string, 
/**
 * As it stands in the sentence: "a breaker of 16 A", "other load not known".
 */
words: string, 
/**
 * As it would be typed: "16 A"; empty when the show says nothing.
 */
value: string, 
/**
 * What to type, with an example.
 */
ask: string, 
/**
 * What to choose from; empty where it is typed.
 */
choices: Array<FieldChoice>, };

/**
 * One of a few things to choose from.
 */
export type FieldChoice = { 
/**
 * In words.
 */
words: string, 
/**
 * The value; empty for none.
 */
value: string, };

/**
 * One figure of the plan, and how it was reached.
 */
export type SumView = { 
/**
 * What it is: "current", "leakage all the time", "lost on the way to light 4".
 */
what: string, 
/**
 * The figure with its unit, and the limit where there is one: "2.1 mA of 9 mA".
 */
figure: string, 
/**
 * What to mind with it; empty when nothing.
 */
mind: string, 
/**
 * The way to it; `null` for what was read and not reckoned.
 */
how: HowView | null, };

/**
 * How a figure was reached.
 */
export type HowView = { 
/**
 * What went in.
 */
inputs: Array<InputView>, 
/**
 * The formula, in plain letters.
 */
formula: string, 
/**
 * Where formula or table stand.
 */
source: string, };

/**
 * One number that went in.
 */
export type InputView = { 
/**
 * What it is: "watts of light 4".
 */
name: string, 
/**
 * With its unit: "105 W".
 */
value: string, 
/**
 * Where it came from: "stated", "guessed", "show file", "assumed".
 */
origin: string, };

/**
 * What a place carries.
 */
export type PlaceSumsView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Its figures.
 */
sums: Array<SumView>, };

/**
 * Another way to divide the lights among the circuits.
 */
export type DivideView = { 
/**
 * What it is for, or why nothing helps.
 */
says: string, 
/**
 * The lights that move; empty when nothing helps.
 */
moves: Array<MoveView>, 
/**
 * How it was found.
 */
how: HowView, };

/**
 * A light that goes to another circuit.
 */
export type MoveView = { 
/**
 * Its number.
 */
unit: number, 
/**
 * The circuit's name.
 */
to: string, };

/**
 * A case to pack.
 */
export type CaseView = { 
/**
 * Its name.
 */
name: string, 
/**
 * "34 kg: lift it with two people".
 */
weight: string, 
/**
 * "4 small wash head, 11.6 kg".
 */
items: Array<string>, };

/**
 * A shorter order of a data line.
 */
export type ShorterView = { 
/**
 * The lights, from the controller on.
 */
units: Array<number>, 
/**
 * "4.2 m shorter, 26 m in all; no order is shorter".
 */
says: string, };

/**
 * What the plan would say after a change.
 */
export type WhatIfView = { 
/**
 * What the change is, as it would be said once it is made; or why it cannot be.
 */
says: string, 
/**
 * It cannot be made.
 */
refused: boolean, 
/**
 * What differs, one line each; none: nothing that the plan knows of.
 */
lines: Array<string>, 
/**
 * Findings that would come, worst first.
 */
come: Array<FindingView>, 
/**
 * Findings that would go.
 */
go: Array<FindingView>, };

/**
 * One finding, as the page says it.
 */
export type FindingView = { 
/**
 * `must change`, `take care`, `for your information`.
 */
severity: string, 
/**
 * What, one line.
 */
what: string, 
/**
 * Where: "circuit kitchen", "light 4".
 */
place: string, 
/**
 * The lights it speaks of.
 */
units: Array<number>, 
/**
 * The figure: "11.6 A of 10 A"; empty when there is none.
 */
figure: string, 
/**
 * The rule it comes from.
 */
rule: string, 
/**
 * The rule's source.
 */
source: string, 
/**
 * What to do.
 */
remedy: string, };

/**
 * A circuit's sum.
 */
export type CircuitView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Planned current, amps; `null` when a light's power is not known.
 */
amps: number | null, 
/**
 * Planned limit, amps.
 */
limit_amps: number, 
/**
 * The breaker, amps.
 */
breaker_amps: number, 
/**
 * `true` when an unknown figure was assumed.
 */
assumed: boolean, 
/**
 * Where the socket is, if the show says.
 */
at: [number, number, number] | null, 
/**
 * The lights on it.
 */
units: Array<number>, 
/**
 * Its figures.
 */
sums: Array<SumView>, 
/**
 * What the show says of it.
 */
fields: Array<FieldView>, };

/**
 * A data line.
 */
export type LineView = { 
/**
 * Its name.
 */
name: string, 
/**
 * `driven` or `linked`.
 */
kind: string, 
/**
 * Where the controller stands, if the show says.
 */
from: [number, number, number] | null, 
/**
 * Light numbers in order.
 */
units: Array<number>, 
/**
 * How many cables.
 */
cables: number, 
/**
 * Its figures.
 */
sums: Array<SumView>, 
/**
 * "to light 7: 5 m" for each cable whose way is known.
 */
legs: Array<string>, 
/**
 * An order that needs less cable.
 */
shorter: ShorterView | null, };

/**
 * What the stand-in shows and the machine does now.
 */
export type Moment = { 
/**
 * Which scene it belongs to.
 */
generation: number, 
/**
 * Seconds since the machine started.
 */
time_s: number, 
/**
 * Every light, in the order of `Scene::units`.
 */
lights: Array<LightMoment>, 
/**
 * What is on.
 */
now: Now, 
/**
 * What the flash limit does.
 */
flashes: FlashesNow, 
/**
 * How the machine itself is doing.
 */
link: Link, 
/**
 * The music, and how the show follows it.
 */
music: MusicNow, 
/**
 * The score that is played, while one is.
 */
score: ScoreNow | null, 
/**
 * The light that is being sighted in, while one is.
 */
sighting: SightingNow | null, 
/**
 * What is to be known of the show's file, while something is.
 */
file: FileSays | null, };

/**
 * What is to be known of the show's file.
 */
export type FileSays = { 
/**
 * One or two sentences, with file and line where something is wrong.
 */
says: string, 
/**
 * It cannot be read as it is; what runs goes on.
 */
wrong: boolean, };

/**
 * What the flash limit holds back.
 */
export type FlashesNow = { 
/**
 * Flashes within the last second, strobes with their rates; the most there may be is in the scene.
 */
rate: number, 
/**
 * It acts, or did within the last two seconds.
 */
acts: boolean, 
/**
 * Flashes held back since it began to act.
 */
held: number, 
/**
 * Lights that now flash more slowly than wanted, or not at all.
 */
slowed: number, };

/**
 * What the show has been, the newest first.
 */
export type HistoryView = { 
/**
 * The last edits, and every one with a bookmark.
 */
entries: Array<EntryView>, 
/**
 * How many older ones are left out.
 */
older: number, 
/**
 * Why there is none; a sentence.
 */
none: string | null, };

/**
 * An edit in the history.
 */
export type EntryView = { 
/**
 * Its number.
 */
id: number, 
/**
 * When, as the clock on the machine's wall had it: "2026-09-19 18:04".
 */
when: string, 
/**
 * Who did it.
 */
who: string, 
/**
 * What was done, one sentence.
 */
says: string, 
/**
 * The bookmarks on it.
 */
bookmarks: Array<string>, 
/**
 * Where it stands.
 */
standing: EntryStanding, 
/**
 * With a bookmark: what is otherwise in the show now, a line each.
 */
since: Array<string>, 
/**
 * How many lines of that are left out.
 */
since_more: number, };

/**
 * Where an edit stands, seen from the show as it is now.
 */
export type EntryStanding = "now" | "before" | "aside";

/**
 * A scored track.
 */
export type ScoreView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Its sound file, as the show's file has it.
 */
file: string, 
/**
 * Its length, seconds.
 */
length_s: number, 
/**
 * When each bar begins, and when the last one ends, seconds.
 */
bars: Array<number>, 
/**
 * Beats of each bar; 0 where there is no beat.
 */
beats: Array<number>, 
/**
 * Lines of the form.
 */
lines: Array<ScoreLineView>, 
/**
 * Its parts, in the order in which they come.
 */
parts: Array<ScorePartView>, };

/**
 * A line of the form.
 */
export type ScoreLineView = { 
/**
 * When, seconds.
 */
at_s: number, 
/**
 * The bar that begins there; 0: the beginning.
 */
bar: number, 
/**
 * `section`, `phrase`, `breakdown`, `drop` or `lift`.
 */
kind: string, 
/**
 * What it is called; may be empty.
 */
name: string, 
/**
 * How much is going on, 0 to 1.
 */
energy: number | null, };

/**
 * A part of a score.
 */
export type ScorePartView = { 
/**
 * Its number in the file, from 1: changes call it so.
 */
part: number, 
/**
 * When it begins, seconds.
 */
at_s: number, 
/**
 * Where, as one says it: "bar 17", "bar 17, beat 3", "0:12.5".
 */
place: string, 
/**
 * Since when it is dark before it, seconds; the same as `at_s` where it is not.
 */
dark_s: number, 
/**
 * The look that is on from here, its own or the last one named.
 */
look: string | null, 
/**
 * The chases that run from here, likewise.
 */
chases: Array<string>, 
/**
 * The first colours of the look, `#rrggbb`.
 */
colours: Array<string>, 
/**
 * Why it is so, for people.
 */
why: string, 
/**
 * Its values as the file has them, by their names there.
 */
values: { [key in ScorePartField]?: Value }, };

/**
 * A score that is played now.
 */
export type ScoreNow = { 
/**
 * Its name.
 */
score: string, 
/**
 * Where it is, seconds.
 */
at_s: number, 
/**
 * Which page plays the sound, as it called itself; 0: the machine plays it, without sound.
 */
player: number, 
/**
 * All is dark before a part.
 */
dark: boolean, };

/**
 * What a page asks of a score.
 */
export type ScoreAsk = { "do": "play", 
/**
 * Its name.
 */
score: string, 
/**
 * From where, seconds.
 */
at_s: number, } | { "do": "at", 
/**
 * Its name.
 */
score: string, 
/**
 * Where, seconds.
 */
at_s: number, 
/**
 * When that was by the page's own clock, milliseconds.
 */
clock_ms: number, 
/**
 * What the page calls itself: any number above 0 that no other page has.
 */
player: number, } | { "do": "stop" };

/**
 * The music now, and how the show follows it.
 */
export type MusicNow = { 
/**
 * What is listened to; `null` when nothing is.
 */
source: MusicSource | null, 
/**
 * How it stands, one or two sentences.
 */
says: string, 
/**
 * What comes next in what runs with the music: one sentence, or empty.
 */
next: string, 
/**
 * It may set the tempo; otherwise the tempo is in the hand.
 */
follow: boolean, 
/**
 * It sets the tempo now.
 */
sets: boolean, 
/**
 * There is music with a beat.
 */
heard: boolean, 
/**
 * Nothing comes in any more.
 */
lost: boolean, 
/**
 * What is to be calm without music stands.
 */
calm: boolean, 
/**
 * Beats since a bar began, and beats a bar, of the show as it leaves.
 */
in_bar: number, 
/**
 * Beats a bar.
 */
bar_beats: number, 
/**
 * How sure the beat is, 0 to 1.
 */
sure: number, 
/**
 * How sure the place in the bar is, 0 to 1.
 */
bar_sure: number, 
/**
 * Tempo of the music itself, beats a minute; `null` while there is none.
 */
bpm: number | null, 
/**
 * So many beats of the show are one of the music.
 */
times: number, 
/**
 * By how much a hand has moved steps, milliseconds; earlier is positive.
 */
earlier_ms: number, 
/**
 * Slowest and fastest tempo that it may set, beats a minute.
 */
range: [number, number], 
/**
 * It picks looks.
 */
picks: boolean, 
/**
 * The mood by which it picked last: `calm`, `groove` or `peak`.
 */
mood: string | null, 
/**
 * What goes on in it: `full`, `breakdown` or `build`; `null` where nobody knows.
 */
phase: string | null, 
/**
 * How much goes on, against what it had so far, 0 to 1; `null` where nobody knows.
 */
energy: number | null, 
/**
 * Bars until a phrase begins, rounded up; `null` while it is not known where phrases begin.
 */
line_bars: number | null, 
/**
 * Level, dB below a full-scale sine.
 */
level_db: number | null, 
/**
 * The loudest of late, dB below full scale.
 */
peak_db: number | null, 
/**
 * Low, middle and high sound, each 0 to 1 of the most of the last seconds.
 */
bands: [number, number, number], 
/**
 * The input is set too loud.
 */
clips: boolean, 
/**
 * How late the sound arrives here, milliseconds, as far as that can be known.
 */
delay_ms: number | null, 
/**
 * Holes in the sound so far.
 */
gaps: number, };

/**
 * What is listened to.
 */
export type MusicSource = { 
/**
 * Counts the sources that there were: a page knows its own by it.
 */
number: number, 
/**
 * What a person calls it.
 */
name: string, 
/**
 * `sound`, `midi` or `score`.
 */
brings: string, };

/**
 * What a hand asks of the music.
 */
export type MusicAsk = { "do": "follow", 
/**
 * Follow.
 */
on: boolean, } | { "do": "times", 
/**
 * How many.
 */
times: number, } | { "do": "one" } | { "do": "earlier", 
/**
 * Milliseconds.
 */
ms: number, } | { "do": "range", 
/**
 * Slowest.
 */
slowest: number, 
/**
 * Fastest.
 */
fastest: number, } | { "do": "pick", 
/**
 * Pick.
 */
on: boolean, } | { "do": "off" } | { "do": "midi_clock", 
/**
 * What the sender is called.
 */
name: string, } | { "do": "midi_ticks", 
/**
 * Of each its status byte (F8, FA, FB, FC), and when it came by the page's own clock, milliseconds.
 */
ticks: Array<[number, number]>, };

/**
 * The first words of a page that sends sound, on a socket of its own.
 */
export type EarsHello = { 
/**
 * What a person calls the input.
 */
name: string, 
/**
 * Samples a second.
 */
rate: number, 
/**
 * How long after it sounded the browser has the sound, milliseconds, as far as it knows.
 */
delay_ms: number, };

/**
 * What it is told there.
 */
export type ToEars = { "type": "listening", 
/**
 * [`MusicSource::number`].
 */
number: number, } | { "type": "ended", 
/**
 * Why, one sentence.
 */
says: string, };

/**
 * The light that is being sighted in now.
 */
export type SightingNow = { 
/**
 * Its number.
 */
unit: number, 
/**
 * The mark that it is on the way to.
 */
mark: string | null, 
/**
 * 16-bit value sent for pan.
 */
pan: number, 
/**
 * 16-bit value sent for tilt.
 */
tilt: number, 
/**
 * An axis has just been moved a little for the sign check: `pan` or `tilt`.
 */
watching: string | null, 
/**
 * The stopwatch runs over this axis: `pan` or `tilt`.
 */
timing: string | null, 
/**
 * Seconds since the stopwatch was started.
 */
timing_s: number, 
/**
 * The other lights are dark meanwhile.
 */
alone: boolean, 
/**
 * What just happened, one sentence; empty when nothing did.
 */
says: string, };

/**
 * The set-up run, as it stands; sent first and again whenever something of it changes.
 */
export type SetUpView = { 
/**
 * The check-off: each data line, each linked chain, lights on their own.
 */
parts: Array<SetUpPart>, 
/**
 * Lights that are all ticked.
 */
done: number, 
/**
 * Lights in all.
 */
of: number, 
/**
 * Lights that the line check can ask about.
 */
can_be_asked: number, 
/**
 * The line check, while it is open.
 */
check: CheckView | null, 
/**
 * What is to be known of the ticks: where they are kept, or why they are not; mostly empty.
 */
says: string, };

/**
 * One data line, or chain.
 */
export type SetUpPart = { 
/**
 * "line A".
 */
title: string, 
/**
 * What is to be known first, sentences.
 */
says: Array<string>, 
/**
 * It cannot work as planned.
 */
refused: boolean, 
/**
 * Its lights in the order in which they are set up.
 */
cards: Array<SetUpCard>, };

/**
 * One light.
 */
export type SetUpCard = { 
/**
 * Its number.
 */
unit: number, 
/**
 * "small wash head on the front bar".
 */
title: string, 
/**
 * What is done to it.
 */
steps: Array<SetUpStep>, 
/**
 * All of it is ticked.
 */
done: boolean, };

/**
 * One thing to do.
 */
export type SetUpStep = { 
/**
 * What it is known by.
 */
key: string, 
/**
 * `mode`, `address`, `link`, `programme`, `hang`, `bond`, `cable`, `power`.
 */
kind: string, 
/**
 * What to do.
 */
says: string, 
/**
 * What to mind with it.
 */
caution: string | null, 
/**
 * Ticked.
 */
done: boolean, };

/**
 * The line check.
 */
export type CheckView = { 
/**
 * Lights are in its hand; else they are the show's again, and what was found stays to be read.
 */
open: boolean, 
/**
 * How many questions were answered; the open one is the next.
 */
answered: number, 
/**
 * The open question; none once nothing more can be told.
 */
question: QuestionView | null, 
/**
 * How each light stands, by number.
 */
standings: Array<StandingView>, 
/**
 * What is likeliest wrong, most likely first.
 */
causes: Array<CauseView>, 
/**
 * What is to be known now: that blackout is on, that the rig was changed. Mostly empty.
 */
says: string, };

/**
 * What is asked.
 */
export type QuestionView = { 
/**
 * `lit`, `swing`, `power`.
 */
kind: string, 
/**
 * In words.
 */
words: string, 
/**
 * The lights that it is about.
 */
about: Array<number>, 
/**
 * Each light that is to be looked at, by number: those that it is about, and the others.
 */
lights: Array<AskedLight>, };

/**
 * One light in a question.
 */
export type AskedLight = { 
/**
 * Its number.
 */
unit: number, 
/**
 * Where it is: "front bar".
 */
place: string, 
/**
 * What it should do.
 */
expected: SeenName, 
/**
 * What it may do, what it should first.
 */
choices: Array<SeenName>, };

/**
 * How one light stands.
 */
export type StandingView = { 
/**
 * Its number.
 */
unit: number, 
/**
 * `not asked`, `open`, `right`, `wrong`, `unreached`.
 */
stands: string, };

/**
 * What may be wrong.
 */
export type CauseView = { 
/**
 * The lights that it is about.
 */
units: Array<number>, 
/**
 * What seems to be the case.
 */
says: string, 
/**
 * What to do.
 */
remedy: string, 
/**
 * It is taken to be so.
 */
sure: boolean, 
/**
 * What else it may be.
 */
or: Array<string>, };

/**
 * What one light is seen to do.
 */
export type SeenName = "dark" | "white" | "odd" | "flickers" | "still" | "left" | "right" | "away" | "towards" | "powered" | "unpowered";

/**
 * A light that does otherwise than it should.
 */
export type Otherwise = { 
/**
 * Its number.
 */
unit: number, 
/**
 * What it does; none: cannot say.
 */
seen: SeenName | null, };

/**
 * One light now, as decoded from the very bytes that were sent.
 */
export type LightMoment = { 
/**
 * Its number.
 */
unit: number, 
/**
 * Pan of the modelled motor, radians about home in the fixture frame.
 */
pan: number, 
/**
 * Tilt of the modelled motor.
 */
tilt: number, 
/**
 * `true` while the motors are still on their way.
 */
moving: boolean, 
/**
 * Who drives it: "base", the look's, chase's or cue's name, "your hand".
 */
driver: string, 
/**
 * `true` while it is held by hand.
 */
held: boolean, 
/**
 * Its beams.
 */
heads: Array<HeadMoment>, };

/**
 * One beam now.
 */
export type HeadMoment = { 
/**
 * Lens in the room.
 */
from: [number, number, number], 
/**
 * Unit vector of the beam in the room.
 */
along: [number, number, number], 
/**
 * Light as a fraction of what the head can give at most, 0 to 1.
 */
level: number, 
/**
 * Linear-light colour, largest part 1.
 */
rgb: [number, number, number], 
/**
 * Candela on the axis now; 0 when dark; `null` when the profile does not know its brightness.
 */
candela: number | null, 
/**
 * Full angle at half of the peak, radians.
 */
beam: number, 
/**
 * Full angle at a tenth of the peak, radians.
 */
field: number, 
/**
 * Flashes a second; 0 for steady light.
 */
strobe_hz: number, 
/**
 * Gobo's name in its slot, if not open.
 */
gobo: string | null, 
/**
 * `true` with the prism in.
 */
prism: boolean, 
/**
 * Haze output 0 to 1 (hazers only).
 */
haze: number, 
/**
 * Where the middle of the beam lands.
 */
spot: Spot | null, };

/**
 * Where a beam lands.
 */
export type Spot = { 
/**
 * Where the beam's axis meets the surface.
 */
at: [number, number, number], 
/**
 * `floor`, `left wall`, `right wall`, `far wall`, `near wall`, `ceiling`, or a platform's name.
 */
surface: string, 
/**
 * Unit normal of the surface, into the room.
 */
normal: [number, number, number], 
/**
 * Middle of the half-peak ellipse on the surface.
 */
centre: [number, number, number], 
/**
 * From the middle to the far end of the long axis, a vector along the surface.
 */
major: [number, number, number], 
/**
 * From the middle to the end of the short axis.
 */
minor: [number, number, number], 
/**
 * Distance from the lens.
 */
throw_m: number, 
/**
 * Illuminance on the surface at `at`; `null` when brightness is not known.
 */
lux: number | null, };

/**
 * What is on.
 */
export type Now = { 
/**
 * The base look.
 */
look: string | null, 
/**
 * Running chases.
 */
chases: Array<RunningChase>, 
/**
 * The cue that is on, by place in `Scene::cues`.
 */
cue: number | null, 
/**
 * The cue that Go takes.
 */
next_cue: number | null, 
/**
 * Progress of the running fade, 0 to 1; 1 when none runs.
 */
fade: number, 
/**
 * Master, 0 to 1.
 */
master: number, 
/**
 * The same over each group, in the order of `Scene::groups`.
 */
groups: Array<number>, 
/**
 * Blackout is on.
 */
blackout: boolean, 
/**
 * Stillness is on.
 */
stillness: boolean, 
/**
 * Strobes are stopped.
 */
strobe_stopped: boolean, 
/**
 * Beats a minute.
 */
tempo_bpm: number, 
/**
 * Beats since some bar began; the fraction is the place inside the beat.
 */
beat: number, };

/**
 * A chase that runs.
 */
export type RunningChase = { 
/**
 * Its name.
 */
name: string, 
/**
 * The step that is on, from 0.
 */
step: number, 
/**
 * How many times as fast as its steps say: 0 stands, 0.5 is half time, 2 double time.
 */
speed: number, 
/**
 * It stands until there is music.
 */
calm: boolean, 
/**
 * It waits for a stroke of the music.
 */
waits: boolean, };

/**
 * How the machine itself is doing.
 */
export type Link = { 
/**
 * Outputs; empty when only the stand-in is driven.
 */
outputs: Array<OutputView>, 
/**
 * Frames a second that the machine aims at.
 */
rate_hz: number, 
/**
 * Ticks done.
 */
ticks: number, 
/**
 * Ticks that came too late and were skipped.
 */
late: number, };

/**
 * One output.
 */
export type OutputView = { 
/**
 * "sACN multicast", "Art-Net 10.0.0.7", "USB /dev/ttyUSB0".
 */
name: string, 
/**
 * `true` while it works.
 */
ok: boolean, 
/**
 * What it does or what is wrong, in words.
 */
words: string, 
/**
 * Packets or frames sent.
 */
sent: number, 
/**
 * Sends that failed.
 */
failed: number, };

/**
 * To a browser that is not admitted: it wants a code. Said once a second.
 */
export type PairAsk = { 
/**
 * What was wrong with the last knock, one sentence; empty when nothing was.
 */
says: string, 
/**
 * A code is not listened to for so many seconds more.
 */
wait_s: number, 
/**
 * What the browser kept of an earlier pairing no longer holds.
 */
forget: boolean, };

/**
 * A browser is admitted.
 */
export type Admitted = { 
/**
 * What it may do.
 */
role: Role, 
/**
 * It is the machine's own browser: it sees codes and sends others away.
 */
own: boolean, 
/**
 * To be kept by the browser and shown at the next knock; only after a code.
 */
token: string | null, };

/**
 * Who may come in, for the machine's own page.
 */
export type DoorView = { 
/**
 * The page is served to the network.
 */
lan: boolean, 
/**
 * Where others find it; none while the machine has no address on a network.
 */
address: string | null, 
/**
 * Codes that hold now.
 */
codes: Array<CodeView>, 
/**
 * Paired browsers, in the order in which they came.
 */
paired: Array<PairedView>, 
/**
 * What should be known: wrong codes, a list that could not be written. In sentences.
 */
says: Array<string>, };

/**
 * A pairing code.
 */
export type CodeView = { 
/**
 * What it gives.
 */
role: Role, 
/**
 * Six characters.
 */
code: string, 
/**
 * Whole minutes that it still holds if nobody uses it.
 */
minutes: number, 
/**
 * The QR code of the address with the code in it: an SVG path of unit squares; none without an address.
 */
qr: QrView | null, };

/**
 * A QR code as a drawing.
 */
export type QrView = { 
/**
 * Side, modules, the quiet zone included.
 */
side: number, 
/**
 * The dark modules, as the `d` of a path.
 */
path: string, };

/**
 * A paired browser.
 */
export type PairedView = { 
/**
 * To name it by when it is sent away.
 */
id: number, 
/**
 * What its person called it.
 */
name: string, 
/**
 * What it may do.
 */
role: Role, 
/**
 * The address that it was paired from.
 */
from: string, 
/**
 * It looks on now.
 */
here: boolean, };

/**
 * What a browser may do; each role may also do what those before it may.
 */
export type Role = "look" | "run" | "make";

/**
 * From a browser that is not admitted yet: the only words that it may say.
 */
export type Knock = { "type": "pair", 
/**
 * As typed: capitals or not, with spaces or hyphens or without.
 */
code: string, 
/**
 * What the person calls this browser; may be empty.
 */
name: string, } | { "type": "token", 
/**
 * 64 hexadecimal digits.
 */
token: string, };

/**
 * From the page to the machine.
 */
export type Intent = { "type": "look", 
/**
 * Its name.
 */
name: string, } | { "type": "chase", 
/**
 * Its name.
 */
name: string, 
/**
 * Start or stop.
 */
on: boolean, } | { "type": "chase_speed", 
/**
 * Its name.
 */
name: string, 
/**
 * How many times as fast as its steps say, 0 to 4.
 */
speed: number, } | { "type": "go" } | { "type": "back" } | { "type": "cue", 
/**
 * Place, from 0.
 */
index: number, } | { "type": "master", 
/**
 * Level.
 */
level: number, } | { "type": "group_master", 
/**
 * Its name.
 */
group: string, 
/**
 * Level.
 */
level: number, } | { "type": "blackout", 
/**
 * On or off.
 */
on: boolean, } | { "type": "stillness", 
/**
 * On or off.
 */
on: boolean, } | { "type": "stop_strobe", 
/**
 * On or off.
 */
on: boolean, } | { "type": "tap" } | { "type": "tempo", 
/**
 * Beats a minute.
 */
bpm: number, } | { "type": "music", 
/**
 * What.
 */
ask: MusicAsk, } | { "type": "score", 
/**
 * What.
 */
ask: ScoreAsk, } | { "type": "aim", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Point in the room.
 */
at: [number, number, number], } | { "type": "level", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Level.
 */
level: number, } | { "type": "colour", 
/**
 * Light's number.
 */
unit: number, 
/**
 * As a look writes it: a name, `#rrggbb`, `3200 K`.
 */
colour: string, } | { "type": "let_go", 
/**
 * Light's number; none lets go of everything.
 */
unit: number | null, } | { "type": "sight_go", 
/**
 * Light's number.
 */
unit: number, 
/**
 * The mark's name.
 */
mark: string, } | { "type": "sight_nudge", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Which way along the surface that the spot lies on, in the room; its length does not matter.
 */
towards: [number, number, number], 
/**
 * How far.
 */
step: NudgeStep, } | { "type": "sight_on", 
/**
 * Light's number.
 */
unit: number, 
/**
 * The mark's name.
 */
mark: string, } | { "type": "sight_undo", 
/**
 * Light's number.
 */
unit: number, } | { "type": "sign_try", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Which axis.
 */
axis: AxisName, } | { "type": "sign_went", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Which axis had moved.
 */
axis: AxisName, 
/**
 * Which way along the surface, in the room.
 */
towards: [number, number, number] | null, } | { "type": "stopwatch_start", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Which axis.
 */
axis: AxisName, } | { "type": "stopwatch_there", 
/**
 * Light's number.
 */
unit: number, 
/**
 * For every light of this kind.
 */
all_of_kind: boolean, } | { "type": "sight_alone", 
/**
 * The light in hand.
 */
unit: number, 
/**
 * Dark.
 */
on: boolean, } | { "type": "sight_end", 
/**
 * Light's number.
 */
unit: number, } | { "type": "ask_colour", 
/**
 * Light's number.
 */
unit: number, 
/**
 * As in [`Intent::Colour`].
 */
colour: string, } | { "type": "change", 
/**
 * What.
 */
change: Change, } | { "type": "undo" } | { "type": "redo" } | { "type": "keep_look", 
/**
 * The look's name.
 */
name: string, 
/**
 * Of these lights alone; none: of all.
 */
units: Array<number> | null, } | { "type": "ask_history" } | { "type": "what_if", 
/**
 * The change.
 */
change: Change, } | { "type": "bookmark", 
/**
 * The name.
 */
name: string, } | { "type": "restore", 
/**
 * The entry's number.
 */
id: number, } | { "type": "set_up_tick", 
/**
 * What they are known by.
 */
keys: Array<string>, 
/**
 * Done.
 */
done: boolean, } | { "type": "set_up_check", 
/**
 * Open.
 */
on: boolean, } | { "type": "set_up_answer", 
/**
 * How many were answered before it: an answer to another question counts for nothing.
 */
question: number, 
/**
 * The others.
 */
otherwise: Array<Otherwise>, } | { "type": "set_up_back" } | { "type": "set_up_anew" } | { "type": "channel_try", 
/**
 * Light's number.
 */
unit: number, 
/**
 * Its place in the mode, from 1.
 */
channel: number, 
/**
 * The byte.
 */
value: number, 
/**
 * Also where it may do harm.
 */
sure: boolean, } | { "type": "channel_release" } | { "type": "seen" } | { "type": "new_code", 
/**
 * What it gives.
 */
role: Role, } | { "type": "send_away", 
/**
 * Which one.
 */
id: number, };

/**
 * How far a nudge moves the spot.
 */
export type NudgeStep = "coarse" | "fine" | "creep";

/**
 * An axis of a head.
 */
export type AxisName = "pan" | "tilt";

/**
 * A light level map as the page draws it. Lengths in metres in the plan.
 */
export type LuxView = { 
/**
 * What it is measured on, in words.
 */
on: string, 
/**
 * The least x and y of the grid's cells, and the side of a cell.
 */
from: [number, number], 
/**
 * Side of a cell.
 */
step: number, 
/**
 * From dark to light.
 */
bands: Array<LuxBand>, 
/**
 * For each row of cells from the near end: pairs of a place in `bands` and how many cells of it follow each other.
 */
rows: Array<Array<[number, number]>>, 
/**
 * Lines of equal light level.
 */
contours: Array<LuxContour>, 
/**
 * Figures on the contours: where, and the text.
 */
labels: Array<LuxLabel>, 
/**
 * At each mark, by its name.
 */
marks: Array<LuxMark>, 
/**
 * The most there is, in words.
 */
most: string, 
/**
 * What must be said with it.
 */
caution: Array<string>, };

/**
 * A span of light levels and its colour.
 */
export type LuxBand = { 
/**
 * "20 – 50".
 */
words: string, 
/**
 * `#rrggbb`.
 */
colour: string, };

/**
 * A line of equal light level.
 */
export type LuxContour = { 
/**
 * It lies on light colours, so it is drawn dark.
 */
dark: boolean, 
/**
 * Its points.
 */
line: Array<[number, number]>, };

/**
 * A figure on a contour.
 */
export type LuxLabel = { 
/**
 * Where.
 */
at: [number, number], 
/**
 * "50".
 */
text: string, };

/**
 * The light level at a mark.
 */
export type LuxMark = { 
/**
 * Its name.
 */
name: string, 
/**
 * "320 lx".
 */
lux: string, };

/**
 * A chart to be read, with what has been answered so far.
 */
export type ChartAsk = { 
/**
 * As it was pasted.
 */
text: string, 
/**
 * To earlier questions about it.
 */
answers: Array<Answer>, };

/**
 * A chart to be taken into the show.
 */
export type ChartTake = { 
/**
 * What this kind of light is called.
 */
name: string, 
/**
 * As it was pasted.
 */
text: string, 
/**
 * To its questions.
 */
answers: Array<Answer>, 
/**
 * In the place of the kind of that name.
 */
replace: boolean, };

/**
 * A kind of light: what its channels do, and the chart that it was read from.
 */
export type KindView = { 
/**
 * Its name.
 */
name: string, 
/**
 * Its modes.
 */
reading: Reading, 
/**
 * The text of its chart, where the show keeps it.
 */
text: string | null, 
/**
 * What was answered about that.
 */
answers: Array<Answer>, };

/**
 * What was read: modes, and every doubt as a question.
 */
export type Reading = { 
/**
 * In the order in which they stand in the source.
 */
modes: Array<ModeReading>, 
/**
 * In the order of their lines.
 */
questions: Array<Question>, };

/**
 * One mode.
 */
export type ModeReading = { 
/**
 * As its heading calls it.
 */
name: string, 
/**
 * How many slots it takes.
 */
footprint: number, 
/**
 * The last start address with which it fits into a universe: 513 − footprint. None where it never does.
 */
last_start_address: number | null, 
/**
 * By their numbers.
 */
channels: Array<ChannelReading>, 
/**
 * The value of every slot with which it gives steady light, white and full, doing nothing else. None when no values
 * are known that do.
 */
steady_on: Array<number> | null, 
/**
 * It has no dimmer of its own, and colours that can stand in for one.
 */
virtual_dimmer: boolean, };

/**
 * One slot of a mode.
 */
export type ChannelReading = { 
/**
 * Its number in the mode, from 1.
 */
ch: number, 
/**
 * As the source calls it.
 */
name: string, 
/**
 * The coarse channel, when this is its fine byte.
 */
fine_of: number | null, 
/**
 * The value at which it does nothing to steady light.
 */
home: number | null, 
/**
 * The head that it acts on, from 0; none acts on all.
 */
head: number | null, 
/**
 * In the order in which they are printed; values of one byte.
 */
ranges: Array<RangeReading>, 
/**
 * Lines of the source that speak of it.
 */
lines: Array<number>, };

/**
 * One range of a channel's values.
 */
export type RangeReading = { 
/**
 * First value.
 */
from: number, 
/**
 * Last value.
 */
to: number, 
/**
 * What it controls, by the names of DIN SPEC 15800.
 */
attr: string, 
/**
 * How its values differ.
 */
kind: KindReading, 
/**
 * For a level: more or less with a larger value. None where that is not stated.
 */
dir: Way | null, 
/**
 * What a fixed range sets: "open", "closed", "full", "off", "sound", "stop".
 */
state: string | null, 
/**
 * Place on the wheel, from 1.
 */
slot: number | null, 
/**
 * It means this only while another channel is inside these values.
 */
when: WhenReading | null, 
/**
 * Seconds for which it must be held to act.
 */
hold_s: number | null, 
/**
 * Why nothing may pass through it by accident.
 */
danger: string | null, 
/**
 * What it does at both ends, as printed.
 */
phys: [number, number] | null, 
/**
 * The unit of `phys`.
 */
unit: string | null, 
/**
 * The words beside it.
 */
label: string, 
/**
 * Where the reading comes from: "stated", "derived", "guessed".
 */
origin: string, 
/**
 * Lines of the source.
 */
lines: Array<number>, };

/**
 * How the values inside a range differ.
 */
export type KindReading = "level" | "fixed" | "select" | "none";

/**
 * Which way a level goes.
 */
export type Way = "up" | "down";

/**
 * "While channel `ch` is between `from` and `to`."
 */
export type WhenReading = { 
/**
 * The other channel.
 */
ch: number, 
/**
 * First of its values.
 */
from: number, 
/**
 * Last.
 */
to: number, };

/**
 * Something in the source that can be read in more than one way, or in none.
 */
export type Question = { 
/**
 * The same as long as the words that raise it are: an answer is remembered by it.
 */
id: string, 
/**
 * What sort of doubt: "gap", "overlap", "count", "missing_channel", "fine_without_coarse", "direction", "steps",
 * "misprint", "unread", "condition", "no_steady", "cut", "meaning", "values", "danger", "columns".
 */
kind: string, 
/**
 * The mode that it is about.
 */
mode: string | null, 
/**
 * The channel that it is about.
 */
ch: number | null, 
/**
 * The question in words.
 */
text: string, 
/**
 * Lines of the source that raise it.
 */
lines: Array<number>, 
/**
 * What can be answered.
 */
answers: Array<Choice>, 
/**
 * What was answered.
 */
answered: string | null, };

/**
 * One answer to a question.
 */
export type Choice = { 
/**
 * As it is sent back.
 */
value: string, 
/**
 * As it is shown.
 */
text: string, };

/**
 * The answers so far.
 */
export type BeginAsk = { 
/**
 * None: the room that the show has.
 */
room: BeginRoom | null, 
/**
 * None yet: an empty room is shown.
 */
lights: Array<BeginLights>, };

/**
 * What may be answered, and the show that comes of the answers so far.
 */
export type BeginView = { 
/**
 * The rooms that have a name.
 */
rooms: Array<BeginRoomView>, 
/**
 * The room that the show has.
 */
here: BeginRoomView, 
/**
 * The kinds of light.
 */
kinds: Array<BeginKind>, 
/**
 * Where lights can be told to go.
 */
places: Array<string>, 
/**
 * What comes of it; none where something was refused.
 */
preview: BeginPreview | null, 
/**
 * What does not do.
 */
refused: BeginRefused | null, };

/**
 * A room in words.
 */
export type BeginRoomView = { 
/**
 * Its name.
 */
name: string, 
/**
 * "13 × 14 m, 4.5 m high, stage at the end".
 */
says: string, 
/**
 * Its measures.
 */
measures: RoomMeasures, };

/**
 * A kind of light.
 */
export type BeginKind = { 
/**
 * Name of the profile.
 */
name: string, 
/**
 * What to draw, as `UnitView::symbol`.
 */
symbol: string, 
/**
 * What sort of light, in words.
 */
sort: string, 
/**
 * Its modes.
 */
modes: Array<ModeView>, 
/**
 * Shown before anybody searches.
 */
usual: boolean, };

/**
 * A show that is not begun yet.
 */
export type BeginPreview = { 
/**
 * Its scene.
 */
scene: Scene, 
/**
 * Its lights in the look that it starts with.
 */
lights: Array<LightMoment>, 
/**
 * What there is, and what to take care of.
 */
says: Array<string>, };

/**
 * Why no show can be begun.
 */
export type BeginRefused = { 
/**
 * "room", "lights" or "name".
 */
to: string, 
/**
 * What is wrong, and what to do.
 */
why: string, };
