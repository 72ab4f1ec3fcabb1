import { lazy, Suspense, startTransition, useDeferredValue, useEffect, useState } from 'react';
import { Tab, TabList, TabPanel, Tabs } from 'react-aria-components';
import { useArchAccount, useMarksRefusal } from './account/useArchAccount.ts';
import { usePlanning } from './account/usePlan.ts';
import { usePlannedAmounts } from './account/usePlannedAmounts.ts';
import './App.css';
import type { ArchRecord } from '../core/casefile/CaseDocument.ts';
import { ToothChart } from './chart/ToothChart.tsx';
import { CoursePanel } from './course/CoursePanel.tsx';
import { TextButton } from './design/controls.tsx';
import { FaultBoundary } from './design/FaultBoundary.tsx';
import { HiddenFiguresNote } from './design/hiddenFigures.tsx';
import { useThemeOnPage } from './design/theme.ts';
import { Dock } from './dock/Dock.tsx';
import { FileDialogs } from './files/FileDialogs.tsx';
import { useFiles } from './files/fileStore.ts';
import { Notices } from './files/Notices.tsx';
import { ReadingProgress } from './files/ReadingProgress.tsx';
import { ScanPanel } from './files/ScanPanel.tsx';
import { useDropAnywhere } from './files/useDropAnywhere.ts';
import { jawName } from './format.ts';
import { LiveRegion } from './LiveRegion.tsx';
import { AccountPanel } from './ledger/AccountPanel.tsx';
import { ArchPanel } from './ledger/ArchPanel.tsx';
import { TeethPanel } from './ledger/TeethPanel.tsx';
import { LessonBar } from './lessons/LessonBar.tsx';
import { useRunningLesson } from './lessons/useRunningLesson.ts';
import { PlanPanel } from './plan/PlanPanel.tsx';
import { PrintSheets } from './print/PrintSheets.tsx';
import { ProposalBanner } from './proposal/ProposalBanner.tsx';
import { useFollowUpOnShow } from './state/onShow.ts';
import { useStore } from './store.ts';
import { Strip } from './strip/Strip.tsx';
import { BlindedBar } from './study/BlindedBar.tsx';
import { useIsBlindUnderWay } from './study/blindedReading.ts';
import { useStudy } from './study/studyStore.ts';
import { showDialog } from './topbar/dialogStore.ts';
import { chooseScan } from './topbar/fileChoosers.ts';
import { TopBar } from './topbar/TopBar.tsx';
import { useShortcuts } from './topbar/useShortcuts.ts';
import { LaterScanBar } from './visits/LaterScanBar.tsx';
import { VisitsPanel } from './visits/VisitsPanel.tsx';
import { WaysPanel } from './ways/WaysPanel.tsx';

const StudyRoom = lazy(async () => ({ default: (await import('./study/StudyRoom.tsx')).StudyRoom }));
const ArchScene = lazy(async () => ({ default: (await import('./scene/ArchScene.tsx')).ArchScene }));

/** The workbench: the arch in 3D, its account beside it, and the strip below. */
export function App() {
  useThemeOnPage();
  useShortcuts();
  const dropping = useDropAnywhere();
  const inStudy = useStudy((state) => state.open);
  return (
    <>
      <div className="bench no-print" inert={inStudy}>
        <TopBar />
        <Notices />
        <main className="bench__desk">
          <div className="bench__arch">
            <ProposalArea />
            <FaultBoundary part="The 3D view">
              <SceneArea />
            </FaultBoundary>
            <FaultBoundary part="The tooth chart">
              <ToothChart />
            </FaultBoundary>
          </div>
          <aside className="bench__ledger" aria-labelledby="ledger-title">
            <h2 id="ledger-title" className="visually-hidden">
              Account of the arch
            </h2>
            <HiddenFiguresNote />
            <LedgerTabs />
            <FaultBoundary part="What is selected">
              <Dock />
            </FaultBoundary>
          </aside>
        </main>
        <footer className="bench__foot">
          <FaultBoundary part="The strip">
            <StripArea />
          </FaultBoundary>
        </footer>
        {dropping && <div className="drop">Drop a scan or a case file</div>}
      </div>
      {inStudy && (
        <FaultBoundary part="The study">
          <Suspense fallback={null}>
            <StudyRoom />
          </Suspense>
        </FaultBoundary>
      )}
      <Planning />
      <FileDialogs />
      <LiveRegion />
      <PrintSheets />
    </>
  );
}

/** Keeps the plans in step; a component of its own, so that a moved mark draws nothing else anew. */
function Planning() {
  usePlanning();
  return null;
}

/**
 * True while the jaw on show has a record, but for the moment after its scan arrives: what it brings is then built in
 * small slices instead of in the task that received the scan.
 */
const useIsShown = (): boolean => {
  const isOpen = useStore((state) => state.caseDocument.arches[state.activeJaw] !== null);
  return useDeferredValue(isOpen) && isOpen;
};

function useRecordShown(): ArchRecord | null {
  const record = useStore((state) => state.caseDocument.arches[state.activeJaw]);
  return useIsShown() ? record : null;
}

function ProposalArea() {
  const jaw = useStore((state) => state.activeJaw);
  const lesson = useRunningLesson(jaw);
  const isBlind = useIsBlindUnderWay(jaw);
  const later = useFollowUpOnShow(jaw);
  if (!useIsShown()) return null;
  if (lesson) return <LessonBar jaw={jaw} />;
  if (isBlind) return <BlindedBar jaw={jaw} />;
  return later ? <LaterScanBar jaw={jaw} followUp={later} /> : <ProposalBanner jaw={jaw} />;
}

