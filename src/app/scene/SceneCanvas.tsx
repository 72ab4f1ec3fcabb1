import { Canvas } from '@react-three/fiber';
import { memo, type RefObject } from 'react';
import { WebGLRenderer } from 'three';
import type { MovedSurface } from '../course/FollowCourse.ts';
import type { DisplayParts } from './displayParts.ts';
import { EngineBinding } from './EngineBinding.tsx';
import { graphicsOf, pixelRatioFor } from './graphics.ts';
import { ScanSurface } from './ScanSurface.tsx';
import type { SceneEngine } from './SceneEngine.ts';
import { useScene } from './sceneStore.ts';

/** Fiber's canvas with the surface in it; rendered again only for another surface, not for another mark. */
export const SceneCanvas = memo(function SceneCanvas({
  engine,
  overlayRef,
  parts,
  tint,
  moved,
  onFailure,
}: {
  engine: SceneEngine;
  overlayRef: RefObject<HTMLCanvasElement | null>;
  parts: DisplayParts | null;
  tint: Uint8Array | null;
  moved: MovedSurface | null;
  onFailure: () => void;
}) {
  const relief = useScene((state) => state.relief);
  const scanColors = useScene((state) => state.scanColors);
  return (
    <Canvas
      frameloop="demand"
      dpr={1}
      flat
      gl={(defaults) => {
        try {
          return new WebGLRenderer({
            ...defaults,
            antialias: false,
            alpha: false,
            preserveDrawingBuffer: true,
            powerPreference: 'high-performance',
          });
        } catch (error) {
          onFailure();
          throw error;
        }
      }}
      onCreated={({ gl, setDpr }) => {
        const kind = graphicsOf(gl);
        setDpr(pixelRatioFor(kind));
        engine.glides = kind === 'hardware' && !matchMedia('(prefers-reduced-motion: reduce)').matches;
        gl.localClippingEnabled = true;
        // The shader is ours and fixed; asking for its log makes the page wait for the compiler.
        gl.debug.checkShaderErrors = import.meta.env.DEV;
      }}
    >
      <EngineBinding engine={engine} overlayRef={overlayRef} />
      {parts && (
        <ScanSurface
          parts={parts}
          engine={engine}
          relief={relief}
          scanColors={scanColors}
          tint={tint}
          moved={moved}
        />
      )}
    </Canvas>
  );
});
