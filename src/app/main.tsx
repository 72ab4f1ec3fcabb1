import './design/tokens.css';
import './design/base.css';
import './design/controls.css';
import './design/panels.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { openFirstDemo, shippedScan } from './files/samples.ts';
import { startSession } from './files/session.ts';

const root = document.getElementById('root');
if (!root) throw new Error('main: got no #root element, need the one of index.html.');
createRoot(root).render(
  <StrictMode>
    <App />
  </StrictMode>,
);
void startSession(openFirstDemo, shippedScan);
