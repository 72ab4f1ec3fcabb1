/** Answers "largest value at from ≤ i < to" in constant time after one pass of n·log n; 0 for an empty range. */
export function rangeMaximum(values: Float32Array): (from: number, to: number) => number {
  const levels: Float32Array[] = [values];
  for (let width = 1; 2 * width <= values.length; width *= 2) {
    const below = levels[levels.length - 1];
    levels.push(
      Float32Array.from({ length: values.length - 2 * width + 1 }, (_, i) =>
        Math.max(below[i], below[i + width]),
      ),
    );
  }
  return (from, to) => {
    if (to <= from) return 0;
    const level = 31 - Math.clz32(to - from);
    const row = levels[level];
    return Math.max(row[from], row[to - (1 << level)]);
  };
}
