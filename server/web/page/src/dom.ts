/** Small helpers for elements. Text is always set as text, never as HTML. */

export function el<K extends keyof HTMLElementTagNameMap>(
  name: K,
  attributes: Record<string, string> = {},
  ...children: (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

export function byId(id: string): HTMLElement {
  const element = document.getElementById(id);
  if (!element) throw new Error(`index.html has no #${id}`);
  return element;
}

/** Sets text only where it differs, so that a screen reader hears changes only. */
export function setText(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

const SVG = 'http://www.w3.org/2000/svg';

export function svg(name: string, attributes: Record<string, string>, ...children: Node[]): SVGElement {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}
