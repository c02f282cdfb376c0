/** What a revision changed of a sheet. */
import type { Sheet } from '../sheet.ts'

/** Additions here take something back that the sheet had promised. */
const TAKES_BACK: readonly string[] = ['/purpose', '/notTestableBecause', '/leftOut']

function collect(before: unknown, after: unknown, place: string, into: string[]): void {
  if (typeof before !== 'object' || before === null || typeof after !== 'object' || after === null) {
    if (before !== after) into.push(place)
  } else if (Array.isArray(before) !== Array.isArray(after)) into.push(place)
  else if (Array.isArray(before) && before.length !== (after as unknown[]).length) into.push(place)
  else {
    for (const [name, value] of Object.entries(before))
      collect(value, (after as Readonly<Record<string, unknown>>)[name], `${place}/${name}`, into)
    for (const name of Object.keys(after))
      if (!(name in before) && TAKES_BACK.includes(`${place}/${name}`)) into.push(`${place}/${name}`)
  }
}

/**
 * JSON Pointers of what was changed or taken out, in the order of the sheet that is revised. What was only added is no
 * change: it answers a finding that asked for it. A list of another length is changed as a whole.
 */
export function changedPlaces(before: Sheet, after: Sheet): string[] {
  const places: string[] = []
  collect(before, after, '', places)
  return places
}
