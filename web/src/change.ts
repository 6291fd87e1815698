// Changes to the show as the page sends them, and what the editors need to know of it. Values are those of the show
// file: "3 s", "4 beats", "80 %", "400 lx", "3200 K", a mark's name, `[x, y, z]`.
import type { ChaseView, CueView, Intent, LookView, Scene, ToPage, Word } from './wire.gen';

/** A value in the show file's own words. */
export type Value = boolean | number | string | Value[] | { [key: string]: Value };

/** The fields of a part of a look. */
export type PartField =
  | 'who' | 'aim' | 'figure' | 'colour' | 'colour_spread' | 'mixing' | 'match' | 'level' | 'on' | 'level_to' | 'level_spread'
  | 'strobe' | 'gobo' | 'prism' | 'zoom' | 'focus' | 'frost' | 'iris' | 'haze' | 'fan';
/** The fields of a chase. */
export type ChaseField = 'order' | 'rounds' | 'fade' | 'step_time' | 'step_fade';
/** The fields of a step. */
export type StepField = 'look' | 'time' | 'fade';
/** The fields of a cue; its number has changes of its own. */
export type CueField = 'name' | 'note' | 'look' | 'chases' | 'fade' | 'follow' | 'tempo';

/** Values of a new table. */
export type Values<F extends string> = { [field in F]?: Value };

/** One change to the show, of those that the page asks for. Places, parts and steps count from 1; null clears. */
export type Change =
  | { type: 'many'; changes: Change[] }
  | { type: 'look_add'; name: string; like: string | null }
  | { type: 'look_rename'; name: string; to: string }
  | { type: 'look_remove'; name: string }
  | { type: 'look_duplicate'; name: string; to: string }
  | { type: 'look_move'; name: string; to: number }
  | { type: 'look_fade'; name: string; fade: Value | null }
  | { type: 'part_add'; look: string; who: Value; values: Values<PartField>; at: number | null }
  | { type: 'part_remove'; look: string; part: number }
  | { type: 'part_move'; look: string; part: number; to: number }
  | { type: 'part_set'; look: string; part: number; field: PartField; value: Value | null }
  | { type: 'chase_add'; name: string; steps: string[]; values: Values<ChaseField> }
  | { type: 'chase_rename'; name: string; to: string }
  | { type: 'chase_remove'; name: string }
  | { type: 'chase_duplicate'; name: string; to: string }
  | { type: 'chase_move'; name: string; to: number }
  | { type: 'chase_set'; name: string; field: ChaseField; value: Value | null }
  | { type: 'step_add'; chase: string; look: string; time: Value | null; fade: Value | null; at: number | null }
  | { type: 'step_remove'; chase: string; step: number }
  | { type: 'step_move'; chase: string; step: number; to: number }
  | { type: 'step_set'; chase: string; step: number; field: StepField; value: Value | null }
  | { type: 'steps_set'; chase: string; field: 'time' | 'fade'; value: Value | null }
  | { type: 'cue_add'; after: string | null; values: Values<CueField> }
  | { type: 'cue_remove'; number: string }
  | { type: 'cue_move'; number: string; to: number }
  | { type: 'cue_number'; number: string; to: string }
  | { type: 'cue_set'; number: string; field: CueField; value: Value | null }
  /** What is on the pads of this night, in order; null for every look and chase. */
  | { type: 'tonight_set'; names: string[] | null };

/** What the page asks of the machine while a show is made. */
export type MakingIntent =
  | { type: 'change'; change: Change }
  | { type: 'undo' }
  | { type: 'redo' }
  /** Keeps what is lit now, of all lights or of these, as the look of that name: new, or in place of what it was. */
  | { type: 'keep_look'; name: string; units: number[] | null };

/** Everything that the page sends. */
export type ToMachine = Intent | MakingIntent;

/** What came of a change, or why it was refused: one for each that this page asked for, in order. */
export type Said = { type: 'said'; says: string; wrong: boolean };

/** Everything that the page hears. */
export type FromMachine = ({ type: 'scene' } & MadeScene) | Exclude<ToPage, { type: 'scene' }> | Said;

/** A word of a sentence that knows which field it tells, so that it can open the editor of that. */
export type TellWord = Word & { of?: string | null };

/** What the editors of a look need beyond its sentences; `words` has one sentence for each part, in order. */
export type LookParts = {
  /** How long it fades when put on by hand, as the file has it; null where it says nothing. */
  fade: string | null;
  /** Where it is used: 'in 1 chase and 2 cues'; empty where nowhere. */
  used: string;
  parts: PartView[];
};

/** The values of a part, as the file has them; what it leaves out is not there. */
export type PartView = Values<PartField> & {
  who: Value;
  /** The lights that `who` means, in its order. */
  lights: number[];
  /** Each colour of the part as `#rrggbb`, in its order. */
  hexes: string[];
  /** The gobos that any of these lights has. */
  gobos: string[];
};

/** What the editors of a chase need beyond its sentence. */
export type ChaseSteps = {
  order: string;
  rounds: number | null;
  fade: string | null;
  /** For steps that say nothing; null where the file leaves it out (a beat, no fade). */
  step_time: string | null;
  step_fade: string | null;
  used: string;
  each: StepView[];
};

/** A step, as the file has it: null where it says nothing of its own. */
export type StepView = { look: string; time: string | null; fade: string | null };

/** What the editors of a cue need beyond its sentence; null where the file leaves it out. */
export type CueParts = {
  look: string | null;
  chases: string[] | null;
  fade: string | null;
  follow: string | null;
  tempo: number | null;
};

/** A named colour: as the file has it, and as a screen shows it. */
export type SwatchView = { name: string; colour: string; hex: string };
/** A figure and what it is: 'a circle 2 m across, 0.8 m/s'. */
export type FigureView = { name: string; says: string };

/** A look with what its editors need, once the machine tells it. */
export type MadeLook = Omit<LookView, 'words'> & { words: TellWord[][] } & Partial<LookParts>;
/** A chase with what its editors need. */
export type MadeChase = Omit<ChaseView, 'words'> & { words: TellWord[] } & Partial<ChaseSteps>;
/** A cue with what its editors need. */
export type MadeCue = Omit<CueView, 'words'> & { words: TellWord[] } & Partial<CueParts>;

/** The scene with what making needs; a machine that keeps its show as it is leaves all of that out. */
export type MadeScene = Omit<Scene, 'looks' | 'chases' | 'cues'> & {
  looks: MadeLook[];
  chases: MadeChase[];
  cues: MadeCue[];
  /** What undo and redo would do, in words. */
  edits?: { undo: string | null; redo: string | null };
  swatches?: SwatchView[];
  figures?: FigureView[];
  /** What is on the pads, in order; null for every look and chase. */
  tonight?: string[] | null;
};
