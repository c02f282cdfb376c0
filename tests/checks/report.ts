/** What the checks say, in lines for a terminal and in figures for a file. */
import { type VectorOutcome, vectorLine } from '@liftledger/ledger/testing'
import { type Basis, type Disagreement, isDisagreement, type Outcome } from './check.ts'

export interface Figure {
  readonly id: string
  readonly value: number
  readonly unit: string
  readonly goal: number | null
  readonly better: 'higher' | 'lower'
}

const BASES: readonly Basis[] = ['looked up', 'derived', 'common practice', 'from memory']

const agreeing = (outcomes: readonly Outcome[]): Outcome[] => outcomes.filter(({ check }) => !isDisagreement(check))
const ofBasis = (outcomes: readonly Outcome[], basis: Basis): Outcome[] =>
  outcomes.filter(({ check }) => check.source.basis === basis)

/** The figures that are watched from release to release. */
export function figures(outcomes: readonly Outcome[]): Figure[] {
  const values = agreeing(outcomes)
  const count = (id: string, value: number, goal: number | null, better: 'higher' | 'lower'): Figure => ({
    id,
    value,
    unit: '1',
    goal,
    better,
  })
  return [
    count('checks.values', values.length, 130, 'higher'),
    count('checks.looked-up', ofBasis(values, 'looked up').length, 100, 'higher'),
    count('checks.disagreeing', outcomes.length - values.length, null, 'lower'),
    count('checks.failed', outcomes.filter(({ failed }) => failed).length, 0, 'lower'),
  ]
}

const digits = (value: number): string => String(Number(value.toPrecision(10)))

function publicationOf({ check }: Outcome): string {
  const { publisher, document, place, year } = check.source.publication
  return `${publisher}, ${document}${year === undefined ? '' : ` (${year})`}, ${place}`
}

/** One value: what was printed, what the product gives, how far apart they may be. */
function valueLine({ check, computed, failed }: Outcome): string {
  const mark = failed ? 'FAILED' : 'ok'
  const note = check.note === undefined ? '' : `  (${check.note})`
  return `    ${mark.padEnd(7)}${check.id.padEnd(22)}${check.what}: printed ${digits(check.printed)} ± ${digits(check.within)} ${check.unit}, here ${digits(computed)}${note}`
}

function disagreementLines({ check, computed, difference, failed }: Outcome): string[] {
  const { cause } = check as Disagreement
  const relative = (difference / check.printed) * 100
  return [
    `    ${failed ? 'FAILED ' : ''}${check.id}: ${check.what} (${publicationOf({ check, computed, difference, failed })}; ${check.source.basis})`,
    `      printed ${digits(check.printed)} ${check.unit}, here ${digits(computed)}: ${relative > 0 ? '+' : '−'}${digits(Number(Math.abs(relative).toPrecision(2)))} %`,
    `      because ${cause}`,
  ]
}

/** By source and basis with counts; each value too where `everyValue`, and whatever failed in any case. */
export function report(outcomes: readonly Outcome[], everyValue: boolean): string[] {
  const values = agreeing(outcomes)
  const lines: string[] = ['Outside values, each computed by the product’s own code', '']
  for (const basis of BASES) {
    const own = ofBasis(values, basis)
    if (own.length === 0) continue
    lines.push(`${basis}: ${own.length}`)
    const bySource = Map.groupBy(own, publicationOf)
    for (const [source, list] of bySource) {
      lines.push(`  ${String(list.length).padStart(3)}  ${source}`)
      const copies = new Set(list.flatMap(({ check }) => check.source.address ?? []))
      if (everyValue) lines.push(...[...copies].map((address) => `       read in ${address}`))
      for (const outcome of list) if (everyValue || outcome.failed) lines.push(valueLine(outcome))
    }
    lines.push('')
  }
  const differing = outcomes.filter(({ check }) => isDisagreement(check))
  lines.push(`disagreeing, for a cause that is known: ${differing.length}`, ...differing.flatMap(disagreementLines), '')
  const [count, lookedUp, , failed] = figures(outcomes) as [Figure, Figure, Figure, Figure]
  lines.push(
    `${count.value} values agree with what was printed, ${lookedUp.value} of them looked up; ${differing.length} disagree as explained; ${failed.value} failed.`,
  )
  return lines
}

/** How many of the published vectors are passed; all must be. */
export const vectorFigures = (outcomes: readonly VectorOutcome[]): Figure[] =>
  outcomes.map(({ id, passed, total }) => ({ id, value: passed, unit: '1', goal: total, better: 'higher' }))

/** A line a suite, and whatever failed. */
export function vectorReport(outcomes: readonly VectorOutcome[]): string[] {
  return [
    '',
    'Published vectors, passed of total',
    '',
    ...outcomes.flatMap((outcome) => [
      `  ${vectorLine(outcome)}`,
      ...outcome.failures.map((failure) => `    FAILED ${failure}`),
    ]),
  ]
}
