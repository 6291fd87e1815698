// Charts of lights on this page: what is pasted, what the machine reads of it, what is answered; and the channels of a light
// that is tried.
import { batch, createEffect, createRoot, createSignal, on } from 'solid-js';
import type { Answer } from './change.gen';
import { credentials, setRefused } from './door';
import { tellDone } from './making';
import { scene, send, setStage, setUpAt, sightAt, stage, up } from './state';
import type { ChartAsk, ChartTake, KindView, Question, RangeReading, Reading } from './wire.gen';

/** The machine is asked when the hand has rested for so long. */
const REST_MS = 250;
/** What is tried is asked for again so often; the machine ends it after three seconds. */
const AGAIN_MS = 1000;

/** What stands in the place of the rig's column: a chart, or the channels of a light. */
export type Charting = { view: 'chart'; of: string | null } | { view: 'channels' | 'finder'; unit: number };
const [chartingNow, setChartingNow] = createSignal<Charting | null>(null);
export const charting = (): Charting | null => (stage() === 'rig' && !sightAt() && !setUpAt() ? chartingNow() : null);

/** Opens it over the rig; `null` shuts it. */
export function openCharting(next: Charting | null): void {
  if (next && stage() !== 'rig') setStage('rig');
  queueMicrotask(() => setChartingNow(next));
}

createRoot(() => createEffect(on(stage, () => setChartingNow(null), { defer: true })));

// The chart.

export const [text, setTextOnly] = createSignal('');
export const [answers, setAnswers] = createSignal<readonly Answer[]>([]);
export const [name, setName] = createSignal('');
/** The kind of the show that this chart is of already. */
export const [kept, setKept] = createSignal<string | null>(null);
export const [reading, setReading] = createSignal<Reading>({ modes: [], questions: [] });
/** Why there is no reading, or no text of a file. */
export const [wrong, setWrong] = createSignal('');
/** A file is being read. */
export const [busy, setBusy] = createSignal(false);
/** The question that is marked, by its id. */
export const [asked, setAsked] = createSignal<string | null>(null);

export const questionOf = (id: string | null): Question | undefined => reading().questions.find((one) => one.id === id);
export const openQuestions = (): Question[] => reading().questions.filter((one) => one.answered == null);
/** Lines that the marked question speaks of. */
export const askedLines = (): readonly number[] => questionOf(asked())?.lines ?? [];
/** A range is spoken of by the marked question. */
export function isAsked(range: RangeReading, mode: string, ch: number): boolean {
  const question = questionOf(asked());
  if (!question || (question.mode != null && question.mode !== mode) || (question.ch != null && question.ch !== ch)) return false;
  return range.lines.some((line) => question.lines.includes(line));
}

let rest: ReturnType<typeof setTimeout> | undefined;
let turn = 0;

/** The text as it is now: it is read once the hand rests. */
export function setText(next: string): void {
  setTextOnly(next);
  clearTimeout(rest);
  rest = setTimeout(read, REST_MS);
}

/** Answers a question, or opens it again. */
export function answer(id: string, value: string | null): void {
  setAnswers((before) => [...before.filter((one) => one.id !== id), ...(value === null ? [] : [{ id, value }])]);
  void read();
}

async function read(): Promise<void> {
  clearTimeout(rest);
  const mine = ++turn;
  const ask: ChartAsk = { text: text(), answers: [...answers()] };
  if (ask.text.trim() === '') return void batch(() => (setReading({ modes: [], questions: [] }), setWrong('')));
  try {
    const heard = await fetch('chart.json', { method: 'POST', cache: 'no-store', headers: credentials(), body: JSON.stringify(ask) });
    if (mine !== turn) return;
    if (!heard.ok) return void setWrong(await heard.text());
    const fresh = (await heard.json()) as Reading;
    batch(() => (setReading(fresh), setWrong('')));
  } catch {
    if (mine === turn) setWrong('The machine does not answer; what is pasted stays here.');
  }
}

/** A file from the disk: text as it is, a PDF through the machine. */
export async function takeFile(file: File): Promise<void> {
  setWrong('');
  if (!name()) setName(file.name.replace(/\.[^.]*$/, ''));
  const isPdf = file.type === 'application/pdf' || /\.pdf$/i.test(file.name);
  try {
    if (!isPdf) return setText(await file.text());
    setBusy(true);
    const heard = await fetch('chart.text', { method: 'POST', cache: 'no-store', headers: credentials(), body: file });
    const said = await heard.text();
    if (heard.ok) setText(said);
    else setWrong(said);
  } catch {
    setWrong('This file could not be read.');
  } finally {
    setBusy(false);
  }
}

/** Opens an empty page for a chart; what was pasted and not taken is still there. */
export function openChart(): void {
  if (kept() !== null) forgetChart();
  openCharting({ view: 'chart', of: null });
}

function forgetChart(): void {
  batch(() => {
    setTextOnly('');
    setAnswers([]);
    setName('');
    setKept(null);
    setReading({ modes: [], questions: [] });
    setWrong('');
    setAsked(null);
  });
}

/** Opens the chart that a kind of light came from. */
export async function openChartOf(kind: string): Promise<void> {
  const view = await kindOf(kind);
  if (!view || typeof view.text !== 'string') return;
  forgetChart();
  batch(() => {
    setTextOnly(view.text ?? '');
    setAnswers(view.answers);
    setName(kind);
    setKept(kind);
  });
  openCharting({ view: 'chart', of: kind });
  await read();
}

/** Takes the chart into the show: one change, which undo takes back. */
export async function takeChart(replace: boolean): Promise<{ wrong: boolean; says: string }> {
  const take: ChartTake = { name: name().trim(), text: text(), answers: [...answers()], replace };
  let said = { wrong: true, says: 'The machine does not answer; what is pasted stays here.' };
  try {
    const heard = await fetch('chart.take', { method: 'POST', cache: 'no-store', headers: credentials(), body: JSON.stringify(take) });
    said = heard.ok ? ((await heard.json()) as typeof said) : { wrong: true, says: await heard.text() };
  } catch {
    // Said below.
  }
  if (!said.wrong) {
    tellDone(said.says);
    forgetChart();
  }
  return said;
}

// The channels of a kind of light.

/** What the channels of a kind do, as the show has it now. */
export async function kindOf(kind: string): Promise<KindView | undefined> {
  try {
    const heard = await fetch(`kind.json?name=${encodeURIComponent(kind)}`, { cache: 'no-store', headers: credentials() });
    return heard.ok ? ((await heard.json()) as KindView) : undefined;
  } catch {
    return undefined;
  }
}

/** Open questions about a kind; `null` where the show keeps no chart of it. */
export const questionsOf = (kind: string): number | null => scene()?.profiles.find((one) => one.name === kind)?.questions ?? null;

// What is tried on one channel: asked for again and again, so that it ends by itself when this page goes away.

export type Tried = { unit: number; channel: number; value: number; sure: boolean };
export const [tried, setTriedOnly] = createSignal<Tried | null>(null);
let again: ReturnType<typeof setInterval> | undefined;

const say = (it: Tried) => up() && send({ type: 'channel_try', unit: it.unit, channel: it.channel, value: it.value, sure: it.sure });

/** Tries a value on one channel; `null` lets go of it. */
export function setTried(next: Tried | null): void {
  clearInterval(again);
  const before = tried();
  setTriedOnly(next);
  if (!next) {
    if (before && up()) send({ type: 'channel_release' });
    return;
  }
  setRefused('');
  say(next);
  again = setInterval(() => document.visibilityState === 'visible' && say(next), AGAIN_MS);
}

addEventListener('pagehide', () => setTried(null));
