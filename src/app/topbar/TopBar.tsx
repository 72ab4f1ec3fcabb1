import { useState } from 'react';
import {
  Button,
  Header,
  Menu,
  MenuItem,
  MenuSection,
  MenuTrigger,
  Popover,
  Separator,
} from 'react-aria-components';
import { useStore as useZustand } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import { IconButton, Segments, TextButton } from '../design/controls.tsx';
import { HelpIcon, PrintIcon, RedoIcon, SunIcon, UndoIcon } from '../design/icons.tsx';
import { chooseTheme } from '../design/theme.ts';
import { saveCaseFile } from '../files/caseFiles.ts';
import { useFiles } from '../files/fileStore.ts';
import { replaceCaseWithEmpty } from '../files/session.ts';
import { actions, redo, type UiState, undo, useStore } from '../store.ts';
import { setStudy } from '../study/studyStore.ts';
import { showDialog } from './dialogStore.ts';
import { chooseCase, chooseScan } from './fileChoosers.ts';
import './TopBar.css';

function Mark() {
  return (
    <svg width="22" height="22" viewBox="0 0 22 22" aria-hidden="true">
      <path d="M2 3.5C2 13 6 19.5 11 19.5S20 13 20 3.5" fill="none" stroke="currentColor" strokeWidth="1.8" />
      <path
        d="M11 19.5v-5M5.3 14.8l3.2-3M16.7 14.8l-3.2-3M2.6 8h4.2M19.4 8h-4.2"
        stroke="var(--accent)"
        strokeWidth="1.6"
      />
    </svg>
  );
}

/** Name, case, files, undo, print, theme and help. */
export function TopBar() {
  const activeJaw = useStore((state) => state.activeJaw);
  const hasUpper = useStore((state) => state.caseDocument.arches.upper !== null);
  const hasLower = useStore((state) => state.caseDocument.arches.lower !== null);
  return (
    <header className="bar">
      <h1 className="bar__name">
        <Mark />
        Archledger
      </h1>
      <TitleField />
      <span className="bar__group">
        <TextButton tone="strong" onPress={chooseScan}>
          Open scan…
        </TextButton>
        <CaseMenu />
      </span>
      <span className="bar__group">
        <UndoButtons />
      </span>
      <Segments<Jaw>
        label="Arch"
        value={activeJaw}
        onChange={(jaw) => actions().setActiveJaw(jaw)}
        choices={[
          { id: 'upper', label: hasUpper ? 'Upper' : 'Upper: none' },
          { id: 'lower', label: hasLower ? 'Lower' : 'Lower: none' },
        ]}
      />
      <span className="bar__group bar__end">
        <TextButton tone="plain" onPress={() => showDialog('lessons')}>
          Lessons
        </TextButton>
        <SavedState />
        <IconButton label="Print: plan, visit sheet, report" onPress={() => showDialog('print')}>
          <PrintIcon />
        </IconButton>
        <ThemeMenu />
        <HelpMenu />
      </span>
    </header>
  );
}

function TitleField() {
  const title = useStore((state) => state.caseDocument.title);
  const [typed, setTyped] = useState<string | null>(null);
  const commit = (): void => {
    if (typed !== null && typed !== title) actions().setTitle(typed);
    setTyped(null);
  };
  return (
    <input
      className="bar__title"
      aria-label="Case title"
      placeholder="Untitled case"
      maxLength={200}
      value={typed ?? title}
      onChange={(event) => setTyped(event.target.value)}
      onBlur={commit}
      onKeyDown={(event) => {
        if (event.key === 'Enter') event.currentTarget.blur();
        if (event.key === 'Escape') setTyped(null);
      }}
    />
  );
}

