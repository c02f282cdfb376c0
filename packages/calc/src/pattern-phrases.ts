/** The patterns of a sheet in words, for those who have to mend a value. */

/** Of letters, digits, point, underscore and hyphen. */
export const CODE_PATTERN = '[A-Za-z0-9][A-Za-z0-9._-]{0,39}'

export const SHEET_PATTERN_PHRASES: Readonly<Record<string, string>> = {
  [`^${CODE_PATTERN}$`]:
    'a code of letters, digits, . _ - and no spaces, at most 40, that begins with a letter or digit',
  '^[A-Z]{3}/(kWh|gal|L|m3|1000 ft3)$':
    'a currency of ISO 4217 per kWh, gal, L, m3 or 1000 ft3, like USD/kWh or USD/gal',
}
