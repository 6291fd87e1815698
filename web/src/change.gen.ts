// Generated from crates/store/src/change/ by its test; do not edit.

/**
 * One change to a show. Names are those of the show file; places in an order, parts and steps count from 1; a value
 * that is left out (null) clears its field. docs/changes.md has an example of each.
 */
export type Change = { "type": "many", changes: Array<Change>, } | { "type": "begin", room: BeginRoom | null, lights: Array<BeginLights>, } | { "type": "show_set", field: ShowField, value: Value | null, } | { "type": "music_set", field: MusicField, value: Value | null, } | { "type": "limit_set", field: LimitField, value: Value | null, } | { "type": "mains_set", field: MainsField, value: Value | null, } | { "type": "room_set", field: RoomField, value: Value | null, } | { "type": "mark_add", name: string, at: Value, } | { "type": "mark_set", name: string, at: Value, } | { "type": "mark_rename", name: string, to: string, } | { "type": "mark_remove", name: string, } | { "type": "place_add", name: string, values: { [key in PlaceField]?: Value }, } | { "type": "place_set", name: string, field: PlaceField, value: Value | null, } | { "type": "place_rename", name: string, to: string, } | { "type": "place_remove", name: string, } | { "type": "platform_add", name: string, values: { [key in AreaField]?: Value }, } | { "type": "platform_set", name: string, field: AreaField, value: Value | null, } | { "type": "platform_rename", name: string, to: string, } | { "type": "platform_remove", name: string, } | { "type": "audience_add", name: string, values: { [key in AreaField]?: Value }, } | { "type": "audience_set", name: string, field: AreaField, value: Value | null, } | { "type": "audience_rename", name: string, to: string, } | { "type": "audience_remove", name: string, } | { "type": "furniture_add", name: string, values: { [key in FurnitureField]?: Value }, } | { "type": "furniture_set", name: string, field: FurnitureField, value: Value | null, } | { "type": "furniture_rename", name: string, to: string, } | { "type": "furniture_remove", name: string, } | { "type": "circuit_add", name: string, values: { [key in CircuitField]?: Value }, } | { "type": "circuit_set", name: string, field: CircuitField, value: Value | null, } | { "type": "circuit_rename", name: string, to: string, } | { "type": "circuit_remove", name: string, } | { "type": "light_add", profile: string, mode: string | null, place: string, count: number, universe: number | null, } | { "type": "light_remove", lights: Array<number>, } | { "type": "profile_take", name: string, identity: string | null, } | { "type": "light_set", lights: Array<number>, field: LightField, value: Value | null, } | { "type": "line_set", name: string, lights: Array<number>, } | { "type": "address_all", } | { "type": "profile_add", name: string, text: string, answers: Array<Answer>, replace: boolean, } | { "type": "profile_channel_set", profile: string, mode: string, channel: number, name: string | null, ranges: { [key in string]: Value }[], } | { "type": "group_add", name: string, lights: Array<number>, } | { "type": "group_set", name: string, lights: Array<number>, } | { "type": "group_rename", name: string, to: string, } | { "type": "group_remove", name: string, } | { "type": "swatch_add", name: string, colour: Value, } | { "type": "swatch_set", name: string, colour: Value, } | { "type": "swatch_rename", name: string, to: string, } | { "type": "swatch_remove", name: string, } | { "type": "figure_add", name: string, values: { [key in FigureField]?: Value }, } | { "type": "figure_set", name: string, field: FigureField, value: Value | null, } | { "type": "figure_rename", name: string, to: string, } | { "type": "figure_remove", name: string, } | { "type": "look_add", name: string, like: string | null, } | { "type": "look_rename", name: string, to: string, } | { "type": "look_remove", name: string, } | { "type": "look_duplicate", name: string, to: string, } | { "type": "look_move", name: string, to: number, } | { "type": "look_fade", name: string, fade: Value | null, } | { "type": "look_keep", name: string, fade: Value | null, parts: Array<{ [key in PartField]?: Value }>, } | { "type": "part_add", look: string, who: Value, values: { [key in PartField]?: Value }, at: number | null, } | { "type": "part_remove", look: string, part: number, } | { "type": "part_move", look: string, part: number, to: number, } | { "type": "part_set", look: string, part: number, field: PartField, value: Value | null, } | { "type": "chase_add", name: string, steps: Array<string>, values: { [key in ChaseField]?: Value }, } | { "type": "chase_rename", name: string, to: string, } | { "type": "chase_remove", name: string, } | { "type": "chase_duplicate", name: string, to: string, } | { "type": "chase_move", name: string, to: number, } | { "type": "chase_set", name: string, field: ChaseField, value: Value | null, } | { "type": "step_add", chase: string, look: string, time: Value | null, fade: Value | null, at: number | null, } | { "type": "step_remove", chase: string, step: number, } | { "type": "step_move", chase: string, step: number, to: number, } | { "type": "step_set", chase: string, step: number, field: StepField, value: Value | null, } | { "type": "steps_set", chase: string, field: StepsField, value: Value | null, } | { "type": "cue_add", after: string | null, values: { [key in CueField]?: Value }, } | { "type": "cue_remove", number: string, } | { "type": "cue_move", number: string, to: number, } | { "type": "cue_number", number: string, to: string, } | { "type": "cue_set", number: string, field: CueField, value: Value | null, } | { "type": "score_keep", name: string, values: { [key in ScoreField]?: Value }, parts: Array<{ [key in ScorePartField]?: Value }>, } | { "type": "score_rename", name: string, to: string, } | { "type": "score_remove", name: string, } | { "type": "score_set", name: string, field: ScoreField, value: Value | null, } | { "type": "score_part_add", score: string, values: { [key in ScorePartField]?: Value }, } | { "type": "score_part_remove", score: string, part: number, } | { "type": "score_part_set", score: string, part: number, values: { [key in ScorePartField]?: Value | null }, };

