import { Component, type ReactNode } from 'react';
import { saveCaseFile } from '../files/caseFiles.ts';
import { TextButton } from './controls.tsx';

/** Keeps a fault of one part of the page from taking the others along: says so, and offers the case as a file. */
export class FaultBoundary extends Component<
  { readonly part: string; readonly children: ReactNode },
  { readonly fault: Error | null }
> {
  override state = { fault: null as Error | null };

  static getDerivedStateFromError(error: unknown): { fault: Error } {
    return { fault: error instanceof Error ? error : new Error(String(error)) };
  }

  override render(): ReactNode {
    const { fault } = this.state;
    if (!fault) return this.props.children;
    return (
      <div className="empty empty_small" role="alert">
        <p>
          <b>{this.props.part} cannot be shown: a fault of this program.</b> The case is not touched by it.
        </p>
        <p className="soft">{fault.message}</p>
        <div className="empty__actions">
          <TextButton onPress={() => this.setState({ fault: null })}>Try again</TextButton>
          <TextButton onPress={saveCaseFile}>Save as case file</TextButton>
        </div>
      </div>
    );
  }
}
