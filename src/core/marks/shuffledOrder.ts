import type { MarkingStep } from './markingOrder.ts';

/**
 * The same steps with the teeth in an order of chance, the same for the same seed; the two sites of a tooth stay
 * together. A repeat in another order is not led by the memory of the reading before.
 */
export function shuffledOrder(order: readonly MarkingStep[], seed: number): readonly MarkingStep[] {
  const teeth = [...new Set(order.map(({ tooth }) => tooth))];
  const random = mulberry32(seed);
  for (let i = teeth.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [teeth[i], teeth[j]] = [teeth[j], teeth[i]];
  }
  return teeth.flatMap((tooth) => order.filter((step) => step.tooth === tooth));
}

/** Numbers from 0 to 1; public domain generator of 32 bits of state. */
function mulberry32(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}
