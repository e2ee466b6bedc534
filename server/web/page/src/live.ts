/** The live channel: opens again by itself, waiting longer each time, with some jitter. */

import type { LiveMessage } from './model.js';

export type LinkState = 'connecting' | 'live' | 'lost';

/** 0.5 s, 1 s, 2 s … 15 s, each times 0.75 to 1.25. \p chance is from 0 to 1. */
export function retryDelay_ms(attempt: number, chance: number): number {
  return Math.min(500 * 2 ** attempt, 15_000) * (0.75 + chance / 2);
}

export class LiveLink {
  private attempt = 0;

  constructor(
    private readonly onMessage: (message: LiveMessage) => void,
    private readonly onState: (state: LinkState) => void,
  ) {}

  open(): void {
    this.onState(this.attempt === 0 ? 'connecting' : 'lost');
    const scheme = location.protocol === 'https:' ? 'wss' : 'ws';
    const socket = new WebSocket(`${scheme}://${location.host}/live`);
    socket.addEventListener('message', (event) => {
      this.attempt = 0;
      this.onState('live');
      this.onMessage(JSON.parse(String(event.data)) as LiveMessage);
    });
    socket.addEventListener('close', () => {
      this.onState('lost');
      setTimeout(() => this.open(), retryDelay_ms(this.attempt, Math.random()));
      this.attempt += 1;
    });
  }
}
