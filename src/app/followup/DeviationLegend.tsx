import { type RefObject, useEffect, useRef } from 'react';
import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { IconButton, Segments } from '../design/controls.tsx';
import { CloseIcon } from '../design/icons.tsx';
import { signed } from '../format.ts';
import type { SceneEngine } from '../scene/SceneEngine.ts';
import { useScanOf } from '../store.ts';
import './deviation.css';
import { REACH_MM, scaleGradient } from './deviationScale.ts';
import { hideDeviation, setDeviationKind, useDeviation } from './deviationStore.ts';
import { useShownDistances } from './useDeviationMap.ts';

const TICKS = [-1, -0.5, 0, 0.5, 1];
const AWAY = 'Point at the surface to read it.';

/** What the colours over the scan mean, the distance under the pointer, and how the scans are laid over each other. */
export function DeviationLegend({
  jaw,
  engine,
  stageRef,
}: {
  jaw: Jaw;
  engine: SceneEngine;
  stageRef: RefObject<HTMLDivElement | null>;
}) {
  const kind = useDeviation((state) => state.kind);
  const distancesMm = useShownDistances(jaw);
  const reading = useRef<HTMLOutputElement>(null);
  useReading(jaw, engine, stageRef, distancesMm, reading);
  if (!distancesMm) return null;
  const reachMm = REACH_MM[kind];
  return (
    <Group className="scene__panel deviation" aria-label="Distances from the later scan">
      <div className="deviation__head">
        <p className="deviation__title">Later scan to the first, mm</p>
        <IconButton small label="Close the map of distances" onPress={hideDeviation}>
          <CloseIcon />
        </IconButton>
      </div>
      <Segments
        small
        label="How the later scan is laid over the first"
        choices={[
          { id: 'eachTooth', label: 'Each tooth' },
          { id: 'wholeArch', label: 'Whole arch' },
        ]}
        value={kind}
        onChange={setDeviationKind}
      />
      <div className="deviation__scale" style={{ background: scaleGradient() }} aria-hidden="true" />
      <div className="deviation__ticks num" aria-hidden="true">
        {TICKS.map((share) => (
          <span key={share}>{share === 0 ? '0' : signed(share * reachMm, reachMm < 1 ? 1 : 2)}</span>
        ))}
      </div>
      <p className="deviation__words">
        <span>inside{kind === 'eachTooth' && ': gone'}</span>
        <span>outside</span>
      </p>
      <output ref={reading} className="deviation__reading num" aria-live="off">
        {AWAY}
      </output>
    </Group>
  );
}

/** The distance at the pointer, written past React so that moving the pointer renders nothing. */
function useReading(
  jaw: Jaw,
  engine: SceneEngine,
  stageRef: RefObject<HTMLDivElement | null>,
  distancesMm: Float32Array | null,
  reading: RefObject<HTMLOutputElement | null>,
): void {
  const scan = useScanOf(jaw);
  useEffect(() => {
    const stage = stageRef.current;
    if (!stage || !scan || !distancesMm) return;
    const { index, mesh } = scan;
    const read = (event: PointerEvent): void => {
      const to = reading.current;
      if (!to) return;
      const box = stage.getBoundingClientRect();
      const at = engine.pick([event.clientX - box.left, event.clientY - box.top]);
      const hit = at && index.closestPoint(at);
      if (!hit) {
        to.textContent = AWAY;
        return;
      }
      const { positions: p, indices } = mesh;
      let [mm, least] = [Number.NaN, Infinity];
      for (let k = 0; k < 3; k++) {
        const v = indices[3 * hit.faceIndex + k];
        const [x, y, z] = hit.pointMm;
        const off = Math.hypot(p[3 * v] - x, p[3 * v + 1] - y, p[3 * v + 2] - z);
        if (off < least) [least, mm] = [off, distancesMm[v]];
      }
      to.textContent = Number.isNaN(mm) ? 'Here: nothing to compare' : `Here: ${signed(mm)}\u00a0mm`;
    };
    stage.addEventListener('pointermove', read);
    return () => stage.removeEventListener('pointermove', read);
  }, [scan, distancesMm, engine, stageRef, reading]);
}
