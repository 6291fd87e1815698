import { RoomView, type Way } from '../src/room/view';
import { aim, crowd, moment, scene } from './mock';

// ?look=dance|supper|cake|gobo|one|dark &view=plan|front|side|rig &bare (no people) &theme=amber &select=2 &left=500 &top=60 &bottom=60 &time=7 (stands still) &crowd (sixty lights) &card (as with a graphics card)
const query = new URLSearchParams(location.search);
const number = (name: string, otherwise: number) => Number(query.get(name) ?? otherwise);
const canvas = document.getElementById('room') as HTMLCanvasElement;
if (query.has('crowd')) crowd();
let chosen: number[] = query.has('select') ? (query.get('select') ?? '').split(',').map(Number) : [];

const view = new RoomView(canvas, {
  onPick(unit, additive) {
    chosen = unit === null ? [] : additive ? [...chosen, unit] : [unit];
    view.setSelection(chosen);
  },
  onAim: (unit, at) => aim(unit, at),
}, { card: query.has('card') });
view.setTheme(query.get('theme') === 'amber' ? 'amber' : 'neutral');
view.setInsets({ left: number('left', 0), top: number('top', 0), right: number('right', 0), bottom: number('bottom', 0) });
view.setScene(scene());
view.setView((query.get('view') ?? 'evening') as Way);
if (query.has('bare')) view.setFigures(false);
view.setSelection(chosen);
const started = performance.now();
const tell = () => {
  const still = query.get('time');
  view.setMoment(moment(still ? Number(still) : (performance.now() - started) / 1000, query.get('look') ?? 'dance'));
};
tell();
setInterval(tell, 33);
addEventListener('resize', () => view.resize());
Object.assign(window, { view });
