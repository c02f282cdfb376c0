/**
 * The answer a grower is handed, as plain data: what was found first and in words, then the figures with their
 * intervals, what speaks for and against them, what was read, and what can hurt. Every number is a result of the
 * evaluation; nothing is computed here but the ends of intervals.
 */
import {
  CAUTIONS_OF_REPORTS,
  catalogue,
  type Evaluation,
  formatResult,
  quantities,
  type Result,
  roundText,
} from '@liftledger/calc'
import type { ReadTest } from '../field-tests/load.ts'
import { toWire } from '../http/ids.ts'
import { placeInWords, type ReadingLine, readingLines } from './readings.ts'

export interface ReportFigure {
  readonly label: string
  readonly value: string
  readonly interval: string
}

export interface ReportFinding {
  /** What the severity means to a reader. */
  readonly weight: string
  readonly where: string
  readonly message: string
  readonly remedy: string
}

export interface ReportRun {
  readonly title: string
  readonly figures: readonly ReportFigure[]
  readonly notReported: readonly string[]
}

export interface Report {
  readonly title: string
  readonly facts: readonly (readonly [label: string, value: string])[]
  readonly answer: readonly string[]
  readonly runs: readonly ReportRun[]
  readonly findings: readonly ReportFinding[]
  readonly readings: readonly ReadingLine[]
  readonly cautions: readonly { readonly title: string; readonly text: string }[]
  readonly closing: readonly string[]
  readonly proof: readonly (readonly [label: string, value: string])[]
}

const WEIGHTS = {
  reject: 'Unusable',
  hold: 'A person must decide',
  caution: 'Use with care',
  note: 'For information',
} as const

const gravestFirst = <F extends { readonly severity: keyof typeof WEIGHTS }>(findings: readonly F[]): F[] => {
  const order = Object.keys(WEIGHTS)
  return findings.toSorted((one, other) => order.indexOf(one.severity) - order.indexOf(other.severity))
}

const SOUNDNESS = {
  sound: 'Nothing that was read speaks against these figures.',
  'in-question':
    'Some of what was read is in question; a person has to decide on it before these figures are relied on.',
  unsound: 'Some of what was read can not be right, or is missing: these figures are not to be relied on.',
  superseded: 'A later version of this test took its place; read that one.',
  withdrawn: 'The firm took this test back; its figures are not to be relied on.',
} as const

const ends = ({ shown: { value, expandedUncertainty, unit, decimals } }: Result): string => {
  const text = `${roundText(value - expandedUncertainty, decimals)} to ${roundText(value + expandedUncertainty, decimals)}`
  return unit === '1' ? text : `${text} ${unit}`
}
const figure = (result: Result): string => {
  const { value, unit, decimals } = result.shown
  return unit === '1' ? roundText(value, decimals) : `${roundText(value, decimals)} ${unit}`
}
const between = (result: Result): string => `${figure(result)} (${ends(result)})`

const titleOf = (quantity: Result['quantity']): string => quantities[quantity].title

/** What a reader asks first, of the run that stands for the plant's usual condition. */
function answerInWords({ evaluation, standing, from }: ReadTest, run: number): string[] {
  const of = (quantity: Result['quantity']) =>
    evaluation.results.find((result) => result.run === run && result.quantity === quantity)
  // What speaks against the figures comes before them.
  const said: string[] = standing.soundness === 'sound' ? [] : [SOUNDNESS[standing.soundness]]
  const efficiency = of('overall-plant-efficiency')
  const fuel = of('fuel-per-volume') ?? of('gas-per-volume')
  if (from === 'record')
    said.push('Of this test the main figures alone are kept; they stand in the record of the test.')
  else if (efficiency === undefined)
    said.push('What was read gives no overall plant efficiency; the reasons stand below.')
  else
    said.push(
      `Of ${fuel === undefined ? 'the energy put in' : 'the heat in the fuel'}, ${between(efficiency)} went into lifting and pressing the water. This is the overall plant efficiency.`,
    )
  const [flow, head, power] = [of('flow'), of('total-dynamic-head'), of('input-power')]
  const doing = [
    flow && `pumped ${between(flow)}`,
    head && `against a total dynamic head of ${between(head)}`,
    power && `with an input of ${between(power)}`,
  ].filter((part) => part !== undefined)
  if (doing.length > 0) said.push(`The plant ${doing.join(', ')}.`)
  const [energy, cost] = [of('energy-per-volume'), of('cost-per-volume')]
  if (energy) said.push(`Energy per volume of water: ${between(energy)}.`)
  if (fuel) said.push(`${titleOf(fuel.quantity)}: ${between(fuel)}.`)
  if (cost) said.push(`At the price of ${fuel === undefined ? 'energy' : 'fuel'} stated, water costs ${between(cost)}.`)
  if (standing.soundness === 'sound') said.push(SOUNDNESS.sound)
  const first = evaluation.advice.find((advice) => advice.run === run)
  if (first !== undefined && efficiency !== undefined) said.push(adviceInWords(first))
  return said
}

