import { render } from 'preact';
import { App } from './app';
import { connect } from './live/connection';
import { soundCountdowns } from './live/sound';
import { startDrawLog } from './run/draw-log';

if (new URLSearchParams(location.hash.slice(1)).has('drawlog')) startDrawLog();
connect();
soundCountdowns();
render(<App />, document.getElementById('app')!);
