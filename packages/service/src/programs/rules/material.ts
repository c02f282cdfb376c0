/** What a test brings to its judgement, and how the facts are read from it. No store is asked here. */
import { type Context, type Evaluation, type MethodEdition, type Sheet, toSi } from '@liftledger/calc'
import type { FactRead, ReadFact, ReadValue } from './conditions.ts'
import { daysBetween } from './days.ts'
import type { FactName } from './facts.ts'

/** The last test of the plant before this one that the program was given. */
export type TestBefore =
  | { readonly kind: 'none' }
  | { readonly kind: 'tested'; readonly testedOn: string; readonly test: string }

export interface Decision {
  readonly finding: string
  readonly run: number | undefined
  readonly place: string
  readonly outcome: 'stands' | 'does-not-stand'
}

/** A finding as it is known by; of those from the record no more is needed. */
export interface FindingName {
  readonly id: string
  readonly severity: 'reject' | 'hold' | 'caution' | 'note'
  readonly run: number | undefined
  readonly place: string
}

export interface Material {
  readonly sheet: Sheet
  readonly context: Context
  readonly evaluation: Evaluation
  readonly edition: MethodEdition
  /** What comparing the test with the record found. */
  readonly beside: readonly FindingName[]
  readonly consent: { readonly given: boolean; readonly turn: number }
  readonly before: TestBefore
  /** Whether other tests of the plant may be there that the reader does not see. */
  readonly beforeMayBeLater: boolean
  /** The last decision of the program on each finding. */
  readonly decisions: readonly Decision[]
  readonly closed: 'superseded' | 'withdrawn' | undefined
}

type Run = Sheet['runs'][number]
type Values = Pick<FactRead, 'values' | 'missing' | 'atMost'>

const one = (value: ReadValue['value'], document: ReadValue['document'], pointer: string, unit?: string): Values => ({
  values: [{ value, document, pointer, ...(unit !== undefined && { unit }) }],
})
const missing = (why: string): Values => ({ values: [], missing: why })

/** What each run says. Runs that say nothing are told as missing beside those that do. */
function ofRuns(
  sheet: Sheet,
  why: string,
  read: (run: Run, at: string, index: number) => Values['values'][number] | undefined,
): Values {
  const values = sheet.runs.map((run, index) => read(run, `/runs/${index}`, index))
  const there = values.filter((value) => value !== undefined)
  const silent = values.indexOf(undefined)
  if (values.length === 0) return missing(why)
  return { values: there, ...(silent >= 0 && { missing: `${why} in run ${silent}` }) }
}

/** Straight pipe before the section over the inside diameter, as the sheet gives them. */
function diametersUpstream(run: Run): number | undefined {
  const pipe = run.flow !== undefined && 'pipe' in run.flow ? run.flow.pipe : undefined
  if (pipe?.straightUpstream === undefined) return undefined
  const inside = pipe.insideDiameters ?? []
  const length = (reading: Parameters<typeof toSi>[0] | undefined): number =>
    reading === undefined ? 0 : toSi(reading, 'length')
  const outside = length(pipe.outsideDiameter)
  const wall = length(pipe.wallThickness) + length(pipe.liningThickness)
  const diameter =
    inside.length > 0 ? inside.reduce((all, each) => all + length(each), 0) / inside.length : outside - 2 * wall
  return diameter > 0 ? length(pipe.straightUpstream) / diameter : undefined
}

const ofPlant = ({ context }: Material, member: 'driver' | 'ratedPower', why: string): Values => {
  const value = context.plant.equipment?.[member]
  const pointer = `/plant/equipment/${member}`
  if (value === undefined) return missing(why)
  return typeof value === 'string' ? one(value, 'context', pointer) : one(toSi(value, 'power'), 'context', pointer, 'W')
}

function sinceLastTest({ sheet, before, beforeMayBeLater }: Material): Values {
  const unseen = 'tests that other firms gave the program are told to the program alone'
  if (before.kind === 'none') {
    // No test, so none that was paid: longer ago than any rule asks.
    return beforeMayBeLater ? missing(unseen) : one(Number.MAX_SAFE_INTEGER, 'tests', '')
  }
  const days = daysBetween(before.testedOn, sheet.testedOn)
  return { ...one(days, 'tests', `/${before.test}`, 'd'), ...(beforeMayBeLater && { atMost: true as const }) }
}

function relativeUncertainty({ sheet, evaluation }: Material): Values {
  const efficiency = 'overall-plant-efficiency'
  return ofRuns(sheet, 'overall plant efficiency is not reported', (_, __, run) => {
    const index = evaluation.results.findIndex((result) => result.run === run && result.quantity === efficiency)
    const result = evaluation.results[index]
    if (result === undefined || result.value === 0) return undefined
    const value = result.expandedUncertainty / Math.abs(result.value)
    return { value, unit: '1', document: 'evaluation', pointer: `/results/${index}` }
  })
}

/** By fact, how it is read. Those that a rule of its own kind reads, and those nothing records yet, say so. */
const READERS: Readonly<Record<FactName, (material: Material) => Values>> = {
  'plant.region': ({ context }) =>
    context.plant.region === undefined
      ? missing('the record of the plant names no region')
      : one(context.plant.region, 'context', '/plant/region'),
  'plant.use': () => missing('the record of the plant does not say what the water is for'),
  'plant.kind': ({ sheet }) => one(sheet.kind, 'sheet', '/kind'),
  'plant.driver': (material) => ofPlant(material, 'driver', 'the record of the plant names no driver'),
  'plant.ratedPower': (material) => ofPlant(material, 'ratedPower', 'the record of the plant has no rated power'),
  daysSinceLastPaidTest: sinceLastTest,
  daysFromTestToClaim: () => missing('no claim was made for the test'),
  'tester.qualifications': ({ context }) => ({
    values: context.tester.qualifications.map(({ code }, n) => ({
      value: code,
      document: 'context',
      pointer: `/tester/qualifications/${n}`,
    })),
  }),
  'instruments.calibration': ({ context }) => ({
    values: context.instruments.map(({ code }, n) => ({
      value: code,
      document: 'context',
      pointer: `/instruments/${n}`,
    })),
  }),
  'customer.consent': ({ consent }) => one(consent.given, 'consent', `/${consent.turn}`),
  'flow.method': ({ sheet }) =>
    ofRuns(
      sheet,
      'no flow was read',
      ({ flow }, at) => flow && { value: flow.method, document: 'sheet', pointer: `${at}/flow/method` },
    ),
  'power.method': ({ sheet }) =>
    ofRuns(
      sheet,
      'no input power was read',
      ({ power }, at) => power && { value: power.method, document: 'sheet', pointer: `${at}/power/method` },
    ),
  'overallEfficiency.expandedRelative': relativeUncertainty,
  straightUpstreamDiameters: ({ sheet }) =>
    ofRuns(sheet, 'straight pipe upstream or the inside diameter was not read', (run, at) => {
      const value = diametersUpstream(run)
      return value === undefined ? undefined : { value, document: 'sheet', pointer: `${at}/flow/pipe/straightUpstream` }
    }),
  runs: ({ sheet }) => one(sheet.runs.length, 'sheet', '/runs'),
}

/** Reads facts of a test, each once. */
export function factsOf(material: Material): ReadFact {
  const known = new Map<FactName, FactRead>()
  return (name) => {
    const read = known.get(name) ?? { fact: name, ...READERS[name](material) }
    known.set(name, read)
    return read
  }
}
