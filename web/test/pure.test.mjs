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
const along = await vite.ssrLoadModule('/src/room/along.ts');
const eyes = await vite.ssrLoadModule('/src/room/eye.ts');
const sights = await vite.ssrLoadModule('/src/room/sights.ts');
const words = await vite.ssrLoadModule('/src/words.ts');
const rigging = await vite.ssrLoadModule('/src/rigging.ts');
const following = await vite.ssrLoadModule('/src/follow.ts');

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
    [press('h'), {}, { do: 'music', what: 'hold' }],
    [press(',', { repeat: true }), {}, { do: 'music', what: 'earlier' }],
    [press('[', { ctrlKey: true, altKey: true }), {}, { do: 'half' }],
    [press('z', { ctrlKey: true }), {}, { do: 'undo' }],
    [press('Z', { ctrlKey: true, shiftKey: true }), {}, { do: 'redo' }],
    [press('y', { ctrlKey: true }), { stage: 'cues' }, { do: 'redo' }],
    [press('z', { ctrlKey: true }), { typing: true }, null],
    [press('z', { metaKey: true }), { stage: 'tonight' }, { do: 'undo' }],
    [press('k'), {}, { do: 'keep' }],
    [press('ArrowUp', { altKey: true }), { stage: 'looks' }, { do: 'earlier' }],
    [press('ArrowDown', { altKey: true }), { stage: 'chases' }, { do: 'later' }],
    [press('ArrowDown', { altKey: true }), { stage: 'room' }, null],
    [press('7'), {}, { do: 'digit', digit: 7 }],
    [press('2', { altKey: true, code: 'Digit2' }), {}, { do: 'stage', stage: 'rig' }],
    [press('™', { altKey: true, code: 'Digit6' }), { typing: true }, { do: 'stage', stage: 'tonight' }],
    [press('ArrowUp'), {}, null],
    [press('ArrowUp'), { aiming: true }, { do: 'nudge', x: 0, y: 0.1 }],
    [press('ArrowLeft', { shiftKey: true }), { aiming: true }, { do: 'nudge', x: -0.01, y: 0 }],
    [press('q'), {}, null],
    [press('v'), {}, { do: 'way' }],
    [press('v'), { typing: true }, null],
    [press('ArrowRight'), { sighting: 'aim' }, { do: 'sight_nudge', x: 1, y: 0, step: null }],
    [press('ArrowUp', { shiftKey: true }), { sighting: 'aim', aiming: true }, { do: 'sight_nudge', x: 0, y: 1, step: 'fine' }],
    [press('ArrowLeft', { altKey: true }), { sighting: 'aim' }, { do: 'sight_nudge', x: -1, y: 0, step: 'creep' }],
    [press('ArrowDown'), { sighting: 'open', aiming: true }, null],
    [press('Enter'), { sighting: 'aim' }, { do: 'sight', what: 'on' }],
    [press('Enter'), { sighting: 'aim', onControl: true }, null],
    [press('Enter', { repeat: true }), { sighting: 'aim' }, null],
    [press('Enter'), {}, null],
    [press('u'), { sighting: 'open' }, { do: 'sight', what: 'undo' }],
    [press('n'), { sighting: 'aim' }, { do: 'sight', what: 'next' }],
    [press('n'), {}, null],
    [press('n'), { sighting: 'aim', letters: false }, null],
    [press('b'), { sighting: 'aim' }, { do: 'blackout' }],
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

// The picture's eye, brought close to places of a made-up hall, and turned by hand.
const hall = {
  room: { name: 'hall', x: [-6, 6], y: [-10, 4], height: 4.5, platforms: [], audience: [], furniture: [], marks: [], places: [] },
  units: [{ number: 1, at: [-2, -1, 3.6], rotation: [0, 0, 0, 1], size: [0.3, 0.3, 0.4], place: 'bar' }],
};
const ARROWS = [[1, 0], [-1, 0], [0, 1], [0, -1], [Math.SQRT1_2, -Math.SQRT1_2]];
const SURFACES = [
  ['floor', [1, -4, 0], [0, 0, 1]],
  ['floor at the audience end', [5, -9, 0], [0, 0, 1]],
  ['far wall', [-2.5, 4, 2.7], [0, -1, 0]],
  ['left wall', [-6, -3, 1.5], [1, 0, 0]],
  ['right wall', [6, -7, 2], [-1, 0, 0]],
  ['across a beam', [0, 2.6, 1.8], [0.2, -0.8, 0.56]],
];

function close(middle, [dx, dy], turn = 0, size = { width: 390, height: 310 }) {
  const eye = new eyes.Eye();
  eye.setScene(hall);
  eye.setSize(size.width, size.height, { left: 0, top: 36, right: 0, bottom: 44 });
  eye.setFocus({ middle, radius: 1.5, turn }, false);
  eye.orbit(dx, dy);
  return eye;
}

/** How far a place goes on the picture for a small step along `way`, pixels. */
function goes(view, at, way) {
  const from = view.project(at);
  const to = view.project(at.map((value, i) => value + way[i] * 0.002));
  return [to.x - from.x, to.y - from.y];
}

