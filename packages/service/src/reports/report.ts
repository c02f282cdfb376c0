/**
 * The answer a grower is handed, as plain data: what was found first and in words, then the figures with their
 * intervals, what speaks for and against them, what was read, and what can hurt. Every number is a result of the
 * evaluation; nothing is computed here but the ends of intervals.
 */
import {
  CAUTIONS_OF_REPORTS,
  catalogue,
  cautionsOf,
  type Evaluation,
  quantities,
  type Result,
  roundText,
  type Sheet,
} from '@liftledger/calc'
import type { ReadTest } from '../field-tests/load.ts'
import { toWire } from '../http/ids.ts'
import { amount, between, ends, withHalfWidth } from './amounts.ts'
import { placeInWords, readingParts } from './readings.ts'

export interface ReportFigure {
  readonly label: string
  readonly value: string
  readonly interval: string
  /** The page with its formulas, open to everybody. */
  readonly explained: string
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
  readonly readings: ReturnType<typeof readingParts>
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

const titleOf = (quantity: Result['quantity']): string => quantities[quantity].title

/** What the visit can't answer, in the words of a reader who asks for the efficiency. */
function withoutEfficiency({ purpose, notTestableBecause }: Sheet): string {
  if (purpose === 'not-testable')
    return `The plant could not be tested${notTestableBecause === undefined ? '' : `: ${notTestableBecause.replaceAll('-', ' ')}`}.`
  if (purpose === 'flow-and-power')
    return 'This visit was for flow and power; head and overall plant efficiency were not asked for.'
  return 'What was read gives no overall plant efficiency; the reasons stand below.'
}

/** What a reader asks first, of the run that stands for the plant's usual condition. */
function answerInWords({ sheet, evaluation, standing, from, record }: ReadTest, run: number): string[] {
  const of = (quantity: Result['quantity']) =>
    evaluation.results.find((result) => result.run === run && result.quantity === quantity)
  // What speaks against the figures comes before them.
  const said: string[] = standing.soundness === 'sound' ? [] : [SOUNDNESS[standing.soundness]]
  const efficiency = of('overall-plant-efficiency')
  const fuel = of('fuel-per-volume') ?? of('gas-per-volume')
  if (from === 'record')
    said.push('Of this test the main figures alone are kept; they stand in the record of the test.')
  else if (efficiency === undefined) said.push(withoutEfficiency(sheet))
  else
    said.push(
      `Of ${fuel === undefined ? 'the energy put in' : 'the heat in the fuel'}, ${between(efficiency)} went into lifting and pressing the water. This is the overall plant efficiency.`,
    )
  const [flow, head, power] = [of('flow'), of('total-dynamic-head'), of('input-power')]
  const doing = [
    flow && `pumped ${between(flow)}`,
    head && `against a total dynamic head of ${between(head)}`,
    power && `with an input of ${between(power)}${fuel === undefined ? '' : ' of heat in the fuel'}`,
  ].filter((part) => part !== undefined)
  if (doing.length > 0) said.push(`The plant ${doing.join(', ')}.`)
  const [energy, cost] = [of('energy-per-volume'), of('cost-per-volume')]
  if (energy) said.push(`Energy per volume of water: ${between(energy)}.`)
  if (fuel) said.push(`${titleOf(fuel.quantity)}: ${between(fuel)}.`)
  if (cost) said.push(`At the price of ${fuel === undefined ? 'energy' : 'fuel'} stated, water costs ${between(cost)}.`)
  if (doing.length > 0) said.push('In brackets stand the ends of the 95 % interval.')
  const withCare = [...evaluation.findings, ...(record.findings ?? [])].some(({ severity }) => severity === 'caution')
  if (standing.soundness === 'sound' && doing.length > 0)
    said.push(`${SOUNDNESS.sound}${withCare ? ' Some of it asks for care; it stands under the findings.' : ''}`)
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
  // That an uncertainty is relative tells how it is stated in the edition, not what it is of.
  const cause = label.replace(/, relative$/, '').replace(/^[A-Z](?=[a-z])/, (letter) => letter.toLowerCase())
  const who = needsQualifiedStaff ? ' It is read in a live panel: that is for qualified staff only.' : ''
  const instead = offerFirst === undefined ? '' : ' Timing the utility meter from outside comes first.'
  return `The largest part of the doubt about the efficiency (${roundText(100 * shareOfVariance, 0)} % of its variance) comes from one cause: ${cause}.${who}${instead}`
}

/** Run and member that a finding is about, in words. */
const whereOf = ({ run, place }: Pick<Evaluation['findings'][number], 'run' | 'place'>, runs: number): string =>
  [
    run !== undefined && runs > 1 && !place.startsWith('/runs/') ? `run ${run + 1}` : undefined,
    placeInWords(place, runs),
  ]
    .filter((part) => part !== undefined)
    .join(', ')

/** What is asked for first stands first; all others follow as they were worked out. */
const FIRST: readonly Result['quantity'][] = [
  'overall-plant-efficiency',
  'flow',
  'total-dynamic-head',
  'input-power',
  'energy-per-volume',
  'fuel-per-volume',
  'gas-per-volume',
  'cost-per-volume',
  'standing-water-level',
  'pumping-water-level',
  'drawdown',
  'specific-capacity',
]
const rank = ({ quantity }: Result): number => {
  const place = FIRST.indexOf(quantity)
  return place < 0 ? FIRST.length : place
}

/** What tells a run from the others, as far as the sheet says. */
function conditionOf({ condition, speeds }: Sheet['runs'][number]): string {
  const [speed] = speeds ?? []
  return [
    speed && amount(speed.value, speed.unit),
    condition?.valve === 'partly-closed' && 'valve partly closed',
    condition?.outletsOpen && `open: ${condition.outletsOpen.join(', ')}`,
    condition?.duty === 'unusual' && 'unusual duty',
  ]
    .filter((part) => typeof part === 'string')
    .join(', ')
}

const WITHHELD: Readonly<Record<string, string>> = {
  'reading-missing': 'a reading is missing.',
  'not-resolved': 'it does not stand clear of zero.',
  'too-uncertain': 'it is too uncertain.',
}
const RULES: ReadonlyMap<string, string> = new Map(catalogue.findings.map(({ id, rule }) => [id, rule]))

function runOf({ evaluation, sheet }: ReadTest, run: number, site: string): ReportRun {
  const { runs, normalRun = 0 } = sheet
  const told = [run === normalRun && 'the usual condition', conditionOf(runs[run]!)].filter(Boolean).join(', ')
  return {
    title: runs.length === 1 ? 'Results' : `Results of run ${run + 1}${told === '' ? '' : `: ${told}`}`,
    figures: evaluation.results
      .filter((result) => result.run === run)
      .sort((a, b) => rank(a) - rank(b))
      .map((result) => ({
        label: titleOf(result.quantity),
        value: withHalfWidth(result),
        interval: ends(result),
        explained: `${site}/method/quantities/${result.quantity}`,
      })),
    notReported: evaluation.withheld
      .filter((one) => one.run === run)
      .map(({ quantity, because }) => `${titleOf(quantity)}: ${WITHHELD[because] ?? RULES.get(because) ?? because}`),
  }
}

/** `site` is where the service is reached, without a slash at its end: a page that was kept leads back to it. */
export function reportOf(test: ReadTest, site = ''): Report {
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
    runs: sheet.runs.map((_, run) => runOf(test, run, site)),
    findings: gravestFirst([...evaluation.findings, ...(record.findings ?? [])]).map((finding) => ({
      weight: WEIGHTS[finding.severity],
      where: whereOf(finding, sheet.runs.length),
      message: finding.message,
      remedy: finding.remedy,
    })),
    readings: readingParts(sheet),
    cautions: cautionsOf(sheet, evaluation.findings).map(({ title, text }) => ({ title, text })),
    closing: [
      'Intervals cover 95 %: the value lies between their ends in 95 of 100 such measurements.',
      `Method edition ${stored.edition}; velocity head is ${test.edition.settings.velocityHead === 'include' ? 'part of' : 'left out of'} the total dynamic head that makes overall plant efficiency.`,
      `What a quantity is, with its formulas, their symbols, validity and sources: ${site}/method/quantities/{quantity}, or ${site}/v1/method/quantities as data. How each figure follows from the readings, for who may read the test: ${site}/v1/tests/${id}/trace/{quantity}.`,
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
      ['File to verify offline', `${site}/v1/ledger/bundle/${id}`],
    ],
  }
}
