import type { ReactNode } from 'react';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { UNIT_NAMES } from '../../core/scan/unitCheck.ts';
import { bytes, count, mm, percent, unbroken } from '../format.ts';
import '../ledger/ledger.css';
import { useScanOf } from '../store.ts';

const FORMAT_NAMES: Readonly<Record<ArchRecord['scan']['format'], string>> = {
  'stl-binary': 'STL, binary',
  'stl-ascii': 'STL, text',
  'ply-binary-le': 'PLY, binary, little-endian',
  'ply-binary-be': 'PLY, binary, big-endian',
  'ply-ascii': 'PLY, text',
  obj: 'OBJ',
};

/** What was in the file, what was repaired, and how the arch was set upright. */
export function ScanPanel({ record }: { record: ArchRecord }) {
  const scan = useScanOf(record.jaw);
  const { scan: facts } = record;
  const shape = scan?.shape;
  const sizeMm = shape?.boundsMaxMm.map((max, i) => max - shape.boundsMinMm[i]);
  return (
    <div className="sheet">
      <section className="sheet__section" aria-labelledby="scan-facts">
        <h3 className="sheet__title" id="scan-facts">
          Scan file
        </h3>
        <table className="grid" aria-labelledby="scan-facts">
          <tbody>
            <Fact name="File">{facts.file}</Fact>
            <Fact name="Format">{FORMAT_NAMES[facts.format]}</Fact>
            <Fact name="Size">{bytes(facts.byteCount)}</Fact>
            <Fact name="Unit of the numbers in it">{UNIT_NAMES[facts.unit]}</Fact>
            <Fact name="Triangles, after repairs">{count(facts.triangles)}</Fact>
            <Fact name="Vertices, after welding">{count(facts.vertices)}</Fact>
            <Fact name="Typical edge">{mm(record.medianEdgeMm)}&nbsp;mm</Fact>
            {sizeMm && <Fact name="Box">{sizeMm.map((size) => mm(size, 1)).join(' × ')}&nbsp;mm</Fact>}
            {shape && (
              <>
                <Fact name="Surface">{count(Math.round(shape.areaMm2))} mm²</Fact>
                <Fact name="Separate pieces">{count(shape.componentCount)}</Fact>
                <Fact name="Open edges">
                  {count(shape.boundaryEdgeCount)} in {count(shape.boundaryLoopCount)}{' '}
                  {shape.boundaryLoopCount === 1 ? 'loop' : 'loops'}
                </Fact>
                <Fact name="Edges of three faces or more">{count(shape.nonManifoldEdgeCount)}</Fact>
              </>
            )}
            <Fact name="Checksum (SHA-256)">
              <span title={facts.sha256}>{facts.sha256.slice(0, 16)}…</span>
            </Fact>
          </tbody>
        </table>
      </section>
      <section className="sheet__section" aria-labelledby="scan-findings">
        <h3 className="sheet__title" id="scan-findings">
          Repairs and remarks
        </h3>
        {!scan ? (
          <p className="sheet__note">Shown when the scan is on the page.</p>
        ) : scan.findings.length === 0 ? (
          <p className="sheet__note">Nothing was repaired; nothing is to be remarked.</p>
        ) : (
          <ul className="remarks">
            {scan.findings.map((finding) => (
              <li key={finding.code}>{unbroken(finding.message)}</li>
            ))}
          </ul>
        )}
      </section>
      <section className="sheet__section" aria-labelledby="scan-frame">
        <h3 className="sheet__title" id="scan-frame">
          Arch frame
        </h3>
        <p>
          {record.frameSource === 'corrected'
            ? 'Corrected by hand.'
            : record.frameConfidence
              ? `Found on the surface; confidence ${percent(record.frameConfidence)}.`
              : 'Not found on the surface: set the arch upright by hand before measuring.'}
        </p>
        <p className="sheet__note">
          The occlusal plane and the forward direction decide displacement, depth and everything that is
          measured across. “Set upright” over the 3D view corrects them.
        </p>
      </section>
    </div>
  );
}

function Fact({ name, children }: { name: string; children: ReactNode }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td className="grid__wrap">{children}</td>
    </tr>
  );
}
