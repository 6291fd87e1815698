// The panels with a made-up machine behind them, for working on the page without one: open /dev/panels.html.
import '../src/fonts.css';
import '../src/page.css';
import '../src/sighting.css';
import '../src/making.css';
import '../src/rigging.css';
import '../src/music.css';
import '../src/score.css';
import { render } from 'solid-js/web';
import { App } from '../src/App';
import { hear, touch } from '../src/hear';
import { sendBy } from '../src/state';
import { Machine } from './machine';

const machine = new Machine(hear, touch);
sendBy((intent) => machine.take(intent), () => false);
hear({ type: 'admitted', role: 'make', own: true, token: null });
const page = document.getElementById('page');
if (page) render(() => <App />, page);
machine.start();
// For a look at the page without touch: `lanthornMachine.lose()` in the console.
Object.assign(window, { lanthornMachine: machine });
