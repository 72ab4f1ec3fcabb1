import { Canvas } from '@react-three/fiber';
import { memo, type RefObject } from 'react';
import type { DisplayParts } from './displayParts.ts';
import { EngineBinding } from './EngineBinding.tsx';
import type { Graphics } from './graphics.ts';
import { ScanSurface } from './ScanSurface.tsx';
import type { SceneEngine } from './SceneEngine.ts';
import { useScene } from './sceneStore.ts';

/** Fiber's canvas with the surface in it; rendered again only for another surface, not for another mark. */
export const SceneCanvas = memo(function SceneCanvas({
  engine,
  overlayRef,
  parts,
  kind,
}: {
  engine: SceneEngine;
  overlayRef: RefObject<HTMLCanvasElement | null>;
  parts: DisplayParts | null;
  kind: Graphics;
}) {
  const relief = useScene((state) => state.relief);
  const scanColors = useScene((state) => state.scanColors);
  return (
    <Canvas
      frameloop="demand"
      dpr={kind === 'software' ? 1 : [1, 2]}
      flat
      gl={{
        antialias: kind === 'hardware',
        alpha: false,
        preserveDrawingBuffer: true,
        powerPreference: 'high-performance',
      }}
      onCreated={({ gl }) => {
        gl.localClippingEnabled = true;
        // The shader is ours and fixed; asking for its log makes the page wait for the compiler.
        gl.debug.checkShaderErrors = import.meta.env.DEV;
      }}
    >
      <EngineBinding engine={engine} overlayRef={overlayRef} />
      {parts && <ScanSurface parts={parts} engine={engine} relief={relief} scanColors={scanColors} />}
    </Canvas>
  );
});
