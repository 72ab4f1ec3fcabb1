import { useCallback, useId, useRef, useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { useCourseView } from '../course/courseStore.ts';
import { FollowCourse, type MovedSurface } from '../course/FollowCourse.ts';
import { DeviationLegend } from '../followup/DeviationLegend.tsx';
import { useDeviationTint } from '../followup/useDeviationMap.ts';
import { jawName } from '../format.ts';
import { MarkingKeys } from '../marking/MarkingKeys.tsx';
import { MarkingPrompt } from '../marking/MarkingPrompt.tsx';
import { CrownPanel } from '../proposal/CrownPanel.tsx';
import { useFollowUpOnShow, useShownScan } from '../state/onShow.ts';
import { useStore } from '../store.ts';
import './ArchScene.css';
import { FramePanel } from './FramePanel.tsx';
import { SceneCanvas } from './SceneCanvas.tsx';
import { SceneEngine } from './SceneEngine.ts';
import { SceneTools } from './SceneTools.tsx';
import { SectionPanel } from './SectionPanel.tsx';
import { useCrownTint } from './useCrownTint.ts';
import { FollowCase, useSceneStage } from './useSceneStage.ts';

/** The arch in 3D: looking at it from any side, marking it, cutting into it, and setting it upright. */
export function ArchScene({ jaw }: { jaw: Jaw }) {
  const hasRecord = useStore((state) => state.caseDocument.arches[jaw] !== null);
  const scan = useShownScan(jaw);
  const isLater = useFollowUpOnShow(jaw) !== null;
  const [engine] = useState(() => new SceneEngine());
  const stageRef = useRef<HTMLDivElement>(null);
  const overlayRef = useRef<HTMLCanvasElement>(null);
  const keysId = useId();
  const [failed, setFailed] = useState(() => typeof WebGL2RenderingContext === 'undefined');
  const fail = useCallback(() => setFailed(true), []);
  const { parts, commands } = useSceneStage(jaw, engine, stageRef);
  const crownTint = useCrownTint(jaw);
  const deviationTint = useDeviationTint(jaw);
  const tint = isLater ? null : (deviationTint ?? crownTint);
  const onCourse = useCourseView((state) => state.shown);
  const [moved, setMoved] = useState<MovedSurface | null>(null);

  if (failed) {
    return (
      <section className="scene scene_empty" aria-label="3D view">
        <p>
          This browser offers no WebGL 2, so the scan cannot be drawn. Tables, plan and files still work; to
          mark, open the case in a browser with WebGL 2.
        </p>
      </section>
    );
  }

  return (
    <section className="scene" aria-label={`3D view, ${jawName(jaw).toLowerCase()}`}>
      <div
        ref={stageRef}
        className="scene__stage"
        role="application"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the stage takes the marking keys
        tabIndex={0}
        aria-label={`${jawName(jaw)} in 3D. Marks are placed here.`}
        aria-describedby={keysId}
      >
        <SceneCanvas
          engine={engine}
          overlayRef={overlayRef}
          parts={parts}
          tint={tint}
          moved={moved}
          onFailure={fail}
        />
        <canvas ref={overlayRef} className="scene__overlay" />
      </div>
      <p id={keysId} className="visually-hidden">
        Tab and Shift+Tab go through the sites, Enter places or confirms, arrow keys nudge, Escape leaves
        marking; press question mark for all keys.
      </p>
      {onCourse && !isLater && <FollowCourse jaw={jaw} parts={parts} onMoved={setMoved} />}
      <FollowCase jaw={jaw} engine={engine} commands={commands} />
      {hasRecord && scan && (
        <>
          <SceneTools commands={commands} hasColors={Boolean(scan.display.colors)} isLater={isLater} />
          {moved ? (
            <p className="scene__prompt">Crowns drawn at {moved.words}. Marks are placed at stage 0.</p>
          ) : (
            <MarkingPrompt jaw={jaw} commands={commands} focusStage={() => stageRef.current?.focus()} />
          )}
          <SectionPanel />
          {!isLater && (
            <>
              <DeviationLegend jaw={jaw} engine={engine} stageRef={stageRef} />
              <CrownPanel jaw={jaw} />
              <FramePanel jaw={jaw} commands={commands} />
            </>
          )}
          <MarkingKeys />
        </>
      )}
      {hasRecord && !scan && <p className="scene__note">The scan of this arch is not on the page.</p>}
      {scan && !parts && <p className="scene__note">Preparing the surface…</p>}
    </section>
  );
}
