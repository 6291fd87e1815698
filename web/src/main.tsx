import './fonts.css';
import './page.css';
import './sighting.css';
import { render } from 'solid-js/web';
import { App } from './App';
import { connect } from './link';
import { receive, sendBy, setTouch } from './state';

const page = document.getElementById('page');
if (page) {
  setTouch(false);
  const link = connect({ message: receive, touch: setTouch });
  sendBy(link.send);
  render(() => <App />, page);
}
