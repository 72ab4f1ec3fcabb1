/**
 * Where a number, rule or limit comes from. `standing` says how far it can be trusted:
 * published (read in the source), secondary (read in a source quoting it), memory (unverified),
 * practice (common practice, no source), computed (from the stated inputs), user (entered by hand),
 * measured (from this scan).
 */
export interface Source {
  readonly standing: 'published' | 'secondary' | 'memory' | 'practice' | 'computed' | 'user' | 'measured';
  /** Author, year, journal, pages; or what it was computed or measured from. */
  readonly text: string;
}
