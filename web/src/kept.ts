// What this browser keeps as JSON under a version. Pure: text in, what it holds out.

/** What is kept under a key of an object with that version; `undefined` where the text is none such. */
export function keptUnder(text: string, version: number, key: string): unknown {
  try {
    const kept: unknown = JSON.parse(text);
    if (typeof kept !== 'object' || kept === null || !('version' in kept) || kept.version !== version) return undefined;
    return (kept as Record<string, unknown>)[key];
  } catch {
    return undefined;
  }
}
