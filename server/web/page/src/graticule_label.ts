/** 41°10′ N; whole degrees without minutes. `letters` are those of the positive, negative side. */
export function graticuleLabel(value_deg: number, letters: string): string {
  const minutes = Math.round(Math.abs(value_deg) * 60);
  const rest = minutes % 60;
  const letter = value_deg < 0 ? letters[1] : letters[0];
  return `${Math.floor(minutes / 60)}°${rest === 0 ? '' : `${String(rest).padStart(2, '0')}′`} ${letter}`;
}
