import type { MarkSite } from '../../core/marks/Mark.ts';

const PATHS: Readonly<Record<MarkSite, string>> = {
  mesial: 'M8 2.5 14 12.5H2Z',
  distal: 'M3 3h10v10H3Z',
  cusp: 'M8 1.5 13.2 8 8 14.5 2.8 8Z',
  incisal: 'M1.5 5.5h13v5h-13Z',
};

/** The shape a site is drawn with on the scan: dashed and hollow while proposed. */
export function MarkShape({ site, proposed = false }: { site: MarkSite; proposed?: boolean }) {
  return (
    <svg
      className={`mark-shape mark-shape_${site}`}
      width="16"
      height="16"
      viewBox="0 0 16 16"
      aria-hidden="true"
    >
      <path
        d={PATHS[site]}
        fill={proposed ? 'none' : 'currentColor'}
        stroke="currentColor"
        strokeWidth="1.6"
        strokeDasharray={proposed ? '2.2 2' : undefined}
        strokeLinejoin="round"
      />
    </svg>
  );
}
