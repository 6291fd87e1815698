// What needs no page: the meaning of keys, and how figures are said. Run with `node --test test/`.
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { createServer } from 'vite';

const vite = await createServer({ root: `${import.meta.dirname}/..`, server: { middlewareMode: true, watch: null, ws: false }, logLevel: 'error' });
after(() => vite.close());
const keys = await vite.ssrLoadModule('/src/keys.ts');
const link = await vite.ssrLoadModule('/src/link.ts');
const pacing = await vite.ssrLoadModule('/src/room/pace.ts');
const beside = await vite.ssrLoadModule('/src/room/beside.ts');
const words = await vite.ssrLoadModule('/src/words.ts');

const press = (key, more = {}) => ({ key, code: '', altKey: false, ctrlKey: false, metaKey: false, shiftKey: false, repeat: false, ...more });
const room = { stage: 'room', typing: false, onControl: false, aiming: false, letters: true };

test('keys mean what the list on the page says', () => {
  const rows = [
    [press(' '), {}, { do: 'go' }],
    [press(' '), { stage: 'tonight' }, { do: 'go' }],
    [press(' '), { stage: 'cues' }, null],
    [press(' '), { onControl: true }, null],
    [press(' ', { repeat: true }), {}, null],
    [press('Backspace'), {}, { do: 'back' }],
    [press('Backspace'), { typing: true }, null],
    [press('Escape'), { typing: true }, { do: 'escape' }],
    [press('b'), {}, { do: 'blackout' }],
    [press('B', { shiftKey: true }), {}, { do: 'blackout' }],
    [press('b'), { typing: true }, null],
    [press('b'), { letters: false }, null],
    [press('b', { ctrlKey: true }), {}, null],
    [press('b', { repeat: true }), {}, null],
    [press('['), {}, { do: 'half' }],
    [press('[', { ctrlKey: true, altKey: true }), {}, { do: 'half' }],
    [press('7'), {}, { do: 'digit', digit: 7 }],
    [press('2', { altKey: true, code: 'Digit2' }), {}, { do: 'stage', stage: 'rig' }],
    [press('™', { altKey: true, code: 'Digit6' }), { typing: true }, { do: 'stage', stage: 'tonight' }],
    [press('ArrowUp'), {}, null],
    [press('ArrowUp'), { aiming: true }, { do: 'nudge', x: 0, y: 0.1 }],
    [press('ArrowLeft', { shiftKey: true }), { aiming: true }, { do: 'nudge', x: -0.01, y: 0 }],
    [press('q'), {}, null],
  ];
  for (const [event, where, expected] of rows) {
    assert.deepEqual(keys.command(event, { ...room, ...where }), expected, `${event.key} ${JSON.stringify(where)}`);
  }
});

test('digits typed quickly are one number, if there is such a light', () => {
  const digits = new keys.Digits();
  const exists = (n) => n >= 1 && n <= 11;
  assert.equal(digits.push(1, 0, exists), 1);
  assert.equal(digits.push(1, 300, exists), 11);
  assert.equal(digits.push(2, 600, exists), 2, 'there is no light 112');
  assert.equal(digits.push(1, 5000, exists), 1);
  assert.equal(digits.push(0, 6500, exists), null, 'too slow for 10, and there is no light 0');
});

test('figures are said with their units, on one line', () => {
  const rows = [
    [words.level(0), 'dark'],
    [words.level(1), 'full'],
    [words.level(0.624), '62\u00a0%'],
    [words.metres(5.86), '5.9 m'],
    [words.metres(0.45), '0.45 m'],
    [words.lux(1743), '1,740 lx'],
    [words.lux(0.83), '0.8 lx'],
    [words.amps(16), '16\u00a0A'],
    [words.seconds(90), '1 min 30 s'],
    [words.seconds(1.5), '1.5 s'],
    [words.list([1, 2, 3]), '1, 2 and 3'],
    [words.lights([4]), 'light 4'],
    [words.the('bar'), 'the bar'],
    [words.the('the far wall'), 'the far wall'],
    [words.keepUnits('at 30 % for 3 s, 400 lx.'), 'at 30\u00a0% for 3\u00a0s, 400\u00a0lx.'],
    [words.keepUnits('4 steps'), '4 steps'],
    [words.beatOfFour(7.9), 4],
    [words.beatOfFour(-0.5), 4],
  ];
  for (const [said, expected] of rows) assert.equal(said, expected);
});

test('a seen colour gets the name of what was asked', () => {
  for (const { word, hex } of words.COLOURS) {
    const linear = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    assert.equal(words.colourWord(linear), word, hex);
    assert.equal(words.hexOf(linear), hex);
  }
});

