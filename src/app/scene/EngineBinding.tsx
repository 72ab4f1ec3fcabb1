import { useFrame, useThree } from '@react-three/fiber';
import { type RefObject, useEffect } from 'react';
import type { SceneEngine } from './SceneEngine.ts';

/** Lets the engine draw in fiber's canvas: fiber keeps context, size and frame clock, the engine draws. */
export function EngineBinding({
  engine,
  overlayRef,
}: {
  engine: SceneEngine;
  overlayRef: RefObject<HTMLCanvasElement | null>;
}) {
  const renderer = useThree((state) => state.gl);
  const scene = useThree((state) => state.scene);
  const size = useThree((state) => state.size);
  const invalidate = useThree((state) => state.invalidate);

  useEffect(() => {
    const overlay = overlayRef.current;
    if (!overlay) return;
    return engine.attach({ renderer, scene, overlay, invalidate: () => invalidate() });
  }, [engine, renderer, scene, invalidate, overlayRef]);
  useEffect(() => engine.setSize(size.width, size.height), [engine, size.width, size.height]);
  // A priority above 0 takes the drawing over from fiber.
  useFrame(() => engine.frame(), 1);
  return null;
}
