// Keys of one's own choice and what a MIDI controller says, without a page: node --test web/test
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { createServer } from 'vite';

const vite = await createServer({ root: `${import.meta.dirname}/..`, server: { middlewareMode: true, watch: null, ws: false }, logLevel: 'error' });
after(() => vite.close());
const keys = await vite.ssrLoadModule('/src/keys.ts');
const bindings = await vite.ssrLoadModule('/src/bindings.ts');
const midi = await vite.ssrLoadModule('/src/midi.ts');

const press = (key, more = {}) => ({ key, code: '', altKey: false, ctrlKey: false, metaKey: false, shiftKey: false, repeat: false, ...more });
const room = { stage: 'room', typing: false, onControl: false, aiming: false, letters: true };
const USUAL = bindings.USUAL_BINDINGS;

test('a press is told as a chord', () => {
  const rows = [
    [press('b'), 'B'],
    [press('B', { shiftKey: true }), 'Shift+B'],
    [press('?', { shiftKey: true }), '?'],
    [press('['), '['],
    [press('[', { ctrlKey: true, altKey: true }), '['],
    [press('-', { ctrlKey: true }), 'Ctrl+-'],
    [press('z', { metaKey: true }), 'Ctrl+Z'],
    [press('Z', { ctrlKey: true, shiftKey: true }), 'Ctrl+Shift+Z'],
    [press(' '), 'Space'],
    [press('F7', { shiftKey: true }), 'Shift+F7'],
    [press('™', { altKey: true, code: 'Digit6' }), 'Alt+6'],
    [press('œ', { altKey: true, code: 'KeyQ' }), 'Alt+Q'],
    [press('é'), 'É'],
    [press('Shift', { shiftKey: true }), null],
    [press('Dead'), null],
  ];
  for (const [event, chord] of rows) assert.equal(keys.chordOf(event), chord, event.key);
});

test('each action has a name of its own, a key of its own, and a usual key that it may have', () => {
  const ids = keys.ACTIONS.map((action) => action.id);
  assert.equal(new Set(ids).size, ids.length);
  const chords = keys.ACTIONS.flatMap((action) => action.usual);
  assert.equal(new Set(chords).size, chords.length);
  for (const action of keys.ACTIONS) for (const chord of action.usual) assert.equal(bindings.whyNot(action, chord), null, action.id);
  assert.deepEqual(keys.ACTIONS.filter((action) => action.must).map((action) => action.id), ['stillness', 'strobe', 'blackout']);
});

test('Go moves to a free key, and the old one does nothing', () => {
  const moved = bindings.wish(USUAL, 'go', 'G');
  assert.equal(moved.is, 'free');
  const by = bindings.byChord(moved.bindings);
  assert.deepEqual(keys.command(press('g'), room, by), { do: 'go' });
  assert.equal(keys.command(press(' '), room, by), null);
  assert.equal(keys.command(press('g'), { ...room, typing: true }, by), null);
  assert.equal(keys.command(press('g'), { ...room, letters: false }, by), null);
  assert.equal(keys.command(press('g', { repeat: true }), room, by), null);
});

test('a capital is its own key once it is bound, and else the small letter', () => {
  const by = bindings.byChord(bindings.wish(USUAL, 'go', 'Shift+B').bindings);
  assert.deepEqual(keys.command(press('B', { shiftKey: true }), room, by), { do: 'go' });
  assert.deepEqual(keys.command(press('b'), room, by), { do: 'blackout' });
  assert.deepEqual(keys.command(press('B', { shiftKey: true }), room), { do: 'blackout' });
});

test('a key that is taken is swapped or left', () => {
  const answer = bindings.wish(USUAL, 'tap', 'B');
  assert.equal(answer.is, 'taken');
  assert.equal(answer.by.id, 'blackout');
  assert.deepEqual(answer.swapped.get('tap'), ['B']);
  assert.deepEqual(answer.swapped.get('blackout'), ['T']);
  assert.deepEqual(USUAL.get('tap'), ['T'], 'nothing is changed by asking');
  const redo = bindings.wish(USUAL, 'undo', 'Ctrl+Y');
  assert.deepEqual([redo.swapped.get('undo'), redo.swapped.get('redo')], [['Ctrl+Y'], ['Ctrl+Shift+Z']], 'of two keys one is left');
});

