/**
 * How often honest sheets look as if their readings had been used before: every pair of visits to one plant, and every
 * pair over the whole basin that shares a window of readings; and how often the digits and times of one sheet do.
 */
import {
  comparedReadings,
  equalRun,
  evaluate,
  latestEdition,
  movedRun,
  type NoisyReading,
  windowTexts,
} from '@liftledger/calc'
import { simulateBasin } from '@liftledger/simulator'

/** Orders of magnitude against chance at which a person is asked, before those for the number of tests compared. */
export const ASKED_FROM = { equal: 6, moved: 7 } as const

export interface Alarms {
  readonly visits: number
  readonly pairsOfPlant: number
  /** Pairs of other plants that share a window, and were compared therefore. */
  readonly pairsOfWindow: number
  /** Largest surprise of an honest pair. */
  readonly largestEqual: number
  readonly largestMoved: number
  /** Pairs at which a person would be asked. */
  readonly alarms: number
  /** Sheets by finding of the group integrity. */
  readonly findings: Readonly<Record<string, number>>
}

interface Known {
  readonly plant: string
  readonly readings: NoisyReading[]
}

export function countAlarms(seed: number, wanted: number): Alarms {
  const firms = Math.ceil(wanted / 100)
  const { visits } = simulateBasin({ seed, plants: Math.ceil(wanted / 3), years: 3, firms, testersPerFirm: 5 })
  const byPlant = new Map<string, Known[]>()
  const byWindow = new Map<string, Known>()
  const findings: Record<string, number> = {}
  const found = { visits: 0, pairsOfPlant: 0, pairsOfWindow: 0, largestEqual: 0, largestMoved: 0, alarms: 0 }
  const compare = (own: Known, other: Known, compared: number): void => {
    const equal = equalRun(own.readings, other.readings)?.surprise ?? 0
    const moved = movedRun(own.readings, other.readings)?.surprise ?? 0
    found.largestEqual = Math.max(found.largestEqual, equal)
    found.largestMoved = Math.max(found.largestMoved, moved)
    const more = Math.log10(Math.max(1, compared))
    if (equal >= ASKED_FROM.equal + more || moved >= ASKED_FROM.moved + more) found.alarms += 1
  }
  for (const { sheet, context } of visits) {
    if (found.visits === wanted) break
    for (const id of new Set(evaluate(sheet, context, latestEdition).findings.map((finding) => finding.id)))
      if (['repeats-all-equal', 'readings-too-round', 'times-too-regular'].includes(id))
        findings[id] = (findings[id] ?? 0) + 1
    const own: Known = { plant: sheet.plant, readings: comparedReadings(sheet) }
    const earlier = byPlant.get(own.plant) ?? []
    for (const other of earlier) compare(own, other, earlier.length)
    found.pairsOfPlant += earlier.length
    byPlant.set(own.plant, [...earlier, own])
    const candidates = new Set<Known>()
    for (const text of windowTexts(own.readings)) {
      const other = byWindow.get(text)
      if (other === undefined) byWindow.set(text, own)
      else if (other.plant !== own.plant) candidates.add(other)
    }
    for (const other of candidates) compare(own, other, found.visits)
    found.pairsOfWindow += candidates.size
    found.visits += 1
  }
  return { ...found, findings }
}
