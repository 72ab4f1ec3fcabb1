/** A float list that grows by doubling; for texts whose length is not known beforehand. */
export class GrowableFloats {
  private items = new Float32Array(3072);
  length = 0;
  push3(x: number, y: number, z: number): void {
    if (this.length + 3 > this.items.length) {
      const grown = new Float32Array(this.items.length * 2);
      grown.set(this.items);
      this.items = grown;
    }
    this.items[this.length] = x;
    this.items[this.length + 1] = y;
    this.items[this.length + 2] = z;
    this.length += 3;
  }
  toArray(): Float32Array {
    return this.items.slice(0, this.length);
  }
}

/** An index list that grows by doubling. */
export class GrowableIndices {
  private items: Uint32Array<ArrayBuffer>;
  length = 0;
  constructor(capacity = 3072) {
    this.items = new Uint32Array(capacity);
  }
  push3(a: number, b: number, c: number): void {
    if (this.length + 3 > this.items.length) {
      const grown = new Uint32Array(Math.max(3072, this.items.length * 2));
      grown.set(this.items);
      this.items = grown;
    }
    this.items[this.length] = a;
    this.items[this.length + 1] = b;
    this.items[this.length + 2] = c;
    this.length += 3;
  }
  toArray(): Uint32Array {
    return this.length === this.items.length ? this.items : this.items.slice(0, this.length);
  }
}
