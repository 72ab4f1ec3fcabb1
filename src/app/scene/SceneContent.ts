import { type ArchFrame, pointInScan } from '../../core/arch/ArchFrame.ts';
import { type Contact, type Jaw, type Notation, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { distance, mix, type Vec3 } from '../../core/base/Vec3.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { type Mark, type MarkSite, markKey } from '../../core/marks/Mark.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { fixed } from '../format.ts';
import { activeMarks, sameContact } from '../state/archEdits.ts';
import type { UiState } from '../store.ts';

export interface ShownMark {
  readonly tooth: Tooth;
  readonly site: MarkSite;
  readonly pointMm: Vec3;
  readonly proposed: boolean;
  readonly selected: boolean;
  readonly evidence: boolean; // part of what a number rests on
}

export interface ShownTooth {
  readonly tooth: Tooth;
  readonly label: string;
  readonly centreMm: Vec3;
  readonly mesialMm: Vec3 | null;
  readonly distalMm: Vec3 | null;
  readonly selected: boolean;
  readonly evidence: boolean;
}

/** Everything drawn over the surface, scan frame; made anew when the case or the selection changes. */
export interface SceneContent {
  readonly jaw: Jaw;
  readonly frame: ArchFrame;
  readonly marks: readonly ShownMark[];
  readonly teeth: readonly ShownTooth[];
  readonly archLineMm: readonly Vec3[];
  readonly contact: {
    readonly teeth: Contact;
    readonly pointsMm: readonly [Vec3, Vec3];
    readonly text: string;
  } | null;
}

/** What a record shows, with the measures made from it. */
export function sceneContent(
  record: ArchRecord,
  measures: ArchMeasures | null,
  ui: Pick<UiState, 'selectedSite' | 'selectedTooth' | 'selectedContact' | 'revealEvidence' | 'marksShown'>,
  notation: Notation,
): SceneContent {
  const placed = ui.marksShown ? activeMarks(record) : [];
  const evidence = new Set(ui.revealEvidence?.teeth ?? []);
  const selectedKey = ui.selectedSite ? markKey(ui.selectedSite) : '';
  const marks = placed.map((mark) => ({
    tooth: mark.tooth,
    site: mark.site,
    pointMm: mark.pointMm,
    proposed: mark.state === 'proposed',
    selected: markKey(mark) === selectedKey,
    evidence: evidence.has(mark.tooth),
  }));
  const selectedTooth = ui.selectedSite?.tooth ?? ui.selectedTooth;
  const teeth = [...new Set(placed.map((mark) => mark.tooth))].flatMap((tooth): ShownTooth[] => {
    const at = (site: MarkSite): Vec3 | null =>
      placed.find((mark) => mark.tooth === tooth && mark.site === site)?.pointMm ?? null;
    const mesialMm = at('mesial');
    const distalMm = at('distal');
    const centreMm = mesialMm && distalMm ? mix(mesialMm, distalMm, 0.5) : (mesialMm ?? distalMm);
    if (!centreMm) return [];
    return [
      {
        tooth,
        label: toothLabel(tooth, notation),
        centreMm,
        mesialMm,
        distalMm,
        selected: tooth === selectedTooth,
        evidence: evidence.has(tooth),
      },
    ];
  });
  const archLineMm = (measures?.line?.pointsInOcclusalPlane ?? []).map(([x, y]) =>
    pointInScan(record.frame, [x, y, 0]),
  );
  return {
    jaw: record.jaw,
    frame: record.frame,
    marks,
    teeth,
    archLineMm,
    contact: shownContact(measures, ui.selectedContact),
  };
}

function shownContact(measures: ArchMeasures | null, selected: Contact | null): SceneContent['contact'] {
  const contact = selected && measures?.contacts.find((entry) => sameContact(entry.teeth, selected));
  if (!contact?.pointsMm) return null;
  const parts = [
    contact.separation && `separation ${fixed(contact.separation.valueMm)}`,
    contact.displacement && `displacement ${fixed(contact.displacement.valueMm)}`,
  ].filter(Boolean);
  return { teeth: contact.teeth, pointsMm: contact.pointsMm, text: `${parts.join(' · ')} mm` };
}

/** Straight width between the two contact points of a shown tooth, mm; null while one is missing. */
export const shownWidthMm = (tooth: ShownTooth): number | null =>
  tooth.mesialMm && tooth.distalMm ? distance(tooth.mesialMm, tooth.distalMm) : null;

/** The content with one mark at another place, as while it is dragged. */
export function withDraft(content: SceneContent, draft: Mark): SceneContent {
  const marks = content.marks.map((mark) =>
    mark.tooth === draft.tooth && mark.site === draft.site ? { ...mark, pointMm: draft.pointMm } : mark,
  );
  const teeth = content.teeth.map((tooth) => {
    if (tooth.tooth !== draft.tooth) return tooth;
    const mesialMm = draft.site === 'mesial' ? draft.pointMm : tooth.mesialMm;
    const distalMm = draft.site === 'distal' ? draft.pointMm : tooth.distalMm;
    return { ...tooth, mesialMm, distalMm };
  });
  return { ...content, marks, teeth };
}

/** The content as it lies on moved crowns. */
export function withMoves(
  content: SceneContent,
  drawnAt: (tooth: Tooth, pointMm: Vec3) => Vec3,
): SceneContent {
  const { contact } = content;
  const maybe = (tooth: Tooth, point: Vec3 | null): Vec3 | null => point && drawnAt(tooth, point);
  return {
    ...content,
    marks: content.marks.map((mark) => ({ ...mark, pointMm: drawnAt(mark.tooth, mark.pointMm) })),
    teeth: content.teeth.map((tooth) => ({
      ...tooth,
      centreMm: drawnAt(tooth.tooth, tooth.centreMm),
      mesialMm: maybe(tooth.tooth, tooth.mesialMm),
      distalMm: maybe(tooth.tooth, tooth.distalMm),
    })),
    // What was measured between two teeth as they stand is not true of them elsewhere.
    contact: contact && {
      ...contact,
      text: '',
      pointsMm: [
        drawnAt(contact.teeth[0], contact.pointsMm[0]),
        drawnAt(contact.teeth[1], contact.pointsMm[1]),
      ],
    },
  };
}
