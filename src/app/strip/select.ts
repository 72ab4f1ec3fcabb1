import type { Contact, Tooth } from '../../core/base/tooth.ts';
import { actions } from '../store.ts';

/** Selects a tooth everywhere: strip, chart, tables and 3D arch. */
export const selectTooth = (tooth: Tooth): void =>
  actions().setUi({
    selectedTooth: tooth,
    selectedSite: { tooth, site: 'mesial' },
    selectedContact: null,
    revealEvidence: null,
  });

/** Selects a contact everywhere. */
export const selectContact = (teeth: Contact): void =>
  actions().setUi({ selectedContact: teeth, selectedTooth: null, selectedSite: null, revealEvidence: null });
