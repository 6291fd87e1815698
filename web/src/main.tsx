import './fonts.css';
import './page.css';
import './sighting.css';
import './setup.css';
import './door.css';
import './making.css';
import './rigging.css';
import './keys.css';
import './past.css';
import './music.css';
import './score.css';
import './begin.css';
import './charts.css';
import { render } from 'solid-js/web';
import { App } from './App';
import { firstKnock } from './door';
import { hear, touch } from './hear';
import { connect } from './link';
import { sendBy } from './state';

const page = document.getElementById('page');
if (page) {
  touch(false);
  const link = connect({ message: hear, touch, firstKnock });
  sendBy(link.send, link.knock);
  render(() => <App />, page);
}
