import { useMemo } from 'react';
import { replicateAgreement } from '../../core/study/replicateAgreement.ts';
import { fixed } from '../format.ts';
import { digitsFor, interval } from './figureRows.ts';
import { orWhy, type StudyResult } from './studyData.ts';
import { useStudy } from './studyStore.ts';

/** Limits of agreement where each group is one subject measured several times; nothing where groups are none. */
export function ReplicatesPanel({ result: { groups, data } }: { result: StudyResult }) {
  const conventions = useStudy((state) => state.conventions);
  const found = useMemo(() => {
    const subjects = groups.slice(1).filter(({ a }) => a.length > 0);
    return orWhy(() => replicateAgreement(subjects, conventions));
  }, [groups, conventions]);
  if (groups.length < 3 || !groups.slice(1).some(({ a }) => a.length > 1)) return null;
  return (
    <details className="study__conventions">
      <summary>Each group is one tooth or subject measured several times</summary>
      {'why' in found ? (
        <p>{found.why}</p>
      ) : (
        <Replicates unit={data.unit} names={data.names} found={found.ok} />
      )}
    </details>
  );
}

function Replicates({
  found,
  names,
  unit,
}: {
  found: ReturnType<typeof replicateAgreement>;
  names: readonly [string, string];
  unit: string;
}) {
  const digits = digitsFor(found.sd);
  const within = (variance: number | null): string =>
    variance === null ? '–' : fixed(Math.sqrt(variance), digits);
  return (
    <table className="grid study__figures">
      <caption className="visually-hidden">Figures of repeated measurements</caption>
      <thead>
        <tr>
          <th scope="col">
            {found.subjects} subjects{unit && `, ${unit}`}
          </th>
          <th scope="col">value</th>
          <th scope="col">95 % interval</th>
        </tr>
      </thead>
      <tbody>
        <tr>
          <th scope="row">Bias of the subjects’ means</th>
          <td>{fixed(found.bias, digits)}</td>
          <td>{interval(found.biasCi, digits)}</td>
        </tr>
        <tr>
          <th scope="row">SD of single differences, averaging undone</th>
          <td>{fixed(found.sd, digits)}</td>
          <td />
        </tr>
        <tr>
          <th scope="row">Lower limit, single measurements</th>
          <td>{fixed(found.limits[0], digits)}</td>
          <td>{interval(found.limitsCi[0], digits)}</td>
        </tr>
        <tr>
          <th scope="row">Upper limit, single measurements</th>
          <td>{fixed(found.limits[1], digits)}</td>
          <td>{interval(found.limitsCi[1], digits)}</td>
        </tr>
        <tr>
          <th scope="row">SD within subjects, {names[0]}</th>
          <td>{within(found.withinVarianceA)}</td>
          <td />
        </tr>
        <tr>
          <th scope="row">SD within subjects, {names[1]}</th>
          <td>{within(found.withinVarianceB)}</td>
          <td />
        </tr>
      </tbody>
    </table>
  );
}
