import { useEffect, useMemo } from 'react';
import { BufferAttribute, BufferGeometry, Sphere, Vector3 } from 'three';
import type { DisplayParts } from './displayParts.ts';
import type { SceneEngine } from './SceneEngine.ts';
import { scanMaterial } from './scanMaterial.ts';

/** The scan's surface as three.js meshes, one per block of space; frees what it made. */
export function ScanSurface({
  parts,
  engine,
  relief,
  scanColors,
  tint,
}: {
  parts: DisplayParts;
  engine: SceneEngine;
  relief: boolean;
  scanColors: boolean;
  /** Crowns as vertex colours, see crownTint; null to leave the surface plain. */
  tint: Uint8Array | null;
}) {
  const geometries = useMemo(() => blockGeometries(parts), [parts]);
  const colored = scanColors && parts.colors !== null;
  const tinted = tint !== null && tint.length / 4 === parts.positions.length / 3;
  useMemo(() => {
    if (!tinted) return;
    const known = geometries[0]?.getAttribute('crownTint') as BufferAttribute | undefined;
    if (known) {
      known.copyArray(tint);
      known.needsUpdate = true;
      return;
    }
    const attribute = new BufferAttribute(tint.slice(), 4, true);
    for (const geometry of geometries) geometry.setAttribute('crownTint', attribute);
  }, [geometries, tint, tinted]);
  const material = useMemo(() => {
    const made = scanMaterial(colored, tinted);
    made.clippingPlanes = engine.clippingPlanes;
    return made;
  }, [colored, tinted, engine]);

  useEffect(() => {
    engine.redraw();
    return () => {
      for (const geometry of geometries) geometry.dispose();
    };
  }, [geometries, engine]);
  useEffect(() => {
    engine.redraw();
    return () => material.dispose();
  }, [material, engine]);
  useEffect(() => {
    material.uniforms.relief.value = relief ? 1 : 0;
    engine.redraw();
  }, [material, relief, engine]);

  return geometries.map((geometry) => (
    <mesh key={geometry.id} geometry={geometry} material={material} dispose={null} />
  ));
}

function blockGeometries(parts: DisplayParts): readonly BufferGeometry[] {
  const position = new BufferAttribute(parts.positions, 3);
  const normal = new BufferAttribute(parts.normals, 3);
  const cavity = new BufferAttribute(parts.cavity, 1);
  const scanColor = parts.colors ? new BufferAttribute(parts.colors, 3, true) : null;
  return parts.blocks.map((block) => {
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', position);
    geometry.setAttribute('normal', normal);
    geometry.setAttribute('cavity', cavity);
    if (scanColor) geometry.setAttribute('scanColor', scanColor);
    geometry.setIndex(new BufferAttribute(block.indices, 1));
    geometry.boundingSphere = new Sphere(new Vector3(...block.centreMm), block.radiusMm);
    return geometry;
  });
}
