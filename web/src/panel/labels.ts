import type { Label } from '../room/view';

type Shown = { element: HTMLElement; text: string; width: number };

/** No word is cut by the picture's edge. */
const EDGE_PX = 4;

/**
 * Words over the picture. They move with it many times a second, so they are kept as plain elements that are moved,
 * not rebuilt. A light's number is a button: tapping it picks the light.
 */
export class Labels {
  readonly #box: HTMLElement;
  readonly #onUnit: (unit: number, additive: boolean) => void;
  readonly #shown = new Map<string, Shown>();
  #chosen: readonly number[] = [];
  #wide = -1;
  #from = 0;

  constructor(frame: HTMLElement, onUnit: (unit: number, additive: boolean) => void) {
    this.#box = document.createElement('div');
    this.#box.className = 'labels';
    this.#onUnit = onUnit;
    frame.append(this.#box);
  }

  /** Shows these and no others. */
  show(labels: readonly Label[]): void {
    const wide = this.#box.clientWidth;
    if (wide !== this.#wide) {
      this.#wide = wide;
      this.#from = parseFloat(getComputedStyle(this.#box).paddingLeft);
    }
    const gone = new Set(this.#shown.keys());
    for (const label of labels) {
      gone.delete(label.id);
      const shown = this.#shown.get(label.id) ?? this.#add(label);
      if (shown.text !== label.text) {
        shown.text = label.text;
        shown.element.textContent = label.text;
        shown.width = shown.element.offsetWidth;
      }
      const x = Math.min(Math.max(label.x, shown.width / 2 + EDGE_PX), wide - shown.width / 2 - EDGE_PX);
      // Words of the room do not stand among those of the column; a light is found wherever it is.
      shown.element.style.visibility = label.kind !== 'unit' && x - shown.width / 2 < this.#from ? 'hidden' : '';
      shown.element.style.transform = `translate(${x.toFixed(1)}px, ${label.y.toFixed(1)}px) translate(-50%, -50%)`;
    }
    for (const id of gone) {
      this.#shown.get(id)?.element.remove();
      this.#shown.delete(id);
    }
  }

  /** Makes the numbers of the picked lights large. */
  choose(units: readonly number[]): void {
    this.#chosen = units;
    for (const { element } of this.#shown.values()) this.#mark(element);
  }

  #add(label: Label): Shown {
    const unit = label.kind === 'unit' ? Number(label.text) : NaN;
    const element = document.createElement(Number.isFinite(unit) ? 'button' : 'span');
    element.className = `label-${label.kind}`;
    // What it belongs to ("place", "socket", "mark" …), for the style sheet.
    element.dataset.of = label.id.split(' ')[0];
    element.textContent = label.text;
    if (element instanceof HTMLButtonElement) {
      element.type = 'button';
      element.dataset.unit = String(unit);
      element.setAttribute('aria-label', `Light ${unit}`);
      element.addEventListener('click', (event) => this.#onUnit(event.detail > 0 ? this.#nearest(event, unit) : unit, event.shiftKey));
      this.#mark(element);
    }
    this.#box.insertBefore(element, this.#after(unit));
    const shown = { element, text: label.text, width: element.offsetWidth };
    this.#shown.set(label.id, shown);
    return shown;
  }

  /** The first number larger than this one, so that the lights come by number for those who tab through. */
  #after(unit: number): Element | null {
    if (!Number.isFinite(unit)) return null;
    for (const other of this.#box.children) {
      const number = other instanceof HTMLElement ? Number(other.dataset.unit) : NaN;
      if (number > unit) return other;
    }
    return null;
  }

  /** Where numbers stand close their touch areas lie over each other: the nearest number is meant. */
  #nearest(event: MouseEvent, touched: number): number {
    let best = touched;
    let least = Infinity;
    for (const { element } of this.#shown.values()) {
      if (element.dataset.unit === undefined) continue;
      const box = element.getBoundingClientRect();
      const away = Math.hypot(box.x + box.width / 2 - event.clientX, box.y + box.height / 2 - event.clientY);
      if (away < least) {
        least = away;
        best = Number(element.dataset.unit);
      }
    }
    return best;
  }

  #mark(element: HTMLElement): void {
    if (element.dataset.unit === undefined) return;
    const chosen = this.#chosen.includes(Number(element.dataset.unit));
    element.classList.toggle('chosen', chosen);
    element.setAttribute('aria-pressed', String(chosen));
  }
}