function SceneArea() {
  const jaw = useStore((state) => state.activeJaw);
  const isShown = useIsShown();
  const isOpen = useStore((state) => state.caseDocument.arches[state.activeJaw] !== null);
  return (
    <div className="bench__scene">
      {isOpen && !isShown ? (
        <div className="empty" aria-busy="true" />
      ) : isShown ? (
        <Suspense fallback={<div className="empty" />}>
          <ArchScene jaw={jaw} />
        </Suspense>
      ) : (
        <EmptyArch />
      )}
      <ReadingProgress />
    </div>
  );
}

function EmptyArch() {
  const jaw = useStore((state) => state.activeJaw);
  const starting = useFiles((state) => state.starting);
  if (starting) return <div className="empty" aria-busy="true" />;
  return (
    <div className="empty">
      <h2>No scan of the {jaw} arch yet</h2>
      <p>
        Open a surface scan of one dental arch (STL, PLY or OBJ), or drop it anywhere on this page. It is read
        here in your browser and never leaves this computer.
      </p>
      <div className="empty__actions">
        <TextButton tone="strong" onPress={chooseScan}>
          Open a scan…
        </TextButton>
        <TextButton onPress={() => showDialog('samples')}>Sample arches…</TextButton>
      </div>
    </div>
  );
}

const TABS = [
  { id: 'account', label: 'Account' },
  { id: 'teeth', label: 'Teeth' },
  { id: 'arch', label: 'Arch' },
  { id: 'plan', label: 'Plan' },
  { id: 'course', label: 'Course' },
  { id: 'ways', label: 'Ways' },
  { id: 'visits', label: 'Visits' },
  { id: 'scan', label: 'Scan' },
] as const;

function LedgerTabs() {
  const jaw = useStore((state) => state.activeJaw);
  const isShown = useIsShown();
  const [tab, setTab] = useState<string>('account');
  const selectedContact = useStore((state) => state.ui.selectedContact);
  useEffect(() => {
    if (selectedContact) setTab((now) => (now === 'account' ? 'plan' : now));
  }, [selectedContact]);
  if (!isShown)
    return (
      <div className="empty empty_small">
        <p>
          The account of the {jaw} arch appears here once its scan is open and its contact points are marked.
        </p>
      </div>
    );
  return (
    <Tabs className="tabs" selectedKey={tab} onSelectionChange={(key) => setTab(String(key))}>
      <TabList className="tabs__list" aria-label={`${jawName(jaw)}: what is shown`}>
        {TABS.map(({ id, label }) => (
          <Tab key={id} id={id} className="tabs__tab">
            {label}
          </Tab>
        ))}
      </TabList>
      {TABS.map(({ id }) => (
        <TabPanel key={id} id={id} className="tabs__panel">
          <FaultBoundary part="This panel">
            <Panel id={id} />
          </FaultBoundary>
        </TabPanel>
      ))}
    </Tabs>
  );
}

/** What a tab shows; apart from the tabs, which stay as they are when a mark moves. */
function Panel({ id }: { id: (typeof TABS)[number]['id'] }) {
  const jaw = useStore((state) => state.activeJaw);
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const account = useArchAccount(jaw);
  const refusal = useMarksRefusal(jaw);
  if (!record) return null;
  if (id === 'scan') return <ScanPanel record={record} />;
  if (!account)
    return (
      <div className="sheet">
        <p className="status__word">The marks contradict each other</p>
        <p>{refusal?.message.replace(/^\w+: /, '')}</p>
      </div>
    );
  if (id === 'account')
    return <AccountPanel record={record} measures={account.measures} ledger={account.ledger} />;
  if (id === 'teeth') return <TeethPanel record={record} measures={account.measures} />;
  if (id === 'arch') return <ArchPanel record={record} measures={account.measures} />;
  if (id === 'visits') return <VisitsPanel record={record} />;
  if (id === 'ways') return <WaysPanel record={record} account={account} />;
  if (id === 'course') return <CoursePanel record={record} account={account} />;
  return <PlanPanel record={record} account={account} />;
}

/** As `useIsShown`, one task later: what is heavy and below the arch does not lengthen the task that shows the arch. */
function useIsShownNext(): boolean {
  const isShown = useIsShown();
  const [isNext, setNext] = useState(isShown);
  useEffect(() => {
    if (!isShown) {
      setNext(false);
      return;
    }
    const waiting = setTimeout(() => startTransition(() => setNext(true)));
    return () => clearTimeout(waiting);
  }, [isShown]);
  return isShown && isNext;
}

function StripArea() {
  const jaw = useStore((state) => state.activeJaw);
  const shown = useRecordShown();
  const record = useIsShownNext() ? shown : null;
  const account = useArchAccount(jaw);
  const amounts = usePlannedAmounts(jaw);
  if (!record || !account)
    return (
      <section className="strip" aria-label="Strip">
        <p className="strip__empty">The arch unrolled along its line appears here.</p>
      </section>
    );
  return (
    <Strip
      key={jaw}
      record={record}
      measures={account.measures}
      request={account.asked?.request ?? null}
      amounts={amounts}
    />
  );
}
