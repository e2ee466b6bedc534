/** The view "Now": wires what comes from the server to map, tables and words. */

import { AlertList } from './alert_list.js';
import { fetchAlerts, fetchBasemap, fetchEmitter, fetchEmitters, fetchStations } from './api.js';
import { DetailPanel } from './detail_panel.js';
import { byId, setText } from './dom.js';
import { EmitterStore } from './emitter_store.js';
import { EmitterTable } from './emitter_table.js';
import { matches } from './filter.js';
import { FilterBar } from './filter_bar.js';
import { formatUtc } from './format.js';
import { showLegend } from './legend.js';
import { LiveLink, type LinkState } from './live.js';
import { MapView } from './map_view.js';
import type { EmitterFeature, LiveMessage, StationFeature } from './model.js';
import { speakingFix } from './sentence.js';
import { stationTable } from './station_table.js';

const STATIONS_EVERY_MS = 5000;
const RETRY_LOAD_MS = 3000;
const LINK_WORDS: Record<LinkState, string> = {
  connecting: 'Connecting …',
  live: 'Live',
  lost: 'No link to the server; trying again. What is shown may be old.',
};
const AWAY_WORDS = 'The server can’t ask its database; trying again. What is shown may be old.';

const store = new EmitterStore();
const map = new MapView(byId('map'), (id) => select(id));
const table = new EmitterTable(byId('emitter-table'), (id) => select(id));
const stationRows = stationTable(byId('station-table'));
const alerts = new AlertList(byId('alert-list'), (id) => select(id));
const filterBar = new FilterBar(byId('filter'), () => map.seen(), () => redraw(), () => table.focusFirst());
const detail = new DetailPanel(byId('detail'), () => select(null), () => map.zoomToSelected());

let stations: StationFeature[] = [];
let asked = new URLSearchParams(location.search).get('emitter');
let selected: string | null = null;
let asking = new AbortController();
let redrawPending = false;
let linkState: LinkState = 'connecting';
let databaseAway = false;
let retryTimer: ReturnType<typeof setTimeout> | undefined;

function wanted(): EmitterFeature[] {
  const filter = filterBar.filter();
  const now_ms = Date.now();
  return store.inOrder().filter((emitter) => matches(emitter, filter, now_ms));
}

/** At most once a frame, however much comes. */
function redraw(): void {
  if (redrawPending) return;
  redrawPending = true;
  requestAnimationFrame(() => {
    redrawPending = false;
    const emitters = wanted();
    map.showEmitters(emitters);
    table.show(emitters);
    const all = store.size;
    setText(byId('emitter-count'), emitters.length === all ? String(all) : `${emitters.length} of ${all}`);
    setText(byId('alert-count'), String(alerts.size));
  });
}

async function showDetail(id: string): Promise<void> {
  asking.abort();
  asking = new AbortController();
  const known = store.get(id);
  if (!known) return select(null);
  try {
    const { fixes } = await fetchEmitter(id, asking.signal);
    if (selected !== id) return;
    const fix = speakingFix(fixes);
    detail.show(store.get(id) ?? known, fix);
    map.showBearings(fix, stations);
  } catch {
    if (selected === id && !asking.signal.aborted) detail.show(known, undefined);
  }
}

function select(id: string | null): void {
  selected = id;
  table.select(id);
  map.select(id);
  if (id === null) detail.hide();
  else void showDetail(id);
}

/** Everything there is; again and again while the database is away. */
async function loadAll(): Promise<void> {
  clearTimeout(retryTimer);
  try {
    const [emitters, open] = await Promise.all([fetchEmitters(), fetchAlerts()]);
    store.replaceAll(emitters);
    alerts.replaceAll(open);
    databaseAway = false;
    redraw();
    selectAsked();
  } catch {
    databaseAway = true;
    retryTimer = setTimeout(() => void loadAll(), RETRY_LOAD_MS);
  }
  showLink();
}

/** A link in an alert names its emitter, ?emitter=CHANNEL/ID: once. */
function selectAsked(): void {
  const id = asked;
  asked = null;
  if (id !== null && store.get(id)) select(id);
}

async function loadStations(): Promise<void> {
  stations = await fetchStations();
  map.showStations(stations);
  stationRows.show(stations);
  const away = stations.filter((s) => !s.properties.connected).length;
  setText(byId('station-count'), away === 0 ? String(stations.length) : `${stations.length}, ${away} away`);
}

function hear(message: LiveMessage): void {
  if (message.type !== 'changes') {
    void loadAll();
    return;
  }
  for (const emitter of message.emitters) store.put(emitter);
  alerts.put(message.alerts);
  redraw();
  if (selected !== null && message.emitters.some((e) => e.id === selected)) void showDetail(selected);
}

function showLink(): void {
  const away = linkState === 'live' && databaseAway;
  const link = byId('link');
  link.className = `link ${away ? 'lost' : linkState}`;
  setText(link, away ? AWAY_WORDS : LINK_WORDS[linkState]);
}

function setLink(state: LinkState): void {
  linkState = state;
  showLink();
}

function tick(before_ms: number): void {
  const now_ms = Date.now();
  setText(byId('clock'), formatUtc(new Date(now_ms)));
  map.tick(before_ms, now_ms);
  table.show(wanted());
  setTimeout(() => tick(now_ms), 1000);
}

async function start(): Promise<void> {
  showLegend(byId('legend'));
  map.onMove(redraw);
  tick(Date.now());
  new LiveLink(hear, setLink).open();
  const basemap = await fetchBasemap().catch(() => null);
  if (basemap !== null) map.showBasemap(basemap);
  await loadStations().catch(() => undefined);
  setInterval(() => void loadStations().catch(() => undefined), STATIONS_EVERY_MS);
}

void start();
