// What the machine puts on paper: maps, sheets.
import { credentials, own } from './door';

/** Follows a link to a file under that name. A paired browser has to show its token, which a plain link cannot: it fetches and saves it. */
export async function saveFile(event: MouseEvent, address: string, name: string): Promise<void> {
  if (own()) return;
  event.preventDefault();
  try {
    const answer = await fetch(address, { cache: 'no-store', headers: credentials() });
    if (!answer.ok) return;
    const link = document.createElement('a');
    link.href = URL.createObjectURL(await answer.blob());
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  } catch {
    // Out of touch: a second press asks again.
  }
}
