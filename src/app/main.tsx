import './design/tokens.css';
import './design/base.css';
import './design/controls.css';
import './design/panels.css';
import { StrictMode } from 'react';
import { I18nProvider } from 'react-aria-components';
import { createRoot } from 'react-dom/client';
import { App } from './App.tsx';
import { takeDecimalComma } from './design/decimalComma.ts';
import { openFirstDemo, shippedScan } from './files/samples.ts';
import { startSession } from './files/session.ts';
import { tellFaults } from './files/tellFaults.ts';
import { keepForOffline, takeWaitingVersion } from './offline/pageVersion.ts';

const root = document.getElementById('root');
if (!root) throw new Error('main: got no #root element, need the one of index.html.');
tellFaults();
if (!(await takeWaitingVersion())) {
  takeDecimalComma(document);
  createRoot(root).render(
    <StrictMode>
      {/* Numbers read the same in every browser: 0.30 in fields as in texts. */}
      <I18nProvider locale="en-GB">
        <App />
      </I18nProvider>
    </StrictMode>,
  );
  // Fetched beside the case, not after it, once the page is drawn; a failure is told where the arch is shown.
  requestAnimationFrame(() => setTimeout(() => import('./scene/ArchScene.tsx').catch(() => {})));
  await startSession(openFirstDemo, shippedScan);
  void keepForOffline(); // last, so that it takes nothing from what the user waits for
}
