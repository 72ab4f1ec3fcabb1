import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import { findArchFrame } from '../../core/arch/findArchFrame.ts';
import { frameFromThreePoints } from '../../core/arch/frameFromThreePoints.ts';
import { type FrameAxis, turnFrame } from '../../core/arch/turnFrame.ts';
import { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { mix, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import { activeMarks } from '../state/archEdits.ts';
import { shownArchOf } from '../state/onShow.ts';
import { actions, type SiteRef, useStore } from '../store.ts';
import { archExtent, outwardAt, placeOfSite } from './archPlaces.ts';
import {
  type CoveredEdges,
  clearOf,
  closeUpView,
  fittedView,
  orbited,
  panned,
  rolled,
  USUAL_EDGES,
  type ViewName,
  viewDirections,
  zoomed,
} from './cameraView.ts';
import type { DisplayParts } from './displayParts.ts';
import type { SceneEngine } from './SceneEngine.ts';
import { setScene, useScene } from './sceneStore.ts';
import { type SectionPlace, sectionDirections, sectionPlane } from './sectionPlane.ts';

/** What buttons and keys can do to the scene. */
export interface SceneCommands {
  readonly showView: (name: ViewName) => void;
  readonly fit: () => void;
  readonly closeUp: (site: SiteRef) => void;
  /** Close-up of the contact that is selected and drawn. */
  readonly closeUpContact: () => void;
  readonly orbit: (dxRad: number, dyRad: number) => void;
  readonly roll: (angleRad: number) => void;
  readonly pan: (dxPx: number, dyPx: number) => void;
  readonly zoom: (factor: number) => void;
  readonly setFlat: (flat: boolean) => void;
  readonly toggleSection: () => void;
  /** Puts the cut where the selection is, or takes it away. */
  readonly refreshSection: (look: boolean) => void;
  readonly startFrameTool: (tool: 'turn-frame' | 'three-points') => void;
  readonly endFrameTool: () => void;
  readonly turnFrameBy: (axis: FrameAxis, angleRad: number) => void;
  readonly pickFramePoint: (pointMm: Vec3) => void;
  readonly resetFrame: () => void;
}

const CLOSE_UP_SPAN_MM = 19;
const GUESS_SPAN_MM = 30;
const CLOSE_UP_TILT_RAD = 0.42;
const SECTION_SPAN_MM = 16;

export function sceneCommands(
  jaw: Jaw,
  engine: SceneEngine,
  parts: () => DisplayParts | null,
  coveredEdges: () => CoveredEdges = () => USUAL_EDGES,
): SceneCommands {
  const record = () => shownArchOf(jaw);
  let picked: Vec3[] = [];

  const extentOf = (frame: ArchFrame) => archExtent(parts()?.samples ?? new Float32Array(0), frame);
  const middlePx = (): Vec2 => [engine.viewport.widthPx / 2, engine.viewport.heightPx / 2];

  function showView(name: ViewName): void {
    const frame = record()?.frame;
    const shown = parts();
    if (!frame || !shown) return;
    setScene({ view: name });
    const directions = viewDirections(name, frame, jaw);
    engine.goTo(fittedView(directions, shown.samples, engine.viewport, coveredEdges()));
  }

  function fit(): void {
    const shown = parts();
    if (!shown) return;
    engine.goTo(fittedView(engine.destination, shown.samples, engine.viewport, coveredEdges()));
  }

  function closeUp(site: SiteRef): void {
    const arch = record();
    if (!arch || !parts()) return;
    const extent = extentOf(arch.frame);
    const place = placeOfSite(site.tooth, site.site, activeMarks(arch), arch.frame, jaw, extent);
    nearTo(arch.frame, place.pointMm, place.exact ? CLOSE_UP_SPAN_MM : GUESS_SPAN_MM);
  }

  function closeUpContact(): void {
    const frame = record()?.frame;
    const points = engine.content?.contact?.pointsMm;
    if (frame && points && parts()) nearTo(frame, mix(...points, 0.5), CLOSE_UP_SPAN_MM);
  }

  /** Goes near a point, tilted outward; a nearer zoom of the user's own is kept. */
  function nearTo(frame: ArchFrame, targetMm: Vec3, wantedSpanMm: number): void {
    const spanMm = Math.min(engine.destination.spanMm, wantedSpanMm);
    const outward = outwardAt(targetMm, frame, extentOf(frame));
    setScene({ view: null });
    engine.goTo(
      clearOf(
        useScene.getState().flat
          ? { ...engine.destination, targetMm, spanMm }
          : closeUpView(frame, jaw, targetMm, outward, CLOSE_UP_TILT_RAD, spanMm),
        engine.viewport,
        coveredEdges(),
      ),
    );
  }

  function sectionPlace(): SectionPlace {
    const arch = record();
    const { selectedSite, selectedContact } = useStore.getState().ui;
    const shownContact = engine.content?.contact;
    if (selectedContact && shownContact) {
      return { pointsMm: shownContact.pointsMm, contact: selectedContact, site: null };
    }
    const mark = arch && selectedSite && markOf(selectedSite);
    if (mark) return { pointsMm: null, contact: null, site: mark };
    if (arch && selectedSite) {
      const extent = extentOf(arch.frame);
      const place = placeOfSite(
        selectedSite.tooth,
        selectedSite.site,
        activeMarks(arch),
        arch.frame,
        jaw,
        extent,
      );
      return { pointsMm: null, contact: null, site: { ...selectedSite, pointMm: place.pointMm } };
    }
    return { pointsMm: null, contact: null, site: null };
  }

  function markOf(site: SiteRef) {
    const arch = record();
    return arch
      ? (activeMarks(arch).find((mark) => mark.tooth === site.tooth && mark.site === site.site) ?? null)
      : null;
  }

  function refreshSection(look: boolean): void {
    const arch = record();
    const { clip } = useStore.getState().ui;
    const { section, sectionFlipped } = useScene.getState();
    const place = sectionPlace();
    const directions =
      clip.on && arch
        ? sectionDirections(place, activeMarks(arch), arch.frame, jaw, extentOf(arch.frame))
        : null;
    const made =
      arch && directions
        ? sectionPlane(place, directions, section, sectionFlipped, clip.offsetMm, arch.frame, jaw)
        : null;
    engine.setCut(made?.cut ?? null);
    if (!made || !look) return;
    setScene({ view: null });
    engine.goTo({
      ...made.look,
      targetMm: made.cut.pointMm,
      spanMm: Math.min(engine.destination.spanMm, SECTION_SPAN_MM),
    });
  }

  function changeFrame(frame: ArchFrame): void {
    actions().setFrame(jaw, frame);
  }

  return {
    showView,
    fit,
    closeUp,
    closeUpContact,
    orbit: (dxRad, dyRad) => {
      setScene({ view: null });
      engine.setView(orbited(engine.destination, dxRad, dyRad));
    },
    roll: (angleRad) => {
      setScene({ view: null });
      engine.setView(rolled(engine.destination, angleRad));
    },
    pan: (dxPx, dyPx) => engine.setView(panned(engine.destination, dxPx, dyPx, engine.viewport)),
    zoom: (factor) => engine.setView(zoomed(engine.destination, factor, middlePx(), engine.viewport)),
    setFlat: (flat) => {
      setScene({ flat });
      if (flat) showView('occlusal');
    },
    toggleSection: () => {
      const { clip } = useStore.getState().ui;
      actions().setUi({ clip: { on: !clip.on, offsetMm: 0 } });
      if (clip.on) return;
      refreshSection(true);
    },
    refreshSection,
    startFrameTool: (tool) => {
      picked = [];
      engine.setExtras({ picked });
      setScene({ tool, pickedCount: 0 });
      // The whole arch has to be in the picture to be set upright.
      if (!useScene.getState().view) showView('occlusal');
    },
    endFrameTool: () => {
      picked = [];
      engine.setExtras({ picked });
      setScene({ tool: 'mark', pickedCount: 0 });
      showView('occlusal');
    },
    turnFrameBy: (axis, angleRad) => {
      const frame = record()?.frame;
      if (frame) changeFrame(turnFrame(frame, axis, angleRad));
    },
    pickFramePoint: (pointMm) => {
      const frame = record()?.frame;
      if (!frame) return;
      picked = [...picked, pointMm];
      if (picked.length < 3) {
        engine.setExtras({ picked });
        setScene({ pickedCount: picked.length });
        actions().announce(`Point ${picked.length} of 3 set.`);
        return;
      }
      const [first, second, third] = picked;
      picked = [];
      engine.setExtras({ picked });
      setScene({ pickedCount: 0 });
      try {
        changeFrame(frameFromThreePoints(frame, first, second, third));
        actions().announce('Occlusal plane set through the three points.');
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        actions().announce(error.message);
      }
      showView('occlusal');
    },
    resetFrame: () => {
      const scan = useStore.getState().scans[record()?.scan.sha256 ?? ''];
      if (!scan) return;
      changeFrame(findArchFrame(scan.mesh).frame);
      actions().announce('Arch frame set back to the one found on the surface.');
      showView('occlusal');
    },
  };
}
