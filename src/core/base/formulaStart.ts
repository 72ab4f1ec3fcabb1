/**
 * A text that a spreadsheet would run as a formula, and is no number; in a CSV it gets a leading apostrophe.
 * Numbers, signed ones too, stay numbers. Full-width forms count: some programs fold them.
 */
export const FORMULA_START = /^(?![+-]?\d+(?:\.\d+)?$)[=+\-@\t\r\n＝＋－＠]/;
