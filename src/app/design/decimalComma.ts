const NUMBER_FIELD = 'input[inputmode="numeric"], input[inputmode="decimal"]';

/**
 * Takes a decimal comma typed or pasted into a number field as a decimal point. Fields show points whatever the
 * browser's language; a comma would otherwise part thousands, and 0,3 mm would become 3.
 * Accuracy: both signs give the same number in a German and an English browser — tests/e2e/locale.spec.ts.
 */
export function takeDecimalComma(document: Document): void {
  const isComma = (target: EventTarget | null, text: string | null | undefined): text is string =>
    target instanceof HTMLInputElement && target.matches(NUMBER_FIELD) && Boolean(text?.includes(','));
  const insertInstead = (event: Event, text: string): void => {
    event.preventDefault();
    event.stopPropagation();
    // The only way to insert at the caret that the field's own checks, undo and React all take for typing.
    document.execCommand('insertText', false, text.trim().replaceAll(',', '.'));
  };
  document.addEventListener(
    'beforeinput',
    (event) => {
      if (event.inputType === 'insertText' && isComma(event.target, event.data))
        insertInstead(event, event.data as string);
    },
    { capture: true },
  );
  document.addEventListener(
    'paste',
    (event) => {
      const text = event.clipboardData?.getData('text/plain');
      if (isComma(event.target, text)) insertInstead(event, text);
    },
    { capture: true },
  );
}
