/** Line style is age, and nothing else: solid now, dashed a while ago, dotted long ago. */

export type Age = 'fresh' | 'recent' | 'old';

export const AGE_WORDS: Record<Age, string> = {
  fresh: 'heard within a minute',
  recent: 'within ten minutes',
  old: 'longer ago',
};

const DASHES: Record<Age, readonly number[]> = { fresh: [], recent: [9, 5], old: [2, 5] };

export function ageOf(lastHeard: string, now_ms: number): Age {
  const age_s = ageSeconds(lastHeard, now_ms);
  if (age_s < 60) return 'fresh';
  return age_s < 600 ? 'recent' : 'old';
}

/** Seconds since then; 0 for a time ahead of the browser's own clock. */
export function ageSeconds(lastHeard: string, now_ms: number): number {
  return Math.max(0, (now_ms - Date.parse(lastHeard)) / 1000);
}

/** Lengths of dash and gap in pixels; empty for a solid line. */
export function dashOf(age: Age): number[] {
  return [...DASHES[age]];
}
