import type { Jaw } from '../../core/base/tooth.ts';
import { dot, type Vec3 } from '../../core/base/Vec3.ts';
import { localDirections } from '../../core/marks/localDirections.ts';
import { markKey, type PlacedMark } from '../../core/marks/Mark.ts';
import { type NudgeDirection, nudgeMark } from '../../core/marks/nudgeMark.ts';
import { snapToAnatomy } from '../../core/marks/snapToAnatomy.ts';
import { snapTooth } from '../../core/marks/snapTooth.ts';
import { activeMarks } from '../state/archEdits.ts';
import { shownArchOf } from '../state/onShow.ts';
import { type SiteRef, useStore } from '../store.ts';

const sceneOf = (jaw: Jaw) => {
  const { scans } = useStore.getState();
  const record = shownArchOf(jaw);
  const index = record && scans[record.scan.sha256]?.index;
  return record && index
    ? { record, index, frame: record.frame, marks: activeMarks(record), key: record.scan.sha256 }
    : null;
};

/** A place for a mark and, where it was snapped to, the SD of it along the mesiodistal direction. */
export interface Place {
  readonly pointMm: Vec3;
  readonly sdMm?: number;
}

/** Where a single click or a dragged mark snaps to; the click itself where no scan is there. */
export function placeOnScan(jaw: Jaw, { tooth, site }: SiteRef, clickMm: Vec3): Place {
  const scene = sceneOf(jaw);
  if (!scene) return { pointMm: clickMm };
  const { index, frame, marks } = scene;
  const { pointMm, sdMm } = snapToAnatomy({ index, frame, tooth, site, clickMm, marks });
  return { pointMm, sdMm };
}

/** The point a click snaps to. */
export const snapOnScan = (jaw: Jaw, site: SiteRef, clickMm: Vec3): Vec3 =>
  placeOnScan(jaw, site, clickMm).pointMm;

/** Where clicks fell and what they snapped to, so that the second click of a tooth can use both. */
const clicks = new Map<string, { readonly clickMm: Vec3; readonly snappedMm: Vec3 }>();

/** Where a placed mark lands, and where its untouched partner on the same tooth moves with it. */
export interface Landing extends Place {
  readonly partner: (Place & { readonly site: SiteRef }) | null;
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
  if (!scene || !partnerSite) return { ...placeOnScan(jaw, site, clickMm), partner: null };
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
    const place = placeOnScan(jaw, site, clickMm);
    remember(site, clickMm, place.pointMm);
    return { ...place, partner: null };
  }
  const isMesial = site.site === 'mesial';
  const both = snapTooth({
    index,
    frame,
    tooth,
    mesialMm: isMesial ? clickMm : first.clickMm,
    distalMm: isMesial ? first.clickMm : clickMm,
  });
  const own = both[isMesial ? 'mesial' : 'distal'];
  const other = both[isMesial ? 'distal' : 'mesial'];
  remember(site, clickMm, own.pointMm);
  remember(partner, first.clickMm, other.pointMm);
  return {
    pointMm: own.pointMm,
    sdMm: own.sdMm,
    partner: { site: partner, pointMm: other.pointMm, sdMm: other.sdMm },
  };
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
