import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';

export default defineConfig({
  base: './',
  plugins: [react()],
  worker: { format: 'es' },
  optimizeDeps: { exclude: ['highs'] }, // it finds its WebAssembly beside itself
  build: { target: 'es2022', sourcemap: false, chunkSizeWarningLimit: 2500 },
  preview: { port: 4173, strictPort: false },
});
