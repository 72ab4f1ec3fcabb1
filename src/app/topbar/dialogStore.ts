import { create } from 'zustand';

export type DialogName =
  | 'samples'
  | 'cases'
  | 'shortcuts'
  | 'about'
  | 'reading'
  | 'print'
  | 'tables'
  | 'lessons';

export const useDialog = create<{ readonly open: DialogName | null }>()(() => ({ open: null }));

export const showDialog = (open: DialogName | null): void => useDialog.setState({ open });
