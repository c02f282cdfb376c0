/** What trials came to, by what was changed and how. */
import type { Outcome } from './trials.ts'

export interface Tally {
  readonly what: string
  readonly kind: string
  tried: number
  found: number
  placed: number
  column: number
  /** Changes that the database with its guards refuses. */
  refused: number
}

export interface TrialsReport {
  readonly seed: number
  readonly tried: number
  readonly found: number
  readonly placed: number
  /** Of the changes of one column, how many findings named that column. */
  readonly ofColumns: { readonly tried: number; readonly named: number }
  /** By a database with its triggers, checks and foreign keys, of those tried. */
  readonly refusedByGuards: number
  /** Drawn, and no change to find; counted by why. */
  readonly nothingToFind: Readonly<Record<string, number>>
  readonly tallies: readonly Tally[]
  readonly missed: readonly string[]
}

export function reportOf(seed: number, outcomes: readonly Outcome[]): TrialsReport {
  const real = outcomes.filter(({ refused }) => !refused)
  const tallies = new Map<string, Tally>()
  for (const { target, found, placed, column, guard } of real) {
    const { kind, table } = target
    const what = target.column === undefined ? table : `${table}.${target.column}`
    const tally = tallies.get(`${what} ${kind}`) ?? { what, kind, tried: 0, found: 0, placed: 0, column: 0, refused: 0 }
    tally.tried += 1
    tally.found += Number(found)
    tally.placed += Number(placed)
    tally.column += Number(column)
    tally.refused += Number(guard !== undefined)
    tallies.set(`${what} ${kind}`, tally)
  }
  const count = (is: (outcome: Outcome) => boolean): number => real.filter(is).length
  return {
    seed,
    tried: real.length,
    found: count(({ found }) => found),
    placed: count(({ placed }) => placed),
    ofColumns: {
      tried: count(({ target }) => target.column !== undefined),
      named: count(({ target, column }) => target.column !== undefined && column),
    },
    refusedByGuards: count(({ guard }) => guard !== undefined),
    nothingToFind: counted(outcomes.flatMap(({ why }) => why ?? [])),
    tallies: [...tallies.values()].toSorted((a, b) => (a.what < b.what ? -1 : a.what > b.what ? 1 : 0)),
    missed: real.flatMap(({ missed }) => missed ?? []),
  }
}

function counted(names: readonly string[]): Record<string, number> {
  const counts: Record<string, number> = {}
  for (const name of names) counts[name] = (counts[name] ?? 0) + 1
  return counts
}

export function reportLines({ tallies, ...all }: TrialsReport): string[] {
  const row = (cells: readonly (string | number)[]): string =>
    cells.map((cell, n) => (n < 2 ? String(cell).padEnd(n === 0 ? 38 : 16) : String(cell).padStart(8))).join('')
  return [
    row(['what', 'how', 'tried', 'found', 'placed', 'guarded']),
    ...tallies.map(({ what, kind, tried, found, placed, refused }) => row([what, kind, tried, found, placed, refused])),
    '',
    `Tried ${all.tried}: found ${all.found}, place named in ${all.placed}. Of ${all.ofColumns.tried} changes of one column that column was named in ${all.ofColumns.named}.`,
    `A database with its guards refuses ${all.refusedByGuards} of them. More that were drawn left nothing to find: ${JSON.stringify(all.nothingToFind)}.`,
    ...all.missed.map((missed) => `MISSED ${missed.slice(0, 2_000)}`),
  ]
}
