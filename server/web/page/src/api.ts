/** Asking the server. */

import type { Alert, EmitterDetail, EmitterFeature, StationFeature } from './model.js';

async function get<T>(path: string, signal?: AbortSignal): Promise<T> {
  const response = await fetch(path, { cache: 'no-store', ...(signal ? { signal } : {}) });
  if (!response.ok) throw new Error(`${path}: ${response.status}`);
  return (await response.json()) as T;
}

export async function fetchEmitters(): Promise<EmitterFeature[]> {
  return (await get<{ features: EmitterFeature[] }>('/api/emitters?limit=10000')).features;
}

export async function fetchEmitter(id: string, signal: AbortSignal): Promise<EmitterDetail> {
  return get<EmitterDetail>(`/api/emitters/${id}`, signal);
}

export async function fetchStations(): Promise<StationFeature[]> {
  return (await get<{ features: StationFeature[] }>('/api/stations')).features;
}

export async function fetchAlerts(): Promise<Alert[]> {
  return (await get<{ alerts: Alert[] }>('/api/alerts')).alerts;
}

/** GeoJSON of the basemap; null where none is configured. */
export async function fetchBasemap(): Promise<unknown> {
  const { basemap } = await get<{ basemap: string | null }>('/api/settings');
  return basemap === null ? null : get<unknown>(basemap);
}
