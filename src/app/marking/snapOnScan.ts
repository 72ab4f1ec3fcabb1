import type { Jaw } from '../../core/base/tooth.ts';
import { dot, type Vec3 } from '../../core/base/Vec3.ts';
import { localDirections } from '../../core/marks/localDirections.ts';
import { markKey, type PlacedMark } from '../../core/marks/Mark.ts';
import { type NudgeDirection, nudgeMark } from '../../core/marks/nudgeMark.ts';
import { snapToAnatomy } from '../../core/marks/snapToAnatomy.ts';
import { snapTooth } from '../../core/marks/snapTooth.ts';
import { activeMarks } from '../state/archEdits.ts';
import { type SiteRef, useStore } from '../store.ts';

const sceneOf = (jaw: Jaw) => {
  const { caseDocument, scans } = useStore.getState();
  const record = caseDocument.arches[jaw];
  const index = record && scans[record.scan.sha256]?.index;
  return record && index
    ? { record, index, frame: record.frame, marks: activeMarks(record), key: record.scan.sha256 }
    : null;
};

/** The point a single click or a dragged mark snaps to; the click itself where no scan is there. */
export function snapOnScan(jaw: Jaw, { tooth, site }: SiteRef, clickMm: Vec3): Vec3 {
  const scene = sceneOf(jaw);
  if (!scene) return clickMm;
  const { index, frame, marks } = scene;
  return snapToAnatomy({ index, frame, tooth, site, clickMm, marks }).pointMm;
}

/** Where clicks fell and what they snapped to, so that the second click of a tooth can use both. */
const clicks = new Map<string, { readonly clickMm: Vec3; readonly snappedMm: Vec3 }>();

/** Where a placed mark lands, and where its untouched partner on the same tooth moves with it. */
export interface Landing {
  readonly pointMm: Vec3;
  readonly partner: { readonly site: SiteRef; readonly pointMm: Vec3 } | null;
}

/**
 * Landing of a click that places a contact point. The second click of a tooth tells the crown's own direction:
 * both points are then snapped anew, unless the first was moved by hand since.
 *
 * Refuses:  'marks-coincide' (both clicks on one side of the crown).
 */
export function landingOf(jaw: Jaw, site: SiteRef, clickMm: Vec3): Landing {
  const scene = sceneOf(jaw);
  const partnerSite = site.site === 'mesial' ? 'distal' : site.site === 'distal' ? 'mesial' : null;
  if (!scene || !partnerSite) return { pointMm: snapOnScan(jaw, site, clickMm), partner: null };
  const { index, frame, marks, key } = scene;
  const { tooth } = site;
  const remember = (name: SiteRef, fellMm: Vec3, snappedMm: Vec3): void => {
    clicks.set(`${key} ${markKey(name)}`, { clickMm: fellMm, snappedMm });
  };
  const partner: SiteRef = { tooth, site: partnerSite };
  const mark = marks.find((other) => markKey(other) === markKey(partner));
  const first = clicks.get(`${key} ${markKey(partner)}`);
  const untouched = mark && first && mark.pointMm.every((value, k) => value === first.snappedMm[k]);
  if (!untouched) {
    const pointMm = snapOnScan(jaw, site, clickMm);
    remember(site, clickMm, pointMm);
    return { pointMm, partner: null };
  }
  const isMesial = site.site === 'mesial';
  const both = snapTooth({
    index,
    frame,
    tooth,
    mesialMm: isMesial ? clickMm : first.clickMm,
    distalMm: isMesial ? first.clickMm : clickMm,
  });
  const pointMm = both[isMesial ? 'mesial' : 'distal'].pointMm;
  const partnerMm = both[isMesial ? 'distal' : 'mesial'].pointMm;
  remember(site, clickMm, pointMm);
  remember(partner, first.clickMm, partnerMm);
  return { pointMm, partner: { site: partner, pointMm: partnerMm } };
}

/** A mark one step on, in the anatomical direction that shows nearest to `onPage` (a direction in the scan frame). */
export function nudgedOnScan(jaw: Jaw, mark: PlacedMark, onPage: Vec3, toward: Vec3, stepMm: number): Vec3 {
  const scene = sceneOf(jaw);
  if (!scene) return mark.pointMm;
  const { index, frame, marks } = scene;
  const local = localDirections(frame, marks, mark.pointMm, mark.tooth);
  const ways: readonly (readonly [NudgeDirection, Vec3])[] = [
    ['mesial', local.mesial],
    ['distal', local.distal],
    ['buccal', local.buccal],
    ['lingual', local.lingual],
    ['up', frame.occlusal],
    ['down', [-frame.occlusal[0], -frame.occlusal[1], -frame.occlusal[2]]],
  ];
  const shown = (way: Vec3): number => dot(way, onPage) - 0.3 * Math.abs(dot(way, toward));
  const [direction] = ways.reduce((best, way) => (shown(way[1]) > shown(best[1]) ? way : best));
  return nudgeMark(index, frame, mark, direction, stepMm, marks);
}