test('an arrow moves a spot along its surface straight where it points on the picture', () => {
  for (const [name, at, normal] of SURFACES) {
    for (const turned of [[0, 0], [200, 40], [-260, 120]]) {
      const eye = close(at, turned, -0.7 * (Math.abs(normal[0]) === 1 ? normal[0] : 0));
      for (const [right, down] of ARROWS) {
        const said = `${name}, turned by ${turned}, towards ${right}, ${down}`;
        const way = along.alongScreen(eye, at, normal, right, down);
        assert.ok(way, said);
        assert.ok(Math.abs(Math.hypot(...way) - 1) < 1e-9, `${said}: a unit vector`);
        const size = Math.hypot(...normal);
        assert.ok(Math.abs(way.reduce((sum, value, i) => sum + (value * normal[i]) / size, 0)) < 1e-9, `${said}: along the surface`);
        const [x, y] = goes(eye, at, way);
        const off = Math.abs(x * down - y * right) / Math.hypot(x, y);
        assert.ok(x * right + y * down > 0 && off < 0.05, `${said}: it goes ${x}, ${y}`);
      }
    }
  }
});

test('on a surface seen from its edge an arrow takes the way that comes nearest, and never the other', () => {
  // From above, the far end on top, as the plan is drawn.
  const plan = { project: ([x, y]) => ({ x: 400 + 40 * x, y: 400 - 40 * y, front: true }) };
  assert.deepEqual(along.alongScreen(plan, [0, 4, 2], [0, -1, 0], 1, 0).map((v) => Math.round(v) + 0), [1, 0, 0], 'a wall on the plan');
  assert.deepEqual(along.alongScreen(plan, [0, -2, 0], [0, 0, 1], 0, -1).map((v) => Math.round(v) + 0), [0, 1, 0], 'the floor on the plan');
  assert.equal(along.alongScreen(plan, [0, 4, 2], [0, -1, 0], 0, -1), null, 'nothing on that wall goes up the plan');
  const eye = close([0, 0, 0], [0, 0]);
  const back = eye.position();
  assert.equal(along.alongScreen(eye, [back[0], back[1] - 3, back[2] + 1], [0, 0, 1], 1, 0), null, 'behind the eye');
});

test('a spot and its mark are both in the picture, wherever they are', () => {
  const frame = { left: 0, top: 36, right: 390, bottom: 266 };
  const spots = [[0.5, -4, 0], [-5, -9, 0], [3, 3.9, 0], [5.5, -8, 0]];
  const marks = [[0, -4.6, 0], [5.9, -8.8, 1], [-2.8, 4, 2.7], [0, 2.6, 1.8]];
  for (const at of spots) {
    for (const mark of marks) {
      const from = [-2, -1, 3.6];
      const to = at.map((value, i) => value - from[i]);
      const far = Math.hypot(...to);
      const beam = { from, along: to.map((value) => value / far), spot: { at, normal: [0, 0, 1], major: [0.8, 0, 0], throw_m: far } };
      const wanted = sights.ballRound(beam, mark);
      const eye = close([0, 0, 0], [0, 0]);
      eye.setFocus(wanted, false);
      for (const point of wanted.points) {
        const shown = eye.project(point);
        const said = `${at} and ${mark}: ${JSON.stringify(shown)}`;
        assert.ok(shown.front && shown.x > frame.left && shown.x < frame.right && shown.y > frame.top && shown.y < frame.bottom, said);
      }
      assert.ok(!sights.outgrown(eye, frame, wanted, wanted), 'and then the picture stands still');
    }
  }
});

test('what did not change in a new scene stays the very same', () => {
  const before = { looks: [{ name: 'a', colours: ['#fff'] }, { name: 'b', colours: [] }], room: { x: [0, 1] }, edits: { undo: null } };
  const fresh = structuredClone(before);
  fresh.looks[1].colours.push('#000');
  const now = following.shared(before, fresh);
  assert.deepEqual(now, fresh);
  assert.equal(now.looks[0], before.looks[0]);
  assert.equal(now.room, before.room);
  assert.notEqual(now.looks, before.looks);
  assert.equal(following.shared(before, structuredClone(before)), before);
  assert.deepEqual(following.shared({ a: 1, b: 2 }, { a: 1 }), { a: 1 }, 'what went is gone');
  assert.deepEqual(following.shared([1, 2], [1]), [1]);
});

test('things are known again when they move, are renamed, come and go', () => {
  const start = following.follow(following.NOBODY, ['a', 'b', 'c']);
  assert.equal(new Set(start.ids).size, 3);
  const [a, b, c] = start.ids;
  assert.deepEqual(following.follow(start, ['c', 'a', 'b']).ids, [c, a, b]);
  assert.deepEqual(following.follow(start, ['a', 'B', 'c']).ids, [a, b, c], 'called otherwise');
  assert.deepEqual(following.follow(start, ['a', 'c']).ids, [a, c]);
  const more = following.follow(start, ['a', 'x', 'b', 'c']).ids;
  assert.deepEqual([more[0], more[2], more[3]], [a, b, c]);
  assert.ok(!start.ids.includes(more[1]), 'what is new has a number of its own');
  const twins = following.follow(following.NOBODY, ['s', 's']);
  assert.deepEqual(following.follow(twins, ['s', 's']).ids, twins.ids);
  assert.equal(new Set(twins.ids).size, 2);
});

