import { createHash } from 'node:crypto';
import react from '@vitejs/plugin-react';
import { defineConfig, type Plugin } from 'vite';
import { VitePWA } from 'vite-plugin-pwa';

/**
 * Style elements that libraries write into the page, to the letter: React Aria's for what can be pressed and for dialogs
 * on iOS, Plot's for its own plots. Any other is refused; tests/e2e/policy.spec.ts fails where a library changes one.
 */
const STYLES_WRITTEN = [
  `@layer {
  [data-react-aria-pressable] {
    touch-action: pan-x pan-y pinch-zoom;
  }
}`,
  `@layer {
  * {
    overscroll-behavior: contain;
  }
}`,
  `:where(.plot-d6a7b5) {
  --plot-background: white;
  display: block;
  height: auto;
  height: intrinsic;
  max-width: 100%;
}
:where(.plot-d6a7b5 text),
:where(.plot-d6a7b5 tspan) {
  white-space: pre;
}`,
];

const hashOf = (text: string): string => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

/**
 * What the page may load and run: its own files. WebAssembly is compiled for the solver and the simplified mesh; blob
 * and data addresses are pictures made on the page. Styles set through the DOM's own properties need no leave.
 */
const POLICY = [
  "default-src 'self'",
  "script-src 'self' 'wasm-unsafe-eval'",
  `style-src 'self' ${STYLES_WRITTEN.map(hashOf).join(' ')}`,
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "worker-src 'self'",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
].join('; ');

/** The policy in the built page itself, so that it holds wherever the page is served from. */
const policyInPage: Plugin = {
  name: 'archledger-policy',
  apply: 'build', // the dev server needs inline scripts
  transformIndexHtml: () => [
    {
      tag: 'meta',
      attrs: { 'http-equiv': 'Content-Security-Policy', content: POLICY },
      injectTo: 'head-prepend',
    },
  ],
};

/** The whole page with its workers and samples is kept for use without network; the largest is a sample of 5 MB. */
const LARGEST_KEPT_BYTES = 8 * 2 ** 20;

const offline = VitePWA({
  strategies: 'generateSW',
  registerType: 'prompt', // a new version is offered in words, see src/app/offline
  injectRegister: false,
  includeManifestIcons: false, // taken by the patterns below
  manifest: {
    id: './',
    name: 'Archledger',
    short_name: 'Archledger',
    description:
      'Measures a dental arch on a surface scan and accounts for every tenth of a millimetre of space.',
    lang: 'en',
    start_url: './',
    scope: './',
    display: 'standalone',
    theme_color: '#1b2130',
    background_color: '#f7f4ec',
    icons: [
      { src: 'icons/icon.svg', sizes: 'any', type: 'image/svg+xml' },
      { src: 'icons/icon-192.png', sizes: '192x192', type: 'image/png' },
      { src: 'icons/icon-512.png', sizes: '512x512', type: 'image/png' },
      { src: 'icons/icon-maskable-512.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
    ],
  },
  workbox: {
    globPatterns: ['**/*.{html,js,css,wasm,json,ply,stl,svg,png}'],
    maximumFileSizeToCacheInBytes: LARGEST_KEPT_BYTES,
    navigateFallback: null, // other pages of the same address are none of ours
    cleanupOutdatedCaches: true,
    clientsClaim: true, // the first visit can go on without network too
    skipWaiting: false,
    inlineWorkboxRuntime: true,
    sourcemap: false,
  },
});

export default defineConfig({
  base: './',
  publicDir: 'src/app/public',
  plugins: [react(), policyInPage, offline],
  worker: { format: 'es' },
  optimizeDeps: { exclude: ['highs'] }, // it finds its WebAssembly beside itself
  build: { target: 'es2022', sourcemap: false, chunkSizeWarningLimit: 2500 },
  preview: {
    port: 4173,
    strictPort: false,
    // A worker has the policy of its own answer, not of the page.
    headers: {
      'Content-Security-Policy': `${POLICY}; frame-ancestors 'none'`,
      'X-Content-Type-Options': 'nosniff',
      'Referrer-Policy': 'no-referrer',
    },
  },
});
