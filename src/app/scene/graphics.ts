/** What the browser draws with. `software` means no graphics hardware: less is asked of it. */
export type Graphics = 'hardware' | 'software' | 'none';

let known: Graphics | null = null;

/** Looked up once: a throw-away context tells the renderer's name. */
export function graphics(): Graphics {
  if (known) return known;
  const gl = document.createElement('canvas').getContext('webgl2');
  if (!gl) {
    known = 'none';
    return known;
  }
  const names = gl.getExtension('WEBGL_debug_renderer_info');
  const renderer = String(gl.getParameter(names ? names.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  gl.getExtension('WEBGL_lose_context')?.loseContext();
  known = /swiftshader|llvmpipe|softpipe|software|basic render/i.test(renderer) ? 'software' : 'hardware';
  return known;
}
