/** Units as people write them. */
const SIGNS: readonly (readonly [RegExp, string])[] = [
  [/^deg([CF])$/, '°$1'],
  [/^deg$/, '°'],
  [/\b(k?m|ft|cm)2\b/g, '$1²'],
  [/\b(k?m|ft)3\b/g, '$1³'],
  [/^(kWh)\/(.+)\/(ft|m)$/, '$1/($2·$3)'],
]

/** `ft3` → `ft³`, `degF` → `°F`, `kWh/acre-ft/ft` → `kWh/(acre-ft·ft)`. */
export const unitInWords = (unit: string): string =>
  SIGNS.reduce((text, [pattern, sign]) => text.replace(pattern, sign), unit)