test('a long sentence is cut at a clause, never inside one', () => {
  const word = (text, colour = null) => ({ text, colour });
  const told = [word('Supper over 6 s: heads on the tables, '), word('amber', '#ffa000'), word(', 45 %; spots on the cake, '), word('rose', '#ff3070'), word('.')];
  const said = (most) => words.clauses(told, most).map((piece) => piece.text).join('');
  assert.equal(said(200), 'Supper over 6 s: heads on the tables, amber, 45 %; spots on the cake, rose.');
  assert.equal(said(60), 'Supper over 6 s: heads on the tables, amber, 45 %.');
  assert.equal(said(30), 'Supper over 6 s.');
  assert.equal(said(3), 'Supper over 6 s.', 'one clause at least');
});

test('a colour that is only a number is said by its name', () => {
  assert.equal(words.sayColour('#ff7a1a'), 'orange');
  assert.equal(words.sayColour('plum'), 'plum');
});

test('what was found and its figure make one sentence', () => {
  const rows = [
    ['Light 10 made to flash', 'limit set here: 3.0 flashes a second', 'Light 10 made to flash: limit set here 3.0 flashes a second.'],
    ['Light 11 makes haze: smoke detectors may answer', '', 'Light 11 makes haze: smoke detectors may answer.'],
    ['Lights 1 and 2: power factor not known', '0.6 below 100 W', 'Lights 1 and 2: power factor not known; 0.6 below 100\u00a0W.'],
  ];
  for (const [what, figure, said] of rows) assert.equal(words.found(what, figure), said);
});

test('only a socket that stays silent while the page is awake is given up', () => {
  const looks = (silence, from, step, count, connecting = false) =>
    Array.from({ length: count }, (_, i) => silence.look(from + step * (i + 1), connecting));
  assert.deepEqual(looks(new link.Silence(0), 0, 500, 6), [false, false, false, false, false, true], 'six looks on time');
  assert.ok(!looks(new link.Silence(0), 0, 900, 60).includes(true), 'a page held up for a minute');
  assert.ok(!looks(new link.Silence(0), 0, 500, 19, true).includes(true), 'a socket that is still being opened');
  assert.equal(looks(new link.Silence(0), 0, 500, 20, true).at(-1), true, 'not opened in ten seconds');
  const heard = new link.Silence(0);
  looks(heard, 0, 500, 5);
  heard.heard();
  assert.ok(!looks(heard, 2500, 500, 5).includes(true), 'it spoke in between');
});

test('after a dear frame the page is left alone as long as the frame held it up', () => {
  const rows = [
    // cost of the frame, of it beside the page, wait
    [16, 0, 0],
    [21, 0, 0],
    [60, 0, 60],
    [300, 0, 300],
    [3000, 0, 400],
    [160, 120, 80],
  ];
  for (const [cost, before, wait] of rows) {
    const pace = new pacing.Pace();
    assert.equal(pace.wait(1000), 0);
    pace.begin(1000);
    pace.hold(1000 + before);
    assert.equal(pace.wait(1000 + cost), wait, `after ${cost} ms`);
    assert.equal(pace.wait(1000 + cost + wait), 0);
  }
});

test('words on the plan lie over nothing, and numbers are kept before names', () => {
  const open = { left: 0, top: 0, right: 390, bottom: 380 };
  const width = (text) => text.length * 8;
  const sides = [beside.ABOVE, beside.BELOW, beside.LEFT, beside.RIGHT, ...beside.CORNERS];
  for (const apart of [9, 14, 20, 40]) {
    const things = Array.from({ length: 9 }, (_, i) => ({ x: 30 + i * apart, y: 120 + (i % 2) * 12, w: 8, h: 8 }));
    const wishes = things.flatMap((at, i) => [
      { id: `unit ${i}`, texts: [String(i)], kind: 'unit', at, half: { x: 4, y: 4 }, sides, rank: 7 },
      { id: `mark ${i}`, texts: ['a long name', 'name'], kind: 'mark', at, half: { x: 4, y: 4 }, sides, rank: 3 },
    ]);
    const labels = beside.placeBeside(wishes, open, { solid: things, lines: [] }, width);
    const boxes = labels.map((label) => ({ x: label.x, y: label.y, w: width(label.text), h: 15 }));
    for (const [i, box] of boxes.entries()) {
      assert.ok(![...boxes.slice(i + 1), ...things].some((other) => beside.meet(box, other, 0)), `${labels[i].id}, ${apart} apart`);
      assert.ok(box.x - box.w / 2 >= 0 && box.x + box.w / 2 <= 390 && box.y > 0 && box.y < 380, `${labels[i].id} is on the page`);
    }
    const count = (kind) => labels.filter((label) => label.kind === kind).length;
    assert.ok(count('unit') >= count('mark'), `${apart} apart`);
    assert.ok(apart < 20 || count('unit') === 9, 'all numbers have room');
  }
});
