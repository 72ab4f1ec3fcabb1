const RECENT = 1 << 14;
const SPARE_RATIO = 0.8; // a buffer filled to this part is handed over as it is

/** Mixes three words into one; every bit of each reaches the low bits, which choose the slot. */
function hashOf(x: number, y: number, z: number): number {
  let hash = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca77) ^ Math.imul(z, 0xc2b2ae3d);
  hash ^= hash >>> 15;
  hash = Math.imul(hash, 0x27d4eb2f);
  return hash ^ (hash >>> 13);
}

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
    const hash = hashOf(x, y, z);
    const words = this.words;
    const near = this.recent[hash & (RECENT - 1)];
    const nearAt = near * 3;
    if (words[nearAt] === x && words[nearAt + 1] === y && words[nearAt + 2] === z && this.count > 0) {
      return near;
    }
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

  /**
   * Numbers the corners of faces that lie in a file at a fixed distance, three little-endian float32 triples each,
   * into `vertices`. The loop of `number` with everything in local variables.
   *
   * Rejected: calling `number` for each corner — 100 against 73 ms of processor time at 1,000,000 faces.
   */
  numberFaces(view: DataView, firstByte: number, faceBytes: number, vertices: Uint32Array): void {
    const { recent } = this;
    let { words, slots, mask, count } = this;
    const gap = faceBytes - 36;
    for (let corner = 0, at = firstByte; corner < vertices.length; at += gap) {
      for (const last = corner + 3; corner < last; corner++, at += 12) {
        let x = view.getInt32(at, true);
        let y = view.getInt32(at + 4, true);
        let z = view.getInt32(at + 8, true);
        if (x << 1 === 0) x = 0;
        if (y << 1 === 0) y = 0;
        if (z << 1 === 0) z = 0;
        const hash = hashOf(x, y, z);
        const near = recent[hash & (RECENT - 1)];
        const nearAt = near * 3;
        if (words[nearAt] === x && words[nearAt + 1] === y && words[nearAt + 2] === z && count > 0) {
          vertices[corner] = near;
          continue;
        }
        let vertex = -1;
        let slot = hash & mask;
        for (let entry = slots[slot]; entry !== 0; entry = slots[slot]) {
          const entryAt = (entry - 1) * 3;
          if (words[entryAt] === x && words[entryAt + 1] === y && words[entryAt + 2] === z) {
            vertex = entry - 1;
            break;
          }
          slot = (slot + 1) & mask;
        }
        if (vertex < 0) {
          vertex = count++;
          slots[slot] = vertex + 1;
          words[vertex * 3] = x;
          words[vertex * 3 + 1] = y;
          words[vertex * 3 + 2] = z;
          if (count * 3 >= words.length) {
            this.count = count;
            this.grow();
            ({ words, slots, mask } = this);
          }
        }
        recent[hash & (RECENT - 1)] = vertex;
        vertices[corner] = vertex;
      }
    }
    this.count = count;
  }

  /** The first vertex from `start` on that has a coordinate which is NaN or infinite; -1 where there is none. */
  firstNotFinite(start: number): number {
    const { words } = this;
    for (let i = start * 3; i < this.count * 3; i++) {
      if ((words[i] & 0x7f800000) === 0x7f800000) return Math.floor(i / 3);
    }
    return -1;
  }

  private grow(): void {
    const words = new Int32Array(this.words.length * 2);
    words.set(this.words);
    this.words = words;
    const slots = new Int32Array(this.slots.length * 2);
    const mask = slots.length - 1;
    for (let vertex = 0; vertex < this.count; vertex++) {
      const hash = hashOf(words[vertex * 3], words[vertex * 3 + 1], words[vertex * 3 + 2]);
      let slot = hash & mask;
      while (slots[slot] !== 0) slot = (slot + 1) & mask;
      slots[slot] = vertex + 1;
    }
    this.slots = slots;
    this.mask = mask;
  }

  /**
   * Positions by vertex number, 3 each; the table must not be used any more. The buffer may be a little longer than
   * they are: copying it costs up to 3 ms a megabyte in a browser's worker.
   */
  positions(): Float32Array<ArrayBuffer> {
    const length = this.count * 3;
    const buffer =
      length > SPARE_RATIO * this.words.length ? this.words.buffer : this.words.buffer.slice(0, length * 4);
    return new Float32Array(buffer, 0, length);
  }
}
