import { Color, DoubleSide, ShaderMaterial, Vector3 } from 'three';

const vertexShader = /* glsl */ `
#include <common>
#include <clipping_planes_pars_vertex>
attribute float cavity;
#ifdef SCAN_COLORS
attribute vec3 scanColor;
varying vec3 vScanColor;
#endif
#ifdef CROWN_TINT
attribute vec4 crownTint;
varying vec4 vCrownTint;
#endif
#ifdef CROWN_MOVES
attribute float crown;
uniform mat4 crownMoves[CROWN_MOVES];
#endif
varying vec3 vNormal;
varying float vCavity;
void main() {
  #include <begin_vertex>
  vec3 ownNormal = normal;
  #ifdef CROWN_MOVES
  mat4 crownMove = crownMoves[int(crown + 0.5)];
  transformed = (crownMove * vec4(transformed, 1.0)).xyz;
  ownNormal = mat3(crownMove) * normal;
  #endif
  #include <project_vertex>
  #include <clipping_planes_vertex>
  vNormal = normalMatrix * ownNormal;
  vCavity = cavity;
  #ifdef SCAN_COLORS
  vScanColor = scanColor;
  #endif
  #ifdef CROWN_TINT
  vCrownTint = crownTint;
  #endif
}
`;

const fragmentShader = /* glsl */ `
#include <common>
#include <clipping_planes_pars_fragment>
uniform vec3 surfaceColor;
uniform vec3 insideColor;
uniform vec3 keyDirection;
uniform float relief;
#ifdef SCAN_COLORS
varying vec3 vScanColor;
#endif
#ifdef CROWN_TINT
varying vec4 vCrownTint;
#endif
varying vec3 vNormal;
varying float vCavity;
void main() {
  #include <clipping_planes_fragment>
  vec3 n = normalize(vNormal);
  vec3 base = surfaceColor;
  #ifdef SCAN_COLORS
  base = pow(vScanColor, vec3(2.2));
  #endif
  #ifdef CROWN_TINT
  base = base * (1.0 - vCrownTint.a) + vCrownTint.rgb;
  #endif
  #ifdef SEAM
  base = insideColor * 0.35;
  #endif
  if (!gl_FrontFacing) { n = -n; base = insideColor; }
  float key = max(0.0, dot(n, keyDirection));
  float fill = 0.5 + 0.5 * dot(n, normalize(vec3(0.75, -0.45, 0.5)));
  float face = max(0.0, n.z);
  float groove = clamp(vCavity, 0.0, 1.0) * relief;
  float ridge = clamp(-vCavity, 0.0, 1.0) * relief;
  vec3 light = vec3(0.10, 0.11, 0.13) + key * vec3(0.80, 0.77, 0.72) + fill * vec3(0.13, 0.15, 0.19);
  light *= 0.45 + 0.55 * face;
  vec3 shade = base * light * (1.0 - 0.62 * groove) + ridge * 0.05 * key;
  float shine = pow(max(0.0, dot(n, normalize(keyDirection + vec3(0.0, 0.0, 1.0)))), 42.0);
  if (gl_FrontFacing) shade += shine * 0.10;
  gl_FragColor = vec4(shade, 1.0);
  #include <colorspace_fragment>
}
`;

/**
 * The scan's surface: lit from the upper left of the page whatever the pose, grooves darkened by `cavity` so
 * that embrasures and margins read; the inside of the shell is tinted, so a cut shows which side is which. With
 * `moves`, a matrix for each crown (see moveMatrices), crowns are drawn moved; `asSeam`: dark, between moved crowns.
 */
export function scanMaterial(
  withScanColors: boolean,
  withCrowns = false,
  moves: Float32Array | null = null,
  asSeam = false,
): ShaderMaterial {
  return new ShaderMaterial({
    vertexShader,
    fragmentShader,
    defines: {
      ...(withScanColors ? { SCAN_COLORS: '' } : {}),
      ...(asSeam ? { SEAM: '' } : {}),
      ...(moves ? { CROWN_MOVES: String(moves.length / 16) } : {}),
      ...(withCrowns ? { CROWN_TINT: '' } : {}),
    },
    uniforms: {
      surfaceColor: { value: new Color('#e9e0d0') },
      insideColor: { value: new Color('#8a6f78') },
      keyDirection: { value: new Vector3(-0.42, 0.5, 0.76).normalize() },
      relief: { value: 1 },
      ...(moves ? { crownMoves: { value: moves } } : {}),
    },
    side: DoubleSide,
    clipping: true,
  });
}
