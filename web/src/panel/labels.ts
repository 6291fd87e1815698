import type { Label } from '../room/view';

type Shown = { element: HTMLElement; text: string };

/**
 * Words over the picture. They move with it many times a second, so they are kept as plain elements that are moved,
 * not rebuilt. A light's number is a button: tapping it picks the light.
 */
export class Labels {
  readonly #box: HTMLElement;
  readonly #onUnit: (unit: number, additive: boolean) => void;
  readonly #shown = new Map<string, Shown>();
  #chosen: readonly number[] = [];

  constructor(frame: HTMLElement, onUnit: (unit: number, additive: boolean) => void) {
    this.#box = document.createElement('div');
    this.#box.className = 'labels';
    this.#onUnit = onUnit;
    frame.append(this.#box);
  }

  /** Shows these and no others. */
  show(labels: readonly Label[]): void {
    const gone = new Set(this.#shown.keys());
    for (const label of labels) {
      gone.delete(label.id);
      const shown = this.#shown.get(label.id) ?? this.#add(label);
      if (shown.text !== label.text) {
        shown.text = label.text;
        shown.element.textContent = label.text;
      }
      shown.element.style.transform = `translate(${label.x.toFixed(1)}px, ${label.y.toFixed(1)}px) translate(-50%, -50%)`;
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
    element.textContent = label.text;
    if (element instanceof HTMLButtonElement) {
      element.type = 'button';
      element.dataset.unit = String(unit);
      element.setAttribute('aria-label', `Light ${unit}`);
      element.addEventListener('click', (event) => this.#onUnit(unit, event.shiftKey));
      this.#mark(element);
    }
    this.#box.append(element);
    const shown = { element, text: label.text };
    this.#shown.set(label.id, shown);
    return shown;
  }

  #mark(element: HTMLElement): void {
    if (element.dataset.unit === undefined) return;
    const chosen = this.#chosen.includes(Number(element.dataset.unit));
    element.classList.toggle('chosen', chosen);
    element.setAttribute('aria-pressed', String(chosen));
  }
}
