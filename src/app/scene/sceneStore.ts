import { create } from 'zustand';
import type { ViewName } from './cameraView.ts';

/** What the scene alone needs to know; never saved, never undone. */
export interface SceneState {
  /** The named view the camera stands in, or null once it was turned. */
  readonly view: ViewName | null;
  /** The camera glides to the tooth being marked. */
  readonly follow: boolean;
  readonly snapping: boolean;
  /** Drags move the picture and never turn it. */
  readonly flat: boolean;
  readonly relief: boolean;
  readonly scanColors: boolean;
  readonly crownsTinted: boolean;
  /** `along`: the cut follows the arch line; `across`: it passes between the two teeth of a contact. */
  readonly section: 'along' | 'across';
  readonly sectionFlipped: boolean;
  readonly tool: 'mark' | 'crown' | 'turn-frame' | 'three-points';
  /** What a brush stroke does to the crown being corrected, and the brush's radius. */
  readonly brush: 'add' | 'take';
  readonly brushMm: number;
  /** Points picked so far for the three-point correction. */
  readonly pickedCount: number;
  readonly keysShown: boolean;
}

export const FIRST_SCENE: SceneState = {
  view: 'occlusal',
  follow: true,
  snapping: true,
  flat: false,
  relief: true,
  scanColors: false,
  crownsTinted: false,
  section: 'along',
  sectionFlipped: false,
  tool: 'mark',
  brush: 'add',
  brushMm: 1,
  pickedCount: 0,
  keysShown: false,
};

export const useScene = create<SceneState>()(() => FIRST_SCENE);

export const setScene = (change: Partial<SceneState>): void => useScene.setState(change);

let cameraHeld = false;

/** While a mark is dragged the camera must not follow it: it would run from under the pointer. */
export const holdCamera = (held: boolean): void => {
  cameraHeld = held;
};
export const isCameraHeld = (): boolean => cameraHeld;
