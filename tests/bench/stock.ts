import type { BufferGeometry } from 'three';
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js';
import { mergeVertices } from 'three/examples/jsm/utils/BufferGeometryUtils.js';
import { CENTER, MeshBVH } from 'three-mesh-bvh';

/** The stock way from the bytes of an STL to a mesh that can be picked. */
export function stockLoad(bytes: Uint8Array): MeshBVH {
  return stockIndex(stockWeld(bytes));
}

/** Parsed and welded; the normal attribute is deleted first, or the loader's flat normals keep corners apart. */
export function stockWeld(bytes: Uint8Array): BufferGeometry {
  const loaded = new STLLoader().parse(bytes.buffer as ArrayBuffer);
  loaded.deleteAttribute('normal');
  return mergeVertices(loaded);
}

/** Normals and tree. */
export function stockIndex(geometry: BufferGeometry): MeshBVH {
  geometry.computeVertexNormals();
  return new MeshBVH(geometry, { strategy: CENTER });
}