test('a stop key is never left without a key, nor on Space', () => {
  assert.equal(bindings.without(USUAL, 'blackout'), null);
  const keyless = bindings.without(USUAL, 'tap');
  assert.deepEqual(keyless.get('tap'), []);
  const answer = bindings.wish(keyless, 'tap', 'B');
  assert.equal(answer.swapped, null);
  assert.match(answer.why, /never left without/);
  assert.equal(bindings.wish(USUAL, 'go', 'B').swapped, null, 'blackout would stand on Space');
  for (const chord of ['Escape', 'Tab', 'Shift+Tab', 'Enter', '5', 'ArrowUp', 'Ctrl+W', 'F5', 'Ctrl+-']) {
    assert.equal(bindings.wish(USUAL, 'way', chord).is, 'refused', chord);
  }
});

test('what is kept is read again, and what is broken is left out with a sentence', () => {
  const mine = bindings.wish(USUAL, 'tap', 'B').swapped;
  const text = bindings.writeBindings(mine);
  assert.deepEqual(JSON.parse(text), { version: 1, keys: { blackout: ['T'], tap: ['B'] } });
  assert.deepEqual(bindings.readBindings(text), { bindings: mine, wrong: '' });
  assert.equal(bindings.writeBindings(USUAL), null);
  for (const broken of ['', '{', 'null', '[]', '{"version":2,"keys":{}}', '{"version":1,"keys":[]}']) {
    const read = bindings.readBindings(broken);
    assert.ok(bindings.isUsual(read.bindings), broken);
    assert.match(read.wrong, /usual keys stand/, broken);
  }
  const kept = (all) => bindings.readBindings(JSON.stringify({ version: 1, keys: all }));
  for (const one of [{ blackout: [] }, { go: 'G' }, { go: ['g'] }, { go: ['Escape'] }, { go: [7] }, { fly: ['G'] }, { go: ['Shift+Ctrl+G'] }, { __proto__x: ['G'] }]) {
    const read = kept({ ...one, tap: ['Y'] });
    assert.match(read.wrong, /could not be read/, JSON.stringify(one));
    assert.deepEqual(read.bindings.get('tap'), ['Y']);
    assert.deepEqual(read.bindings.get('go'), ['Space']);
    assert.deepEqual(read.bindings.get('blackout'), ['B']);
  }
  const twice = kept({ go: ['B'] });
  assert.ok(bindings.isUsual(twice.bindings));
  assert.match(twice.wrong, /two actions/);
});

test('keys are printed as people say them, and told to aids as WAI-ARIA writes them', () => {
  assert.equal(bindings.sayKeys(['Ctrl+Shift+Z', 'Ctrl+Y']), 'Ctrl Shift Z or Ctrl Y');
  assert.equal(bindings.sayKeys(['Alt+ArrowUp']), 'Alt up');
  assert.equal(bindings.sayKeys(['+']), '+');
  assert.equal(bindings.sayKeys([]), 'no key');
  assert.equal(bindings.ariaKeys(['Ctrl+Shift+Z', 'Ctrl+Y']), 'Control+Shift+Z Control+Y');
  assert.equal(bindings.ariaKeys([]), undefined);
});

// Expected readings by the table of status bytes in the MIDI 1.0 Detailed Specification: 8n note off, 9n note on, Bn control
// change, n the channel less one; velocity 0 is note off; controls 120 to 127 are channel mode messages.
test('MIDI bytes mean what the specification says', () => {
  const rows = [
    [[0x90, 60, 100], { kind: 'on', channel: 1, number: 60, value: 100 }],
    [[0x9f, 127, 1], { kind: 'on', channel: 16, number: 127, value: 1 }],
    [[0x90, 60, 0], { kind: 'off', channel: 1, number: 60, value: 0 }],
    [[0x80, 60, 64], { kind: 'off', channel: 1, number: 60, value: 64 }],
    [[0xb0, 7, 127], { kind: 'control', channel: 1, number: 7, value: 127 }],
    [[0xb9, 119, 0], { kind: 'control', channel: 10, number: 119, value: 0 }],
    [[0xb0, 120, 0], null],
    [[0xb0, 123, 0], null],
    [[0xa0, 60, 5], null],
    [[0xc0, 5], null],
    [[0xd0, 5], null],
    [[0xe0, 0, 64], null],
    [[0xf8], null],
    [[0xfe], null],
    [[0xf0, 1, 2, 0xf7], null],
    [[0xf0, 1, 0xf7], null],
    [[0x90, 60], null],
    [[0x90, 60, 128], null],
    [[0x90, 200, 1], null],
    [[60, 100, 1], null],
    [[], null],
  ];
  for (const [bytes, message] of rows) assert.deepEqual(midi.readMessage(Uint8Array.from(bytes)), message, bytes.join());
  assert.equal(midi.levelOf(0), 0);
  assert.equal(midi.levelOf(127), 1);
});