/**
 * An answer that was given: to which question, and which of its choices.
 */
export type Answer = { 
/**
 * The question's id.
 */
id: string, 
/**
 * The value of the choice.
 */
value: string, };

export type Value = boolean | number | string | Array<Value> | { [key in string]: Value };

/**
 * Of `[show]`.
 */
export type ShowField = "name" | "notes" | "tempo" | "start" | "tonight";

/**
 * Of `[music]`.
 */
export type MusicField = "lead" | "rise" | "fall" | "slowest" | "fastest" | "calm" | "groove" | "peak";

/**
 * Of `[room]`.
 */
export type RoomField = "name" | "x" | "y" | "height" | "controller";

/**
 * Of `[[room.place]]`, its name aside.
 */
export type PlaceField = "kind" | "middle" | "length" | "turn" | "rated" | "own_weight" | "points" | "point_rated" | "tube" | "legs" | "leg_radius" | "ballast" | "outdoors";

/**
 * Of `[[room.platform]]` and `[[room.audience]]`, the name aside.
 */
export type AreaField = "x" | "y" | "height";

/**
 * Of `[[room.furniture]]`, its name aside.
 */
export type FurnitureField = "kind" | "at" | "size" | "turn";

/**
 * Of `[[circuit]]`, its name aside.
 */
export type CircuitField = "breaker" | "other_load" | "at" | "reach" | "lead" | "phase" | "curve" | "rcd";

/**
 * Of `[limits]`.
 */
export type LimitField = "flash" | "flash_reason";

/**
 * Of `[mains]`.
 */
export type MainsField = "region" | "volts" | "continuous" | "receptacle" | "rcd" | "generator";

/**
 * Of a light; `number` aside.
 */
export type LightField = "profile" | "mode" | "place" | "at" | "up" | "turn" | "lean" | "invert" | "swap" | "focus" | "run" | "address" | "shares" | "leader" | "programme" | "circuit" | "line" | "line_order" | "power_from" | "lead" | "battery" | "case" | "circuit_fixed";

/**
 * Of `[[figure]]`, its name aside.
 */
export type FigureField = "shape" | "size" | "speed" | "plane" | "turn" | "direction" | "phase" | "phase_spread" | "centre";

/**
 * Of `[[look.part]]`.
 */
export type PartField = "who" | "aim" | "figure" | "colour" | "colour_spread" | "mixing" | "match" | "level" | "on" | "level_to" | "level_spread" | "sound" | "sound_colour" | "strobe" | "gobo" | "prism" | "zoom" | "focus" | "frost" | "iris" | "haze" | "fan";

/**
 * Of `[[chase]]`, its name and steps aside.
 */
export type ChaseField = "order" | "swing" | "rounds" | "fade" | "calm" | "at_each" | "step_time" | "step_fade";

/**
 * Of a step.
 */
export type StepField = "look" | "time" | "fade";

/**
 * What all steps of a chase can be given at once.
 */
export type StepsField = "time" | "fade";

/**
 * Of `[[cue]]`, its number aside.
 */
export type CueField = "name" | "note" | "look" | "chases" | "fade" | "follow" | "tempo";

/**
 * Of `[[score]]`, its name and parts aside.
 */
export type ScoreField = "file" | "length" | "beats" | "bars" | "lines";

/**
 * Of `[[score.part]]`.
 */
export type ScorePartField = "bar" | "beat" | "time" | "look" | "chases" | "fade" | "dark" | "why";

/**
 * Which room.
 */
export type BeginRoom = string | RoomMeasures;

/**
 * A room by its measures, in metres.
 */
export type RoomMeasures = { 
/**
 * From side wall to side wall, 4 to 60.
 */
width: number, 
/**
 * The other way, 5 to 100.
 */
depth: number, 
/**
 * Of the ceiling or of what is lowest under it, 2.4 to 30.
 */
height: number, 
/**
 * The stage, if there is one.
 */
stage: StageMeasures | null, };

/**
 * A stage, in metres.
 */
export type StageMeasures = { 
/**
 * Along which wall.
 */
side: StageSide, 
/**
 * From its front to the wall behind it, 1 to 10, and not more than half of the room.
 */
depth: number, 
/**
 * Of its floor above the hall's, 0 to 2.
 */
height: number, };

/**
 * Along which wall a stage is.
 */
export type StageSide = "end" | "side";

/**
 * Some lights of one kind.
 */
export type BeginLights = { 
/**
 * Name of the profile, in small or large letters.
 */
profile: string, 
/**
 * Its mode; the one with most to offer when left out.
 */
mode: string | null, 
/**
 * How many.
 */
count: number, 
/**
 * A hanging place of the starter ("front bar", "back bar", "left stand", "right stand", "floor at the back",
 * "left side", "right side"); left out: where they do most good.
 */
place: string | null, };