test('a free name is found, and times are halved and doubled as they are written', () => {
  assert.equal(following.freeName('Cake', []), 'Cake');
  assert.equal(following.freeName('Cake', ['cake']), 'Cake 2');
  assert.equal(following.freeName('Cake 2', ['Cake', 'Cake 2']), 'Cake 3');
  assert.ok(following.freeName('x'.repeat(60), ['x'.repeat(60)]).length <= 60);
  assert.equal(following.scaled('4 beats', 0.5), '2 beats');
  assert.equal(following.scaled('2 beats', 0.5), '1 beat');
  assert.equal(following.scaled('1 beat', 0.5), '0.5 beats');
  assert.equal(following.scaled('1 bar', 2), '2 bars');
  assert.equal(following.scaled('2 phrases', 0.5), '1 phrase');
  assert.equal(following.scaled('2.5 s', 2), '5 s');
  assert.equal(following.scaled('soon', 2), null);
  assert.equal(following.scaled('0 s', 2), null);
});

test('addresses are read, laid out, and what collides is marked', () => {
  assert.deepEqual(rigging.addressOf('2.049'), { universe: 2, slot: 49 });
  assert.deepEqual(rigging.addressOf(' 49 ', 3), { universe: 3, slot: 49 });
  for (const none of ['', '0', '513', '1.', '1.513', 'front', '1.1.1', '-4']) assert.equal(rigging.addressOf(none), undefined, none);
  const unit = (number, address, footprint) => ({ number, address, footprint });
  const units = [unit(1, '1.001', 16), unit(2, '1.017', 16), unit(3, '1.017', 16), unit(4, '2.001', 3), unit(5, null, 8)];
  assert.deepEqual(rigging.universesOf(units), [1, 2]);
  const blocks = rigging.blocksOf(units, 1, 3);
  assert.deepEqual(blocks.map((block) => [block.from, block.to, block.label, block.kind]), [[1, 16, '1', 'there'], [17, 32, '2, 3', 'mine']]);
  const fresh = (from, to) => ({ from, to, label: 'new', kind: 'new' });
  const clashes = (more) => rigging.laid([...blocks, ...more]).filter((block) => block.clash).map((block) => block.label);
  assert.deepEqual(clashes([]), []);
  assert.deepEqual(clashes([fresh(33, 48)]), []);
  assert.deepEqual(clashes([fresh(32, 47)]), ['2, 3', 'new']);
  assert.deepEqual(clashes([fresh(500, 513)]), ['new']);
  assert.equal(rigging.mapWords(rigging.laid([...blocks, fresh(33, 34)])), 'light 1 from 1 to 16; lights 2, 3 from 17 to 32; new from 33 to 34; 478 slots are free');
});

test('where a light hangs is said in words', () => {
  const across = { from: [-3, 0, 3], to: [3, 0, 3] };
  const deep = { from: [0, -3, 3], to: [0, 3, 3] };
  assert.equal(rigging.alongWords(across, -1.211), '1.21\u00a0m left of the middle');
  assert.equal(rigging.alongWords(across, 0.5), '0.5\u00a0m right of the middle');
  assert.equal(rigging.alongWords(deep, 0.5), '0.5\u00a0m beyond the middle');
  assert.equal(rigging.alongWords(deep, -0.5), '0.5\u00a0m nearer than the middle');
  assert.equal(rigging.alongWords(undefined, 0), 'in the middle');
  assert.equal(rigging.typedNumber('1,5 m', /\s*m$/), 1.5);
  assert.equal(rigging.typedNumber('−0.5', /\s*m$/), -0.5);
  assert.equal(rigging.typedNumber('far', /\s*m$/), undefined);
  assert.equal(rigging.typedNumber('', /\s*m$/), undefined);
  assert.equal(rigging.kinds(2, 'small spot head'), '2 small spot heads');
  assert.equal(rigging.addresses(['1.049', '1.065']), 'addresses 1.049 and 1.065');
});

test('groups below 100 % are told by name, and no more of them than can be read', () => {
  const at = (name, level) => ({ name, level });
  assert.equal(words.groupsAt([at('washes', 0.4)]), 'washes at 40\u00a0%');
  assert.equal(words.groupsAt([at('washes', 0.4), at('spots', 0)]), 'washes at 40\u00a0% and spots at 0\u00a0%');
  assert.equal(words.groupsAt([at('a', 0.1), at('b', 0.2), at('c', 0.3)]), 'a at 10\u00a0%, b at 20\u00a0% and c at 30\u00a0%');
  assert.equal(words.groupsAt([at('a', 0.1), at('b', 0.2), at('c', 0.3), at('d', 0.4)]), 'a at 10\u00a0%, b at 20\u00a0% and 2 more groups below 100\u00a0%');
});
