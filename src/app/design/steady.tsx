import { type ComponentType, isValidElement, memo, useLayoutEffect, useRef, useState } from 'react';

type Props = Readonly<Record<string, unknown>>;
type Handler = (...args: readonly unknown[]) => unknown;

const isHandler = (name: string, value: unknown): value is Handler =>
  typeof value === 'function' && /^on[A-Z]/.test(name);

const isPlain = (value: unknown): value is Props =>
  typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype;

/** Equal by content: texts and numbers, lists and plain objects of them, and elements made alike. */
export function sameContent(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((entry, i) => sameContent(entry, b[i]));
  if (isValidElement(a) && isValidElement(b))
    return a.type === b.type && a.key === b.key && sameContent(a.props, b.props);
  if (!isPlain(a) || !isPlain(b) || isValidElement(a) || isValidElement(b)) return false;
  const names = Object.keys(a);
  return (
    names.length === Object.keys(b).length &&
    names.every((name) => Object.hasOwn(b, name) && sameContent(a[name], b[name]))
  );
}

/**
 * The component, drawn again only when its content changes: its handlers keep their identity and always call the
 * latest ones given. A moved mark renders many panels; most of their buttons and fields stay as they are.
 */
export function steady<P extends object>(Inner: ComponentType<P>): ComponentType<P> {
  const Kept = memo(Inner as ComponentType<Props>, sameContent);
  function Steady(props: P) {
    const latest = useRef(props as Props);
    useLayoutEffect(() => {
      latest.current = props as Props;
    });
    const [handlers] = useState(() => new Map<string, Handler>());
    const kept = { ...props } as Record<string, unknown>;
    for (const [name, value] of Object.entries(props)) {
      if (!isHandler(name, value)) continue;
      const known = handlers.get(name) ?? ((...args) => (latest.current[name] as Handler)(...args));
      handlers.set(name, known);
      kept[name] = known;
    }
    return <Kept {...kept} />;
  }
  Steady.displayName = Inner.displayName ?? Inner.name;
  return Steady;
}
