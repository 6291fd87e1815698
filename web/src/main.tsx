import './fonts.css';
import './page.css';
import './sighting.css';
import './door.css';
import { render } from 'solid-js/web';
import { App } from './App';
import { firstKnock } from './door';
import { connect } from './link';
import { receive, sendBy, setTouch } from './state';

const page = document.getElementById('page');
if (page) {
  setTouch(false);
  const link = connect({ message: receive, touch: setTouch, firstKnock });
  sendBy(link.send, link.knock);
  render(() => <App />, page);
}