function adviceInWords({
  label,
  shareOfVariance,
  needsQualifiedStaff,
  offerFirst,
}: Evaluation['advice'][number]): string {
  const share = `${roundText(100 * shareOfVariance, 0)} %`
  const who = needsQualifiedStaff ? ' It is read in a live panel: that is for qualified staff only.' : ''
  const instead = offerFirst === undefined ? '' : ' Timing the utility meter from outside comes first.'
  return `The largest part of the doubt about efficiency, ${share} of its variance, comes from: ${label}.${who}${instead}`
}

/** Run and member that a finding is about, in words. */
const whereOf = ({ run, place }: Pick<Evaluation['findings'][number], 'run' | 'place'>, runs: number): string =>
  [run !== undefined && runs > 1 ? `run ${run + 1}` : undefined, placeInWords(place)]
    .filter((part) => part !== undefined)
    .join(', ')

function runOf(evaluation: Evaluation, run: number, runs: number, normal: number): ReportRun {
  const usual = run === normal ? ', the usual condition' : ''
  const words: Readonly<Record<string, string>> = {
    'reading-missing': 'a reading is missing',
    'not-resolved': 'it does not stand clear of zero',
    'too-uncertain': 'it is too uncertain',
  }
  return {
    title: runs === 1 ? 'Results' : `Results of run ${run + 1}${usual}`,
    figures: evaluation.results
      .filter((result) => result.run === run)
      .map((result) => ({ label: titleOf(result.quantity), value: formatResult(result), interval: ends(result) })),
    notReported: evaluation.withheld
      .filter((one) => one.run === run)
      .map(({ quantity, because }) => `${titleOf(quantity)}: ${words[because] ?? `see finding ${because}`}`),
  }
}

/** Cautions of the methods that a sheet names, in the order of the catalogue. */
function cautionsOf(sheet: ReadTest['sheet']): Report['cautions'] {
  const named = new Set<string>()
  const look = (value: unknown): void => {
    if (typeof value !== 'object' || value === null) return
    for (const [name, member] of Object.entries(value)) {
      if (name === 'method' && typeof member === 'string') named.add(member)
      else look(member)
    }
  }
  look(sheet)
  const ids = new Set(catalogue.methods.filter(({ id }) => named.has(id)).flatMap(({ cautions }) => cautions))
  return catalogue.cautions.filter(({ id }) => ids.has(id)).map(({ title, text }) => ({ title, text }))
}

export function reportOf(test: ReadTest): Report {
  const { stored, sheet, context, evaluation, standing, record, replay } = test
  const normal = sheet.normalRun ?? 0
  const id = toWire('test', stored.id)
  return {
    title: `Test of pumping plant ${sheet.plant}`,
    facts: [
      ['Kind of plant', sheet.kind],
      ['Date of the visit', sheet.testedOn],
      ['Tester', sheet.tester],
      ['Region', context.plant.region ?? 'not stated'],
    ],
    answer: answerInWords(test, normal),
    runs: sheet.runs.map((_, run) => runOf(evaluation, run, sheet.runs.length, normal)),
    findings: gravestFirst([...evaluation.findings, ...(record.findings ?? [])]).map((finding) => ({
      weight: WEIGHTS[finding.severity],
      where: whereOf(finding, sheet.runs.length),
      message: finding.message,
      remedy: finding.remedy,
    })),
    readings: readingLines(sheet),
    cautions: cautionsOf(sheet),
    closing: [
      'Intervals cover 95 %: the value lies between their ends in 95 of 100 such measurements.',
      `Method edition ${stored.edition}; velocity head is ${test.edition.settings.velocityHead === 'include' ? 'part of' : 'left out of'} the total dynamic head that makes overall plant efficiency. Each figure leads back to readings: /v1/tests/${id}/trace.`,
      ...(replay === 'differs'
        ? ['Evaluated again this test does not give what was recorded; the figures are those recorded.']
        : []),
      record.compared
        ? `Compared with other tests in the record on ${record.comparedAt!.slice(0, 10)}.`
        : 'Not yet compared with other tests in the record; ask for the report again in a minute.',
      ...(standing.successor === null ? [] : [`The later version: ${toWire('test', standing.successor)}.`]),
      ...CAUTIONS_OF_REPORTS,
    ],
    proof: [
      ['Test', id],
      ['SHA-256 of the sheet as received', stored.rawSha256.toString('hex')],
      ['SHA-256 of the evaluation', stored.evaluationSha256.toString('hex')],
      ['File to verify offline', `/v1/ledger/bundle/${id}`],
    ],
  }
}
