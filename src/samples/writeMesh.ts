/** A mesh to be written: 3 coordinates per vertex, 3 indices per face. */
export interface MeshToWrite {
  readonly positions: Float32Array;
  readonly indices: Uint32Array;
}

/** Binary STL (little-endian, 84 + 50 bytes per face) with unit normals; mm, as the file cannot say. */
export function writeStl({ positions, indices }: MeshToWrite): Uint8Array<ArrayBuffer> {
  const faceCount = indices.length / 3;
  const bytes = new Uint8Array(84 + 50 * faceCount);
  bytes.set(new TextEncoder().encode('generated sample arch, mm, binary STL'));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, faceCount, true);
  for (let f = 0; f < faceCount; f++) {
    const [a, b, c] = [indices[f * 3] * 3, indices[f * 3 + 1] * 3, indices[f * 3 + 2] * 3];
    const [ux, uy, uz] = [0, 1, 2].map((k) => positions[b + k] - positions[a + k]);
    const [vx, vy, vz] = [0, 1, 2].map((k) => positions[c + k] - positions[a + k]);
    const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const l = Math.hypot(n[0], n[1], n[2]) || 1;
    let at = 84 + 50 * f;
    for (let k = 0; k < 3; k++, at += 4) view.setFloat32(at, n[k] / l, true);
    for (const o of [a, b, c])
      for (let k = 0; k < 3; k++, at += 4) view.setFloat32(at, positions[o + k], true);
  }
  return bytes;
}

/** Binary little-endian PLY, float x y z and int vertex lists; mm. */
export function writePly({ positions, indices }: MeshToWrite): Uint8Array<ArrayBuffer> {
  const vertexCount = positions.length / 3;
  const faceCount = indices.length / 3;
  const header = new TextEncoder().encode(
    [
      'ply',
      'format binary_little_endian 1.0',
      'comment generated sample arch, mm',
      `element vertex ${vertexCount}`,
      'property float x',
      'property float y',
      'property float z',
      `element face ${faceCount}`,
      'property list uchar int vertex_indices',
      'end_header',
      '',
    ].join('\n'),
  );
  const bytes = new Uint8Array(header.length + 12 * vertexCount + 13 * faceCount);
  bytes.set(header);
  const view = new DataView(bytes.buffer);
  let at = header.length;
  for (let i = 0; i < positions.length; i++, at += 4) view.setFloat32(at, positions[i], true);
  for (let f = 0; f < faceCount; f++) {
    bytes[at++] = 3;
    for (let k = 0; k < 3; k++, at += 4) view.setInt32(at, indices[f * 3 + k], true);
  }
  return bytes;
}
