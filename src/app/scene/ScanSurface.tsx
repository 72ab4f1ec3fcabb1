import { useEffect, useMemo, useRef } from 'react';
import { BufferAttribute, BufferGeometry, Sphere, Vector3 } from 'three';
import type { MovedSurface } from '../course/FollowCourse.ts';
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
  moved,
}: {
  parts: DisplayParts;
  engine: SceneEngine;
  relief: boolean;
  scanColors: boolean;
  /** Crowns as vertex colours, see crownTint; null to leave the surface plain. */
  tint: Uint8Array | null;
  /** Crowns drawn away from where they were scanned; null to draw the surface as it is. */
  moved: MovedSurface | null;
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
  const crowns = moved?.crowns ?? null;
  const whole = useMemo(() => geometries.map((geometry) => geometry.getIndex()), [geometries]);
  const apart = useMemo(
    () =>
      crowns && {
        crown: new BufferAttribute(crowns.crownOf, 1),
        indices: crowns.indices.map((list) => new BufferAttribute(list, 1)),
      },
    [crowns],
  );
  const seams = useMemo(
    () => apart && crowns && seamGeometry(parts, apart.crown, crowns.seams),
    [parts, apart, crowns],
  );
  useEffect(() => () => seams?.dispose(), [seams]);
  useMemo(() => {
    geometries.forEach((geometry, i) => {
      if (apart) geometry.setAttribute('crown', apart.crown);
      geometry.setIndex(apart?.indices[i] ?? whole[i]);
    });
  }, [geometries, whole, apart]);
  const matrices = moved?.matrices ?? null;
  const latest = useRef(matrices);
  latest.current = matrices;
  const isMoved = moved !== null;
  const material = useMemo(() => {
    const made = scanMaterial(colored, tinted, isMoved ? latest.current : null);
    made.clippingPlanes = engine.clippingPlanes;
    return made;
  }, [colored, tinted, isMoved, engine]);
  const seamMaterial = useMemo(() => {
    if (!isMoved) return null;
    const made = scanMaterial(false, false, latest.current, true);
    made.clippingPlanes = engine.clippingPlanes;
    return made;
  }, [isMoved, engine]);
  useEffect(() => () => seamMaterial?.dispose(), [seamMaterial]);
  useEffect(() => {
    for (const made of [material, seamMaterial])
      if (matrices && made?.uniforms.crownMoves) made.uniforms.crownMoves.value = matrices;
    engine.setMoves(moved?.moves ?? null);
  }, [material, seamMaterial, matrices, moved, engine]);
  useEffect(() => () => engine.setMoves(null), [engine]);

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

  return (
    <>
      {geometries.map((geometry) => (
        <mesh
          key={geometry.id}
          geometry={geometry}
          material={material}
          frustumCulled={!isMoved}
          dispose={null}
        />
      ))}
      {seams && seamMaterial && (
        <mesh geometry={seams} material={seamMaterial} frustumCulled={false} dispose={null} />
      )}
    </>
  );
}

/** The faces between two crowns, by themselves. */
function seamGeometry(parts: DisplayParts, crown: BufferAttribute, seams: Uint32Array): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(parts.positions, 3));
  geometry.setAttribute('normal', new BufferAttribute(parts.normals, 3));
  geometry.setAttribute('cavity', new BufferAttribute(parts.cavity, 1));
  geometry.setAttribute('crown', crown);
  geometry.setIndex(new BufferAttribute(seams, 1));
  return geometry;
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
