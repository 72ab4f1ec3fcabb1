/** A seeded source of numbers: the same seed gives the same numbers on every machine. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Uniform in [low, high). */
  between(low: number, high: number): number;
  /** Normal with mean 0 and SD 1, cut at ±2.5. */
  normal(): number;
}

/** Spreads the bits of a 32-bit integer; a good hash is one whose low bits depend on all input bits. */
export function hash32(value: number): number {
  let h = value | 0;
  h = Math.imul(h ^ (h >>> 16), 0x7feb352d);
  h = Math.imul(h ^ (h >>> 15), 0x846ca68b);
  return (h ^ (h >>> 16)) >>> 0;
}

/** A generator from an integer seed and a stream name, so that one part's draws do not shift another's. */
export function makeRandom(seed: number, stream: string): Random {
  let state = hash32(seed ^ 0x9e3779b9);
  for (const letter of stream) state = hash32(state ^ letter.charCodeAt(0));
  // Weyl sequence through a 32-bit mixer; period 2^32, far beyond the few thousand draws of one arch
  const next = () => {
    state = (state + 0x6d2b79f5) | 0;
    return hash32(state) / 4294967296;
  };
  const between = (low: number, high: number) => low + (high - low) * next();
  const normal = (): number => {
    // Sum of twelve uniforms (Irwin–Hall): only additions, so the bits are the same everywhere
    let sum = -6;
    for (let i = 0; i < 12; i++) sum += next();
    return Math.abs(sum) > 2.5 ? normal() : sum;
  };
  return { next, between, normal };
}
