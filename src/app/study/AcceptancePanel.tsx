import { equivalence } from '../../core/study/pairedTests.ts';
import { pairsForBias, pairsForLimits, subjectsForIntraclass } from '../../core/study/sampleSize.ts';
import { NumberInput } from '../design/controls.tsx';
import { count } from '../format.ts';
import { digitsFor, interval, pWord } from './figureRows.ts';
import { type OrWhy, orWhy, type StudyResult } from './studyData.ts';
import { setStudy, useStudy } from './studyStore.ts';

/** Is the difference small enough, and how many pairs would tell? */
export function AcceptancePanel({ result }: { result: StudyResult }) {
  const { data } = result;
  const acceptance = useStudy((state) => state.acceptance);
  const wanted = useStudy((state) => state.wantedHalfWidth);
  return (
    <section className="study__part" aria-labelledby="study-acceptance">
      <h2 id="study-acceptance">Acceptance and size</h2>
      <div className="study__fields">
        <NumberInput
          label="Acceptance limit ±"
          value={acceptance}
          onChange={(value) => setStudy({ acceptance: value })}
          unit={data.unit}
          step={0.05}
          digits={2}
          min={0}
          note="In use: 0.20 mm a tooth (Schirmer UR, Wiltshire WA, Am J Orthod Dentofacial Orthop 1997;112:400–407), 0.3 and 0.5 mm elsewhere; all from memory, unverified"
          width="9rem"
        />
        <NumberInput
          label="Half width wanted of an interval"
          value={wanted}
          onChange={(value) => setStudy({ wantedHalfWidth: value })}
          unit={data.unit}
          step={0.01}
          digits={2}
          min={0}
          width="9rem"
        />
      </div>
      <AcceptanceWords result={result} />
    </section>
  );
}

/** The answers in words, on the page and on paper. */
export function AcceptanceWords({ result: { data, groups, study } }: { result: StudyResult }) {
  const acceptance = useStudy((state) => state.acceptance);
  const wanted = useStudy((state) => state.wantedHalfWidth);
  const { a, b } = groups[0];
  const { agreement, icc } = study.groups[0].figures;
  const digits = digitsFor(agreement?.sd);
  const test = acceptance === null ? null : orWhy(() => equivalence(a, b, acceptance));
  return (
    <>
      {test && 'why' in test && <p>{test.why}</p>}
      {test && 'ok' in test && (
        <ul className="study__list num">
          <li>
            Bias within ±{acceptance} {data.unit}: <b>{test.ok.isEquivalent ? 'yes' : 'not shown'}</b>, p{' '}
            {pWord(test.ok.p)} (two one-sided tests; 90 % interval {interval(test.ok.biasCi90, digits)}{' '}
            {data.unit}).
          </li>
          <li>
            Limits of agreement within it: <b>{test.ok.areLimitsWithin ? 'yes' : 'no'}</b>; their intervals
            too: <b>{test.ok.areLimitsCiWithin ? 'yes' : 'no'}</b>. A small bias says nothing of a single
            tooth.
          </li>
        </ul>
      )}
      {wanted !== null && agreement && (
        <ul className="study__list num">
          <li>
            Pairs for an interval of the bias of ±{wanted} {data.unit}:{' '}
            <b>{sizeOf(orWhy(() => pairsForBias(agreement.sd, wanted)))}</b>, of each limit of agreement:{' '}
            <b>{sizeOf(orWhy(() => pairsForLimits(agreement.sd, wanted)))}</b>, at this SD.
          </li>
          {icc?.single2.value != null && (
            <li>
              Subjects for an interval of ICC (2,1) 0.1 wide in all:{' '}
              <b>{sizeOf(orWhy(() => subjectsForIntraclass(icc.single2.value!, 2, 0.1)))}</b>, at this
              correlation.
            </li>
          )}
        </ul>
      )}
    </>
  );
}

const sizeOf = (size: OrWhy<number>): string => ('ok' in size ? count(size.ok) : 'none can be given');
