import './fonts.css';
import { render } from 'solid-js/web';

const page = document.getElementById('page');
if (page) render(() => <p>Lanthorn</p>, page);