test('a note presses when it comes on; a switch presses when it passes the middle upwards', () => {
  const presses = new midi.Presses();
  const hear = (...bytes) => presses.hear(midi.readMessage(bytes));
  assert.deepEqual([hear(0x90, 60, 1), hear(0x80, 60, 0), hear(0x90, 60, 0), hear(0x90, 60, 90)], [true, false, false, true]);
  assert.deepEqual([hear(0xb0, 20, 63), hear(0xb0, 20, 64), hear(0xb0, 20, 127), hear(0xb0, 20, 0), hear(0xb0, 20, 127)], [false, true, false, false, true]);
});

test('a fader takes hold only where it meets or passes the level', () => {
  const step = (n) => n / 127;
  const fader = new midi.TakeOver();
  assert.equal(fader.move(step(20), 0.5), null, 'far below');
  assert.equal(fader.move(step(40), 0.5), null, 'still below');
  assert.equal(fader.move(step(80), 0.5), step(80), 'passed');
  assert.equal(fader.move(step(30), step(80)), step(30), 'it has hold, and moves as far as it likes');
  assert.equal(fader.move(step(31), 0.9), null, 'another hand moved the master meanwhile');
  assert.equal(fader.move(step(120), 0.9), step(120), 'passed from below');
  const above = new midi.TakeOver();
  assert.equal(above.move(step(127), 0.3), null);
  assert.equal(above.move(step(10), 0.3), step(10), 'passed from above');
  assert.equal(new midi.TakeOver().move(1, 1), 1, 'it lies where the level is');
});

test('a control does one thing, a thing has one control of a controller, and each controller its own', () => {
  let { all, before } = midi.learn(new Map(), 'Box', 'note 1 60', 'go');
  assert.equal(before, null);
  ({ all, before } = midi.learn(all, 'Box', 'note 1 60', 'tap'));
  assert.equal(before, 'go');
  assert.equal(midi.controlFor(all, 'Box', 'go'), undefined);
  ({ all, before } = midi.learn(all, 'Box', 'note 1 61', 'tap'));
  assert.equal(midi.controlFor(all, 'Box', 'tap'), 'note 1 61');
  assert.deepEqual([...all.get('Box')], [['note 1 61', 'tap']]);
  ({ all } = midi.learn(all, 'Other', 'control 2 7', midi.MASTER));
  assert.deepEqual(midi.readControllers(midi.writeControllers(all)), { all, wrong: '' });
  assert.equal(midi.controlFor(midi.unlearn(all, 'Box', 'tap'), 'Box', 'tap'), undefined);
  // A look that is called otherwise keeps its control.
  ({ all } = midi.learn(all, 'Box', 'note 1 62', 'look Supper'));
  all = midi.retarget(all, 'look Supper', 'look Dinner');
  assert.deepEqual([...all.get('Box')], [['note 1 61', 'tap'], ['note 1 62', 'look Dinner']]);
  assert.match(midi.whyNotLearn(midi.readMessage([0x90, 60, 9]), midi.MASTER), /fader or a knob/);
  assert.equal(midi.whyNotLearn(midi.readMessage([0xb0, 7, 9]), midi.MASTER), null);
  assert.equal(midi.whyNotLearn(midi.readMessage([0x80, 60, 9]), 'go'), '');
});

test('controls that were kept and cannot be read are left out with a sentence', () => {
  for (const broken of ['', 'x', '{}', '{"version":9,"controllers":[]}', '{"version":1,"controllers":{}}']) {
    const { all, wrong } = midi.readControllers(broken);
    assert.equal(all.size, 0, broken);
    assert.match(wrong, /none is bound/, broken);
  }
  const text = JSON.stringify({ version: 1, controllers: [{ name: 'Box', controls: [['note 1 60', 'go'], ['note 17 60', 'tap'], ['note 1 5', 'master'], 3] }, null] });
  const { all, wrong } = midi.readControllers(text);
  assert.deepEqual([...all.get('Box')], [['note 1 60', 'go']]);
  assert.match(wrong, /4 controls/);
});
