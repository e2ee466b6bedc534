import { expect, test } from 'vitest';

import { EmitterStore } from '../src/emitter_store.js';
import { emitter, judged } from './emitters.js';

test('a newer revision wins in whatever order they come', () => {
  const store = new EmitterStore();
  store.put(emitter('1/1', { revision: 3 }));
  expect(store.put(emitter('1/1', { revision: 2 }))).toBe(false);
  expect(store.get('1/1')?.properties.revision).toBe(3);
});

test('a retired emitter leaves', () => {
  const store = new EmitterStore();
  store.put(emitter('1/1'));
  store.put(emitter('1/1', { revision: 2, state: 'retired' }));
  expect(store.inOrder()).toEqual([]);
});

test('a full load drops what is gone but keeps what the live channel has newer', () => {
  const store = new EmitterStore();
  store.put(emitter('1/1', { revision: 5 }));
  store.put(emitter('1/2'));
  store.replaceAll([emitter('1/1', { revision: 4 }), emitter('1/3')]);
  expect(store.inOrder().map((e) => e.id)).toEqual(['1/1', '1/3']);
  expect(store.get('1/1')?.properties.revision).toBe(5);
});

test('what is not in the register comes first, then the newest; hearing it again moves nothing', () => {
  const store = new EmitterStore();
  store.put(emitter('a', { ...judged('registered'), first_heard: '2030-01-01T09:00:00.000Z' }));
  store.put(emitter('b', { ...judged('unregistered'), first_heard: '2030-01-01T01:00:00.000Z' }));
  store.put(emitter('c', { ...judged('unregistered'), first_heard: '2030-01-01T02:00:00.000Z' }));
  store.put(emitter('d', judged('position_disagrees')));
  store.put(emitter('e', { ...judged('unregistered'), state: 'silent' }));
  store.put(emitter('f', judged('out_of_validity')));
  store.put(emitter('g', judged('off_frequency')));
  const order = () => store.inOrder().map((e) => e.id).join('');
  expect(order()).toBe('cbdgfae');
  store.put(emitter('b', { ...judged('unregistered'), revision: 2, first_heard: '2030-01-01T01:00:00.000Z', last_heard: '2030-01-01T10:00:00.000Z' }));
  expect(order()).toBe('cbdgfae');
});
