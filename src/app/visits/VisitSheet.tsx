import { isRight, type Jaw, positionOf, toothLabel } from '../../core/base/tooth.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import type { PlanContact } from '../../core/reduction/ReductionPlan.ts';
import { shareSurfaces } from '../../core/reduction/shareSurfaces.ts';
import { contactKey } from '../../core/visits/CutEntry.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { contactLabel, day, fixed, jawName, mm, unbroken } from '../format.ts';
import { usePrintChoice } from '../print/printStore.ts';
import { useStore } from '../store.ts';
import { ArchFigure, type ContactWords } from './ArchFigure.tsx';
import { type DueInVisit, dueBefore } from './useVisitAccount.ts';
import './visitSheet.css';

/** One line of the sheet: a contact at which something is due. */
interface SheetLine {
  readonly contact: PlanContact;
  readonly dueMm: number;
  readonly heldMm: number;
  readonly surfacesMm: readonly [number, number];
  readonly order: number | null;
}

/** Hindmost first, on each side toward the front, right before left. */
function inOrderOfWork(lines: readonly SheetLine[]): readonly SheetLine[] {
  const depth = ({ contact: { teeth } }: SheetLine): number => Math.max(...teeth.map(positionOf));
  const side = ({ contact: { teeth } }: SheetLine): number =>
    isRight(teeth[0]) !== isRight(teeth[1]) ? 2 : isRight(teeth[0]) ? 0 : 1;
  let order = 0;
  return [...lines]
    .sort((a, b) => side(a) - side(b) || depth(b) - depth(a))
    .map((line) => (line.dueMm > 0 ? { ...line, order: ++order } : line));
}

function linesOf({ account: { balance }, due }: DueInVisit): readonly SheetLine[] {
  const { rest } = balance;
  return inOrderOfWork(
    rest.plan.contacts.flatMap((contact, i): SheetLine[] => {
      const dueMm = due.get(contactKey(contact.teeth)) ?? 0;
      if (dueMm <= 0 && contact.heldBackMm <= 0) return [];
      const surfacesMm = shareSurfaces(dueMm, rest.request.contacts[i].surfaceLimitsMm);
      return [{ contact, dueMm, heldMm: contact.heldBackMm, surfacesMm, order: null }];
    }),
  );
}

/** The sheet to work from at the chair: one page, A4 or Letter, legible in black and white. */
export function VisitSheet({ jaw, visit }: { jaw: Jaw; visit: number }) {
  const title = useStore((state) => state.caseDocument.title);
  const notation = useStore((state) => state.caseDocument.notation);
  const name = usePrintChoice((choice) => choice.name);
  const measures = useArchAccount(jaw)?.measures ?? null;
  const known = dueBefore(jaw, visit);
  if (!measures || !known) return <p>There is no plan for this arch yet.</p>;
  const { verdict } = known.account.balance;
  const isOpen = verdict.says === 'more';
  const lines = isOpen ? linesOf(known) : [];
  const words = lines.map(
    ({ contact, dueMm, heldMm, surfacesMm, order }): ContactWords => ({
      teeth: contact.teeth,
      order,
      main: dueMm > 0 ? fixed(dueMm, 1) : '0',
      below: dueMm > 0 ? `${short(surfacesMm[0])} | ${short(surfacesMm[1])}` : null,
      held: heldMm > 0 ? fixed(heldMm, 1) : null,
    }),
  );
  return (
    <article className="chairsheet">
      <header className="chairsheet__head">
        <div>
          <h2>
            Visit {visit}, {jawName(jaw).toLowerCase()}
          </h2>
          <p>{title || 'Case without a title'}</p>
        </div>
        <p className="chairsheet__blank">
          Name <span>{name}</span> Date <span className="chairsheet__short" /> Initials{' '}
          <span className="chairsheet__short" />
        </p>
      </header>
      {isOpen ? (
        <p className="chairsheet__sum num">
          Cut in this visit <b>{mm(known.dueMm, 1)}&nbsp;mm</b> at{' '}
          {lines.filter((line) => line.dueMm > 0).length} contacts;{' '}
          {mm(known.account.balance.rest.plan.heldBackMm, 1)}&nbsp;mm are held back and not to be cut before a
          new measurement.
        </p>
      ) : (
        <div className="chairsheet__stop">
          <p>
            <b>No enamel is to be cut in this visit.</b>
          </p>
          {verdict.reasons.map((reason) => (
            <p key={reason}>{unbroken(reason)}</p>
          ))}
        </div>
      )}
      <ArchFigure
        measures={measures}
        words={words}
        label={`${jawName(jaw)} from above with the tenths of visit ${visit}`}
      />
      <p className="chairsheet__key">
        Patient’s right on the left. Widths and places to scale, outlines schematic. In each box: order of
        work (encircled), mm to take, and below it what each of the two surfaces gives, right | left. Dashed:
        held back.
      </p>
      {lines.length > 0 && (
        <table className="chairsheet__table num">
          <thead>
            <tr>
              <th scope="col">No.</th>
              <th scope="col">Contact</th>
              <th scope="col">Take, mm</th>
              <th scope="col">Surfaces, mm</th>
              <th scope="col">Held back</th>
              <th scope="col">Gauge to pass</th>
              <th scope="col">Passed</th>
              <th scope="col">Stopped</th>
              <th scope="col">Instrument</th>
              <th scope="col">Polished</th>
              <th scope="col">Fluoride</th>
            </tr>
          </thead>
          <tbody>
            {lines.map(({ contact, dueMm, heldMm, surfacesMm, order }) => (
              <tr key={contactKey(contact.teeth)} className={dueMm > 0 ? undefined : 'chairsheet__waits'}>
                <td>{order ?? '–'}</td>
                <th scope="row">{contactLabel(contact.teeth, notation)}</th>
                <td>
                  <b>{dueMm > 0 ? fixed(dueMm, 1) : 'wait'}</b>
                </td>
                <td>
                  {dueMm > 0
                    ? `${toothLabel(contact.teeth[0], notation)}: ${short(surfacesMm[0])}, ${toothLabel(contact.teeth[1], notation)}: ${short(surfacesMm[1])}`
                    : ''}
                </td>
                <td>{heldMm > 0 ? <span className="held">{fixed(heldMm, 1)}</span> : ''}</td>
                <td>{dueMm > 0 ? fixed(dueMm, 1) : ''}</td>
                <td className="chairsheet__write" />
                <td className="chairsheet__write" />
                <td className="chairsheet__write" />
                <td>{dueMm > 0 && <i className="chairsheet__box" />}</td>
                <td>{dueMm > 0 && <i className="chairsheet__box" />}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p className="chairsheet__key">
        Gauge to pass: in a contact that was tight before the cut; where a gauge passes already, add its size.
        Order: hindmost first, toward the front (from memory, unverified). Write down what passes and what
        stops, not what was planned.
      </p>
      <section className="chairsheet__cautions">
        <h3>Cautions</h3>
        <ul>
          {cautionsAt('sheet').map((caution) => (
            <li key={caution.id}>{unbroken(caution.text)}</li>
          ))}
        </ul>
      </section>
      <footer className="chairsheet__foot">
        <p>
          Archledger, printed {day(new Date())}. ± and risk by the plan: at most{' '}
          {fixed((known.account.balance.rest.request.overshootRisk ?? 0) * 100, 0)} % that what is committed
          exceeds the need.
        </p>
      </footer>
    </article>
  );
}

/** "0.1" or "0.15": as few digits as say it. */
const short = (value: number): string => String(Math.round(value * 100) / 100);
