const RECENT = 1 << 12;

/**
 * Numbers distinct positions 0, 1, 2 … in the order they first appear; equal means equal float bits, -0 = 0.
 * An open-addressing hash table over the bits of the coordinates, at most half full, in flat arrays.
 */
export class VertexTable {
  count = 0;
  private words: Int32Array<ArrayBuffer>; // 3 per vertex, float32 bits
  private slots: Int32Array; // vertex + 1, 0 = free
  private mask: number;
  // The last vertices seen, by hash: files keep neighbours together, so most look-ups end in this small table.
  private readonly recent = new Int32Array(RECENT);

  constructor(expectedCount: number) {
    const capacity = Math.max(64, expectedCount);
    this.words = new Int32Array(capacity * 3);
    this.slots = new Int32Array(2 ** Math.ceil(Math.log2(capacity * 2)));
    this.mask = this.slots.length - 1;
  }

  /** The number of a position given by its float32 bits; a new one equals the `count` before the call. */
  number(xBits: number, yBits: number, zBits: number): number {
    // -0 has only the sign bit set: it doubles to 0 in 32 bits.
    const x = xBits << 1 === 0 ? 0 : xBits;
    const y = yBits << 1 === 0 ? 0 : yBits;
    const z = zBits << 1 === 0 ? 0 : zBits;
    let hash = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca77) ^ Math.imul(z, 0xc2b2ae3d);
    hash ^= hash >>> 15;
    hash = Math.imul(hash, 0x27d4eb2f);
    hash ^= hash >>> 13;
    const words = this.words;
    const near = this.recent[hash & (RECENT - 1)] * 3;
    if (words[near] === x && words[near + 1] === y && words[near + 2] === z && this.count > 0)
      return near / 3;
    const slots = this.slots;
    const mask = this.mask;
    let slot = hash & mask;
    for (let entry = slots[slot]; entry !== 0; entry = slots[slot]) {
      const at = (entry - 1) * 3;
      if (words[at] === x && words[at + 1] === y && words[at + 2] === z) {
        this.recent[hash & (RECENT - 1)] = entry - 1;
        return entry - 1;
      }
      slot = (slot + 1) & mask;
    }
    const vertex = this.count++;
    slots[slot] = vertex + 1;
    this.recent[hash & (RECENT - 1)] = vertex;
    words[vertex * 3] = x;
    words[vertex * 3 + 1] = y;
    words[vertex * 3 + 2] = z;
    if (this.count * 3 >= words.length) this.grow();
    return vertex;
  }

  private grow(): void {
    const words = new Int32Array(this.words.length * 2);
    words.set(this.words);
    this.words = words;
    const slots = new Int32Array(this.slots.length * 2);
    const mask = slots.length - 1;
    for (let vertex = 0; vertex < this.count; vertex++) {
      let hash =
        Math.imul(words[vertex * 3], 0x9e3779b1) ^
        Math.imul(words[vertex * 3 + 1], 0x85ebca77) ^
        Math.imul(words[vertex * 3 + 2], 0xc2b2ae3d);
      hash ^= hash >>> 15;
      hash = Math.imul(hash, 0x27d4eb2f);
      hash ^= hash >>> 13;
      let slot = hash & mask;
      while (slots[slot] !== 0) slot = (slot + 1) & mask;
      slots[slot] = vertex + 1;
    }
    this.slots = slots;
    this.mask = mask;
  }

  /** Positions by vertex number, 3 each, in a buffer of their own size. */
  positions(): Float32Array<ArrayBuffer> {
    return new Float32Array(this.words.buffer.slice(0, this.count * 12));
  }
}