function UndoButtons() {
  const past = useZustand(useStore.temporal, (state) => state.pastStates.length);
  const future = useZustand(useStore.temporal, (state) => state.futureStates.length);
  return (
    <>
      <IconButton label="Undo (Ctrl Z)" isDisabled={past === 0} onPress={() => undo()}>
        <UndoIcon />
      </IconButton>
      <IconButton label="Redo (Ctrl Shift Z)" isDisabled={future === 0} onPress={() => redo()}>
        <RedoIcon />
      </IconButton>
    </>
  );
}

const CASE_ACTIONS: Readonly<Record<string, () => void>> = {
  new: () => void replaceCaseWithEmpty(),
  kept: () => showDialog('cases'),
  open: chooseCase,
  save: saveCaseFile,
  samples: () => showDialog('samples'),
  csv: () => showDialog('tables'),
  reading: () => showDialog('reading'),
  study: () => setStudy({ open: true }),
};

function CaseMenu() {
  return (
    <MenuTrigger>
      <Button className="button" data-case-menu>
        Case <span aria-hidden="true">▾</span>
      </Button>
      <Popover className="popover" offset={4}>
        <Menu aria-label="Case" onAction={(key) => CASE_ACTIONS[String(key)]?.()}>
          <MenuItem id="new" className="option">
            New case
          </MenuItem>
          <MenuItem id="kept" className="option">
            Cases kept in this browser…
          </MenuItem>
          <MenuItem id="samples" className="option">
            Sample arches…
          </MenuItem>
          <Separator className="option__rule" />
          <MenuItem id="open" className="option">
            Open case file…
          </MenuItem>
          <MenuItem id="save" className="option">
            Save as case file
          </MenuItem>
          <MenuItem id="csv" className="option">
            Save tables as CSV…
          </MenuItem>
          <Separator className="option__rule" />
          <MenuItem id="reading" className="option">
            Readings of this arch…
          </MenuItem>
          <MenuItem id="study" className="option">
            Study…
          </MenuItem>
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}

function ThemeMenu() {
  const theme = useStore((state) => state.ui.theme);
  return (
    <MenuTrigger>
      <IconButton label="Light or dark">
        <SunIcon />
      </IconButton>
      <Popover className="popover" placement="bottom end">
        <Menu
          aria-label="Light or dark"
          selectionMode="single"
          disallowEmptySelection
          selectedKeys={[theme]}
          onSelectionChange={(keys) => {
            const [key] = keys === 'all' ? [] : [...keys];
            if (key !== undefined) chooseTheme(key as UiState['theme']);
          }}
        >
          <MenuSection>
            <Header className="visually-hidden">Theme</Header>
            <MenuItem id="light" className="option">
              Light
            </MenuItem>
            <MenuItem id="dark" className="option">
              Dark
            </MenuItem>
            <MenuItem id="system" className="option">
              As the system
            </MenuItem>
          </MenuSection>
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}

function HelpMenu() {
  return (
    <MenuTrigger>
      <IconButton label="Help">
        <HelpIcon />
      </IconButton>
      <Popover className="popover" placement="bottom end">
        <Menu aria-label="Help" onAction={(key) => showDialog(key === 'about' ? 'about' : 'shortcuts')}>
          <MenuItem id="shortcuts" className="option">
            Keyboard shortcuts…
          </MenuItem>
          <MenuItem id="about" className="option">
            About and cautions…
          </MenuItem>
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}

const clock = (date: Date): string => date.toLocaleTimeString('en-GB', { timeStyle: 'short' });

/** Whether the case is safe in this browser's storage, shown all the time. */
function SavedState() {
  const saving = useFiles((state) => state.saving);
  const savedAt = useFiles((state) => state.savedAt);
  if (saving?.kind === 'failed') return <span className="bar__saved bar__saved_failed">Not saved</span>;
  const text =
    saving?.kind === 'saving' || saving?.kind === 'waiting'
      ? 'Saving…'
      : savedAt
        ? `Saved ${clock(savedAt)}`
        : 'Not changed yet';
  return (
    <span className="bar__saved" role="status">
      {text}
    </span>
  );
}
