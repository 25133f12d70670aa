import './style/fonts.css';
import './style/tokens.css';
import './style/page.css';

import { mount } from 'svelte';

import App from './App.svelte';

const target = document.getElementById('page');
if (target === null) throw new Error('index.html has no place for the page');
mount(App, { target });
