import { type RefObject, useEffect, useMemo, useRef, useState } from 'react';
import { type Jaw, toothLabel } from '../../core/base/tooth.ts';
import { markingOrder, nextUnmarked } from '../../core/marks/markingOrder.ts';
import { useResolvedTheme } from '../design/theme.ts';
import { bindMarkingKeys } from '../marking/bindMarkingKeys.ts';
import { markingPurpose } from '../marking/markingPurpose.ts';
import { activeMarks } from '../state/archEdits.ts';
import { shownArchOf, useShownArch, useShownMeasures, useShownScan } from '../state/onShow.ts';
import { useStore } from '../store.ts';
import { type CoveredEdges, USUAL_EDGES } from './cameraView.ts';
import { type DisplayParts, displayParts } from './displayParts.ts';
import { frameHandles } from './frameHandles.ts';
import { pointerInput } from './pointerInput.ts';
import { sceneContent } from './SceneContent.ts';
import type { SceneEngine } from './SceneEngine.ts';
import { type SceneCommands, sceneCommands } from './sceneCommands.ts';
import { scenePalette } from './scenePalette.ts';
import { FIRST_SCENE, isCameraHeld, setScene, useScene } from './sceneStore.ts';
import { exposeSeam } from './testingSeam.ts';

const EDGE_PX = 4; // between a fitted arch and what lies over the picture

/** Keeps the engine in step with the case, the selection, the theme and the pointer. */
export function useSceneStage(
  jaw: Jaw,
  engine: SceneEngine,
  stageRef: RefObject<HTMLDivElement | null>,
): { readonly parts: DisplayParts | null; readonly commands: SceneCommands } {
  const parts = useDisplayParts(jaw);
  const partsRef = useRef(parts);
  partsRef.current = parts;
  const commands = useMemo(
    () =>
      sceneCommands(
        jaw,
        engine,
        () => partsRef.current,
        () => coveredEdges(stageRef.current),
      ),
    [jaw, engine, stageRef],
  );
  useSurface(jaw, engine, parts, commands);
  useTheme(engine, stageRef);

  useEffect(() => {
    const stage = stageRef.current;
    if (!stage) return;
    const purpose = markingPurpose(jaw, engine, commands);
    const undo = [
      pointerInput(stage, engine, purpose.pointer),
      bindMarkingKeys(stage, jaw, engine, commands, purpose),
      exposeSeam(engine, stage),
    ];
    return () => {
      for (const step of undo) step();
    };
  }, [jaw, engine, commands, stageRef]);

  return { parts, commands };
}

/** What the tools above and the prompt below cover of the picture as it stands. */
function coveredEdges(stage: HTMLElement | null): CoveredEdges {
  const scene = stage?.parentElement;
  const box = scene?.getBoundingClientRect();
  if (!scene || !box) return USUAL_EDGES;
  const tools = scene.querySelector('.scene__tools')?.getBoundingClientRect();
  const prompt = scene.querySelector('.scene__prompt, .scene__panel_frame')?.getBoundingClientRect();
  return {
    topPx: tools ? tools.bottom - box.top + EDGE_PX : USUAL_EDGES.topPx,
    bottomPx: Math.max(USUAL_EDGES.bottomPx, prompt ? box.bottom - prompt.top + EDGE_PX : 0),
  };
}

/** What follows every change of the case; drawn nothing, so that a moved mark renders nothing of the scene. */
export function FollowCase({
  jaw,
  engine,
  commands,
}: {
  jaw: Jaw;
  engine: SceneEngine;
  commands: SceneCommands;
}): null {
  useDrawing(jaw, engine);
  useSection(jaw, commands);
  useFollow(jaw, commands);
  useRestingLoupe(jaw, engine);
  return null;
}

/** The drawable parts of the scan on show, made in small steps; null until they are there. */
function useDisplayParts(jaw: Jaw): DisplayParts | null {
  const scan = useShownScan(jaw);
  const [made, setMade] = useState<{ sha256: string; parts: DisplayParts } | null>(null);
  useEffect(() => {
    if (!scan) return;
    let wanted = true;
    displayParts(scan.display).then((parts) => {
      if (wanted) setMade({ sha256: scan.facts.sha256, parts });
    });
    return () => {
      wanted = false;
    };
  }, [scan]);
  return scan && made?.sha256 === scan.facts.sha256 ? made.parts : null;
}

function useSurface(
  jaw: Jaw,
  engine: SceneEngine,
  parts: DisplayParts | null,
  commands: SceneCommands,
): void {
  const scan = useShownScan(jaw);
  useEffect(() => {
    engine.setSurface(scan?.index ?? null, scan?.mesh ?? null);
  }, [engine, scan]);
  // A new surface starts in the occlusal view; the frame in force may have been corrected since.
  useEffect(() => {
    if (!parts) return;
    const { follow, relief, crownsTinted } = useScene.getState();
    setScene({ ...FIRST_SCENE, follow, relief, crownsTinted });
    const stand = (): void => {
      const { view } = useScene.getState();
      if (!view) return;
      const { glides } = engine;
      engine.glides = false;
      commands.showView(view);
      engine.glides = glides;
    };
    stand();
    // A named view is fitted again when the stage gets its size or another one.
    return engine.onSizeChange(stand);
  }, [engine, parts, commands]);
}

