/** The emitters as last heard of. A newer revision wins, in whatever order they come. */

import { verdictOf, type EmitterFeature } from './model.js';

export class EmitterStore {
  private readonly emitters = new Map<string, EmitterFeature>();

  /** @returns whether anything changed. */
  put(feature: EmitterFeature): boolean {
    const known = this.emitters.get(feature.id);
    if (known && known.properties.revision > feature.properties.revision) return false;
    if (feature.properties.state === 'retired') return this.emitters.delete(feature.id);
    this.emitters.set(feature.id, feature);
    return true;
  }

  /** Everything there is: what is not in it is gone. */
  replaceAll(features: readonly EmitterFeature[]): void {
    const present = new Set(features.map((feature) => feature.id));
    for (const id of [...this.emitters.keys()]) {
      if (!present.has(id)) this.emitters.delete(id);
    }
    for (const feature of features) this.put(feature);
  }

  get size(): number {
    return this.emitters.size;
  }

  get(id: string): EmitterFeature | undefined {
    return this.emitters.get(id);
  }

  /** What needs a person first: not in the register, then the newest. Stable while heard. */
  inOrder(): EmitterFeature[] {
    return [...this.emitters.values()].sort(
      (a, b) =>
        rank(a) - rank(b) ||
        b.properties.first_heard.localeCompare(a.properties.first_heard) ||
        a.id.localeCompare(b.id),
    );
  }
}

function rank(feature: EmitterFeature): number {
  if (feature.properties.state === 'silent') return 6;
  return { unregistered: 0, position_disagrees: 1, off_frequency: 2, out_of_validity: 3, undecided: 4, registered: 5 }[
    verdictOf(feature.properties)
  ];
}
