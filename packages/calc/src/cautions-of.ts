/** Cautions that belong beside one visit: of what was done on it, and of what it found. */
import { type CautionId, cautions } from './cautions.ts'
import { findings } from './findings/list.ts'
import { flowMethods } from './flow/flow-of-run.ts'
import { levelMethods } from './level/list.ts'
import { powerMethods } from './power/list.ts'
import { voltsAmps } from './power/volts-amps.ts'
import type { Sheet } from './sheet.ts'

/** Of readings that are no method of flow, level or power, by their name on the sheet. */
const CAUTIONS_OF_READINGS: Readonly<Record<string, readonly CautionId[]>> = {
  dischargePressure: ['pressure-and-hammer', 'chemigation'],
  suction: ['pressure-and-hammer', 'lifting-and-falls'],
  speeds: ['rotating-shaft'],
  electrical: voltsAmps.cautions,
}

const cautionsOfMethods: ReadonlyMap<string, readonly CautionId[]> = new Map(
  [...flowMethods, ...levelMethods, ...powerMethods].map(({ id, cautions: own }) => [id, own]),
)
const cautionsOfFindings: ReadonlyMap<string, readonly CautionId[]> = new Map(
  findings.map(({ id, cautions: own }) => [id, own ?? []]),
)

/** In the order of the catalogue. Methods are found wherever the sheet names them, in a second measurement too. */
export function cautionsOf(
  sheet: Sheet,
  found: readonly { readonly id: string }[],
): readonly (typeof cautions)[number][] {
  const ids = new Set<CautionId>(found.flatMap(({ id }) => cautionsOfFindings.get(id) ?? []))
  const look = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return
    for (const [name, member] of Object.entries(value)) {
      if (name === 'method' && typeof member === 'string')
        for (const id of cautionsOfMethods.get(member) ?? []) ids.add(id)
      if (member === undefined) continue
      for (const id of CAUTIONS_OF_READINGS[name] ?? []) ids.add(id)
      look(member)
    }
  }
  look(sheet)
  return cautions.filter(({ id }) => ids.has(id))
}
