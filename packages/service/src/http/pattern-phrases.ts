/** Patterns of the schemas in words, for those who have to mend a value: a pattern is told as what it asks for. */

import { CODE_PATTERN, SHEET_PATTERN_PHRASES } from '@liftledger/calc'

const PHRASES: Readonly<Record<string, string>> = {
  ...SHEET_PATTERN_PHRASES,
  '^\\s*\\S+\\s+\\S+\\s+\\S': 'a sentence of three words or more, at least 12 characters long',
  '^[0-9a-f]{64}$': '64 hexadecimal digits in lower case',
  '^[0-9a-f]{32}$': '32 hexadecimal digits in lower case',
  '^[a-z][a-z0-9-]*$': 'the id of a finding, lower case with hyphens',
  '^[0-9A-HJKMNP-TV-Z]{12}$': 'the id of a key, 12 digits and capital letters',
  '^https?://': 'an address that begins with https:// or http://',
}

/** What a pattern asks for; undefined where nobody has put it into words. */
export function phraseOf(pattern: string): string | undefined {
  const prefix = /^\^([a-z]{3})_\[0-7\]/.exec(pattern)?.[1]
  if (prefix !== undefined) return `an id like ${prefix}_…, ${prefix}_ and 26 digits and capital letters`
  if (pattern.startsWith(`^${CODE_PATTERN}(,`))
    return 'codes of letters, digits, . _ - and no spaces, with commas between them'
  return PHRASES[pattern]
}
