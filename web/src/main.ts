import './app.css';
import { mount } from 'svelte';
import App from './App.svelte';

const target = document.getElementById('page');
if (!target) throw new Error('the page has no place to draw itself');
mount(App, { target });
