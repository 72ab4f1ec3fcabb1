import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import { entryHistory, standingEntries } from '../../core/visits/CutEntry.ts';
import { WAY_SOURCES } from '../../core/visits/cutEstimate.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import {
  contactLabel,
  dayAndTime,
  fixed,
  jawName,
  STANDING_WORDS,
  sentence,
  signed,
  unbroken,
} from '../format.ts';
import { proposedCount } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { ArchFigure } from '../visits/ArchFigure.tsx';
import { BalanceSection } from '../visits/BalanceSection.tsx';
import { ClosureEffects } from '../visits/ClosureSection.tsx';
import { ContactChanges, DoubtsKey, RegistrationLine, ToothChanges } from '../visits/FollowUpSection.tsx';
import { marksInWords } from '../visits/LaterScanBar.tsx';
import { SurfacesTable } from '../visits/SurfacesSection.tsx';
import { useVisitAccount } from '../visits/useVisitAccount.ts';
import { dayOf, entryInWords, verdictWords, WAY_NAMES } from '../visits/visitWords.ts';
import { useScanPicture } from './useScanPicture.ts';

/** What the report holds beyond account and plan: visits, later scans, balance, closing, methods and uncertainty. */
export function ReportParts() {
  return (
    <>
      <ReportArch jaw="upper" />
      <ReportArch jaw="lower" />
      <Methods />
    </>
  );
}

function ReportArch({ jaw }: { jaw: Jaw }) {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  return record && <ReportOf record={record} />;
}

function ReportOf({ record }: { record: ArchRecord }) {
  const { jaw } = record;
  const measures = useArchAccount(jaw)?.measures ?? null;
  const account = useVisitAccount(jaw);
  const picture = useScanPicture(record);
  if (!measures || !account) return null;
  const { balance, closure } = account;
  const taken = balance.rows.filter((row) => row.taken.valueMm >= 0.005);
  return (
    <article className="paper__arch">
      <h2>{jawName(jaw)}: course of treatment</h2>
      <section>
        <p className="status__word">{verdictWords(balance, proposedCount(record))}</p>
        {balance.verdict.reasons.map((reason) => (
          <p key={reason}>{unbroken(reason)}</p>
        ))}
        {(record.overrides ?? []).map((given) => (
          <p key={given.givenAt}>
            Cutting in excess was allowed on {dayAndTime(new Date(given.givenAt))}, with{' '}
            {signed(-given.neededMm)}&nbsp;mm of space: {given.reason}
          </p>
        ))}
      </section>
      <section>
        <h3>The arch from above, enamel taken at each contact</h3>
        <ArchFigure
          measures={measures}
          picture={picture}
          words={taken.map((row) => ({
            teeth: row.teeth,
            order: null,
            main: fixed(row.taken.valueMm),
            below: `± ${fixed(Math.hypot(row.taken.sdMm, row.taken.commonSdMm))}`,
            held: null,
          }))}
          label={`${jawName(jaw)} from above with the enamel taken`}
        />
        <p className="paper__note">
          {picture
            ? 'The first scan; patient’s right on the left, to the scale drawn.'
            : 'As on the first scan; patient’s right on the left. Widths and places to scale, outlines schematic.'}
        </p>
      </section>
      <VisitsSection record={record} />
      <BalanceSection account={account} still />
      {balance.surfaces.some((surface) => !surface.isEmpty) && (
        <section>
          <h3>Enamel by surface</h3>
          <SurfacesTable surfaces={balance.surfaces.filter((surface) => !surface.isEmpty)} />
        </section>
      )}
      <FollowUps account={account} />
      {balance.verdict.says === 'close' && (
        <section>
          <h3>Closing the space</h3>
          <Shares account={account} />
          <ClosureEffects closure={closure} jaw={jaw} />
        </section>
      )}
    </article>
  );
}

