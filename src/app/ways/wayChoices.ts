import type { Jaw } from '../../core/base/tooth.ts';
import type { AlternativeChoice } from '../../core/space/alternatives.ts';
import { alternativeWays, WAY_GROUPS, type WayGroup, wayGroup } from '../../core/space/alternativeWays.ts';
import type { WayDraft } from './waysStore.ts';

/** The way a draft means: the rule chosen, or the first of its group. */
export const wayOfDraft = (draft: WayDraft | undefined, group: WayGroup, jaw: Jaw): string =>
  draft?.way ?? alternativeWays(jaw).find((way) => wayGroup(way) === group)?.id ?? group;

/** Every ticked draft as a choice, in the order of the groups, with the inputs its rule takes. */
export function choicesOf(
  drafts: Readonly<Partial<Record<WayGroup, WayDraft>>>,
  jaw: Jaw,
): readonly AlternativeChoice[] {
  const ways = alternativeWays(jaw);
  return WAY_GROUPS.flatMap(({ id }) => {
    const draft = drafts[id];
    if (!draft?.on) return [];
    const way = ways.find((one) => one.id === wayOfDraft(draft, id, jaw));
    if (!way) return [];
    const inputs = Object.fromEntries(
      Object.entries(draft.inputs).filter(([name]) => way.inputs.some((input) => input.name === name)),
    );
    return [{ way: way.id, inputs, ...(draft.sdMm === null ? {} : { ownSdMm: draft.sdMm }) }];
  });
}
