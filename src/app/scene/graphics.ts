import type { WebGLRenderer } from 'three';

/** What the browser draws with. `software` means no graphics hardware: less is asked of it. */
export type Graphics = 'hardware' | 'software';

/** Told by the renderer's own context: a second one only to ask would cost 100 ms and more in software. */
export function graphicsOf(renderer: WebGLRenderer): Graphics {
  const gl = renderer.getContext();
  const names = gl.getExtension('WEBGL_debug_renderer_info');
  const name = String(gl.getParameter(names ? names.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name) ? 'software' : 'hardware';
}

/** Pixels drawn per CSS pixel: edges are smoothed by drawing finer, which also smooths the shading. */
export const pixelRatioFor = (kind: Graphics): number => (kind === 'software' ? 1 : 2);