function Shares({ account }: { account: VisitAccount }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid num">
      <thead>
        <tr>
          <th scope="col">Close at</th>
          <th scope="col">open, mm</th>
          <th scope="col">close, mm</th>
          <th scope="col">then, mm</th>
        </tr>
      </thead>
      <tbody>
        {account.closure.shares.map((share) => (
          <tr key={share.teeth.join('-')}>
            <th scope="row">{contactLabel(share.teeth, notation)}</th>
            <td>{fixed(share.openMm)}</td>
            <td>{fixed(share.closeMm)}</td>
            <td>{signed(share.leftMm)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function VisitsSection({ record }: { record: ArchRecord }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const all = record.visits ?? [];
  const standing = standingEntries(all);
  if (standing.length === 0)
    return (
      <section>
        <h3>Visits</h3>
        <p>No visit is recorded.</p>
      </section>
    );
  return (
    <section>
      <h3>Visits</h3>
      <table className="grid num">
        <thead>
          <tr>
            <th scope="col">Visit</th>
            <th scope="col">contact</th>
            <th scope="col">planned, mm</th>
            <th scope="col" className="grid__text">
              recorded
            </th>
          </tr>
        </thead>
        <tbody>
          {standing.map((entry) => {
            const [, ...earlier] = entryHistory(all, entry);
            return (
              <tr key={entry.id}>
                <th scope="row">
                  {entry.visit}, {dayOf(entry.date)}
                </th>
                <td>{contactLabel(entry.teeth, notation)}</td>
                <td>{fixed(entry.plannedMm)}</td>
                <td className="grid__text">
                  {entryInWords(entry)}
                  {earlier.map((old) => ` (corrected; before: ${entryInWords(old)})`).join('')}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function FollowUps({ account }: { account: VisitAccount }) {
  return (
    <>
      {account.followUps.map(({ record: { scan, date, afterVisit, measure, marks } }) => (
        <section key={scan.sha256}>
          <h3>
            Follow-up scan of {dayOf(date)}, after visit {afterVisit}
          </h3>
          <p className="paper__note">
            {scan.file}, checksum {scan.sha256.slice(0, 16)}. {marksInWords({ marks })}.
          </p>
          {measure && (
            <>
              <RegistrationLine measure={measure} />
              <ContactChanges measure={measure} />
              <ToothChanges measure={measure} whole />
              <DoubtsKey measure={measure} />
            </>
          )}
        </section>
      ))}
    </>
  );
}

function Methods() {
  return (
    <article className="paper__arch">
      <h2>Methods, sources, uncertainty</h2>
      <section>
        <ul className="paper__methods">
          <li>
            <b>Widths and space.</b> Contact points are marked on the surface or proposed by the program and
            looked at; widths, arch line and space account follow from them. ± is one standard deviation, from
            the errors of the marks and, for the arch line, from teeth standing off it. Errors of the scan
            itself, which grow along the arch, are not in it.
          </li>
          <li>
            <b>Plan.</b> The most whole steps within the need; committed is what exceeds the true need with no
            more than the accepted risk, the rest is held back until a re-measurement. Limits by contact and
            by surface, enamel already taken counted in.
          </li>
          {(['gauge', 'feel', 'caliper'] as const).map((way) => (
            <li key={way}>
              <b>{WAY_NAMES[way]}.</b> {sentence(WAY_SOURCES[way].text).replace(/\.$/, '')} (
              {STANDING_WORDS[WAY_SOURCES[way].standing]}).
            </li>
          ))}
          <li>
            <b>Follow-up scan.</b> Crowns of the later scan are laid over those of the first one, each by
            itself, by the surfaces that did not change; what is missing of a proximal wall is the enamel
            gone. Movements are told against the palate or the teeth that moved least.
          </li>
          <li>
            <b>Recorded and measured.</b> Their inverse-variance mean counts; where they differ by more than
            their SDs allow, its SD is widened (Birge RT, Phys Rev 1932;40:207–227, from memory, unverified).
          </li>
          <li>
            <b>More, stop, close.</b> More: at least one step is committed at the accepted risk. Close: at
            least 0.1 mm in excess, sure at the same risk. Otherwise stop. While there is no need nothing is
            planned in the arch (our definition).
          </li>
        </ul>
      </section>
    </article>
  );
}
