/** Endings of the scan files that can be read. */
export const SCAN_TYPES = '.stl,.ply,.obj';

/** Ending of a case file. */
export const CASE_TYPES = '.json';
