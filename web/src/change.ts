// Changes to the show as the page sends them, and what the editors need to know of it. Values are those of the show
// file: "3 s", "4 beats", "80 %", "400 lx", "3200 K", a mark's name, `[x, y, z]`.
import type { Change, PartField, Value } from './change.gen';
import type { ChaseView, CueView, Intent, LookView, Scene, ToPage, Word } from './wire.gen';

export type { Change, ChaseField, CueField, PartField, StepField, Value } from './change.gen';

/** Values of a new table. */
export type Values<F extends string> = { [field in F]?: Value };

/** What is on the pads of this night: names in order; null for every look and chase. */
export type TonightSet = { type: 'show_set'; field: 'tonight'; value: string[] | null };

/** One change to the show, as the page asks for it. */
export type Asked = Change | TonightSet;

/** What the page asks of the machine while a show is made. */
export type MakingIntent =
  | { type: 'change'; change: Asked }
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