function useDrawing(jaw: Jaw, engine: SceneEngine): void {
  const record = useShownArch(jaw);
  const measures = useShownMeasures(jaw);
  const selectedSite = useStore((state) => state.ui.selectedSite);
  const selectedTooth = useStore((state) => state.ui.selectedTooth);
  const selectedContact = useStore((state) => state.ui.selectedContact);
  const revealEvidence = useStore((state) => state.ui.revealEvidence);
  const marksShown = useStore((state) => state.ui.marksShown);
  const notation = useStore((state) => state.caseDocument.notation);
  const tool = useScene((state) => state.tool);
  // Made anew only for what it shows: limits, tenths and visits change nothing over the surface.
  const latest = useRef(record);
  latest.current = record;
  const { frame, readings, activeReading } = record ?? {};
  // biome-ignore lint/correctness/useExhaustiveDependencies: the record's parts that are drawn
  useEffect(() => {
    const ui = { selectedSite, selectedTooth, selectedContact, revealEvidence, marksShown };
    engine.setContent(latest.current ? sceneContent(latest.current, measures, ui, notation) : null);
  }, [
    engine,
    frame,
    readings,
    activeReading,
    measures,
    selectedSite,
    selectedTooth,
    selectedContact,
    revealEvidence,
    marksShown,
    notation,
  ]);
  useEffect(() => {
    const show = (): void =>
      engine.setExtras({
        handles:
          record && tool === 'turn-frame' ? frameHandles(record.frame, engine.view, engine.viewport) : [],
      });
    show();
    return engine.onViewChange(show);
  }, [engine, record, tool]);
}

function useSection(jaw: Jaw, commands: SceneCommands): void {
  const clip = useStore((state) => state.ui.clip);
  const selectedSite = useStore((state) => state.ui.selectedSite);
  const selectedContact = useStore((state) => state.ui.selectedContact);
  const section = useScene((state) => state.section);
  const flipped = useScene((state) => state.sectionFlipped);
  const seen = useRef({ section, flipped, selectedSite, selectedContact });
  const record = useShownArch(jaw);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the command reads what is listed from the stores
  useEffect(() => {
    const before = seen.current;
    seen.current = { section, flipped, selectedSite, selectedContact };
    const turnedOver =
      before.section !== section ||
      before.flipped !== flipped ||
      before.selectedSite !== selectedSite ||
      before.selectedContact !== selectedContact;
    commands.refreshSection(clip.on && turnedOver);
  }, [commands, clip, section, flipped, selectedSite, selectedContact, record]);
}

/** Glides to the site being worked on, unless the user looks on their own. */
function useFollow(jaw: Jaw, commands: SceneCommands): void {
  const selectedSite = useStore((state) => state.ui.selectedSite);
  const selectedContact = useStore((state) => state.ui.selectedContact);
  const evidence = useStore((state) => state.ui.revealEvidence);
  const follow = useScene((state) => state.follow);
  const cutting = useStore((state) => state.ui.clip.on);
  const anyMarks = useStore((state) => {
    const record = shownArchOf(jaw, state);
    return record ? activeMarks(record).length > 0 : false;
  });
  // biome-ignore lint/correctness/useExhaustiveDependencies: the first mark is followed once it exists
  useEffect(() => {
    if (follow && selectedSite && !cutting && !isCameraHeld()) commands.closeUp(selectedSite);
  }, [commands, follow, selectedSite, cutting, anyMarks]);
  // The round is finished: the whole arch is looked at.
  const finished = useStore((state) => {
    const record = shownArchOf(jaw, state);
    return record ? nextUnmarked(markingOrder(jaw, record.chart), activeMarks(record)) === null : false;
  });
  const worked = useRef(false);
  useEffect(() => {
    if (selectedSite) worked.current = true;
    else if (worked.current && finished && follow) commands.showView('occlusal');
    if (!selectedSite) worked.current = false;
  }, [commands, selectedSite, finished, follow]);
  useEffect(() => {
    if (follow && selectedContact && !cutting) commands.closeUpContact();
  }, [commands, follow, selectedContact, cutting]);
  // Evidence of a number of the whole arch is looked at from above.
  useEffect(() => {
    if (follow && evidence && !cutting) commands.showView('occlusal');
  }, [commands, follow, evidence, cutting]);
}

/** While nothing is pointed at, the loupe shows the selected mark. */
function useRestingLoupe(jaw: Jaw, engine: SceneEngine): void {
  const record = useShownArch(jaw);
  const site = useStore((state) => state.ui.selectedSite);
  const loupeOn = useStore((state) => state.ui.loupeOn);
  const notation = useStore((state) => state.caseDocument.notation);
  useEffect(() => {
    const mark =
      record && site && activeMarks(record).find((m) => m.tooth === site.tooth && m.site === site.site);
    engine.setLoupe(
      loupeOn && mark
        ? { pointMm: mark.pointMm, caption: `${toothLabel(mark.tooth, notation)} ${mark.site}` }
        : null,
    );
  }, [engine, record, site, loupeOn, notation]);
}

function useTheme(engine: SceneEngine, stageRef: RefObject<HTMLDivElement | null>): void {
  const theme = useResolvedTheme();
  useEffect(() => {
    const stage = stageRef.current;
    if (!stage) return;
    // The theme attribute is set in an effect of the page: read the colours after it.
    const frame = requestAnimationFrame(() => {
      const { palette, ground } = scenePalette(stage, theme);
      engine.setTheme(palette, ground);
    });
    return () => cancelAnimationFrame(frame);
  }, [engine, stageRef, theme]);
}
