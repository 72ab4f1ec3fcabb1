import type { ReactNode } from 'react';

/** Line icons on a 16 px grid, drawn with the text colour. Always beside a spoken name. */
function Icon({ children }: { children: ReactNode }) {
  return (
    <svg
      width="16"
      height="16"
      viewBox="0 0 16 16"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.4"
      strokeLinecap="round"
      strokeLinejoin="round"
      aria-hidden="true"
      focusable="false"
    >
      {children}
    </svg>
  );
}

export const UndoIcon = () => (
  <Icon>
    <path d="M5.5 3 2.5 6l3 3M2.5 6h7a4 4 0 0 1 0 8H6" />
  </Icon>
);
export const RedoIcon = () => (
  <Icon>
    <path d="m10.5 3 3 3-3 3M13.5 6h-7a4 4 0 0 0 0 8H10" />
  </Icon>
);
export const PrintIcon = () => (
  <Icon>
    <path d="M4.5 6V2h7v4M4.5 12h-2V6.5h11V12h-2M4.5 9.5h7V14h-7z" />
  </Icon>
);
export const SunIcon = () => (
  <Icon>
    <circle cx="8" cy="8" r="3" />
    <path d="M8 1.5v1.3M8 13.2v1.3M1.5 8h1.3M13.2 8h1.3M3.4 3.4l.9.9M11.7 11.7l.9.9M12.6 3.4l-.9.9M4.3 11.7l-.9.9" />
  </Icon>
);
export const HelpIcon = () => (
  <Icon>
    <circle cx="8" cy="8" r="6.3" />
    <path d="M6.2 6.3a1.9 1.9 0 1 1 2.7 1.7c-.6.3-.9.7-.9 1.3M8 11.5v.1" />
  </Icon>
);
export const CloseIcon = () => (
  <Icon>
    <path d="m4 4 8 8M12 4l-8 8" />
  </Icon>
);
export const PlusIcon = () => (
  <Icon>
    <path d="M8 3v10M3 8h10" />
  </Icon>
);
export const MinusIcon = () => (
  <Icon>
    <path d="M3 8h10" />
  </Icon>
);
export const FitIcon = () => (
  <Icon>
    <path d="M1.5 3v10M14.5 3v10M4 8h8M4 8l2-2M4 8l2 2M12 8l-2-2M12 8l-2 2" />
  </Icon>
);
