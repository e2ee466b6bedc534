/**
 * Position marks. Their shape says what the register says, so that no one needs to see their
 * colour. One drawing for map, table and legend: paths in a box from -10 to 10.
 */

import type { RegisterVerdict } from './model.js';

export interface Mark {
  path: string;
  closed: boolean; // a closed mark is filled once the emitter is confirmed
}

export const MARKS: Record<RegisterVerdict, Mark> = {
  registered: { path: 'M-6.5 0A6.5 6.5 0 1 0 6.5 0A6.5 6.5 0 1 0 -6.5 0Z', closed: true },
  unregistered: { path: 'M0 -8L8 6.5L-8 6.5Z', closed: true },
  position_disagrees: { path: 'M-6.5 -6.5H6.5V6.5H-6.5Z', closed: true },
  off_frequency: { path: 'M-8.5 4.5A8.5 8.5 0 0 1 8.5 4.5Z', closed: true },
  out_of_validity: { path: 'M-6.5 -7H6.5L-6.5 7H6.5Z', closed: true },
  undecided: { path: 'M-6.5 0H6.5M0 -6.5V6.5', closed: false },
};

/** A station: a ring with a mast. In ink, since a station is in no register. */
export const STATION_MARK = 'M-7 0A7 7 0 1 0 7 0A7 7 0 1 0 -7 0ZM0 7V-11M-3.5 -7.5L0 -11L3.5 -7.5';
