/** One rule on one test: the facts it used, the value wanted, what came of it. */
import {
  allOf,
  boundsText,
  codeOutcome,
  type FactRead,
  missingOutcome,
  type Outcome,
  outcomeOf,
  type ReadFact,
  type ReadValue,
  spanOutcome,
  whenOutcome,
} from './conditions.ts'
import { isFact } from './facts.ts'
import type { Material } from './material.ts'
import type { ReadingRule, Rule } from './schema.ts'

export interface Judged {
  readonly outcome: Outcome
  readonly wanted: string
  readonly facts: readonly FactRead[]
  /** What is missing, or why the outcome is not what the facts alone would say. */
  readonly because?: string
}

/** In what way repairs would decide, if any were recorded here. */
const NO_REPAIRS = 'a repair since the last test would waive this, and repairs are not recorded here'

export function judgeRule(rule: Rule, material: Material, read: ReadFact): Judged {
  const judged = judgeFact(rule, material, read)
  if (judged.outcome !== 'not-met' || !rule.waivedBy?.includes('repair-since-last-test')) return judged
  return { ...judged, outcome: 'not-decidable', because: NO_REPAIRS }
}

function judgeFact(rule: Rule, material: Material, read: ReadFact): Judged {
  if (!isFact(rule.fact)) return { outcome: 'not-decidable', wanted: '', facts: [], because: 'there is no such fact' }
  if (rule.hasInForceOn !== undefined) return judgeQualification(rule, material, read)
  if (rule.validOn !== undefined) return judgeCertificates(rule, material)
  const fact = read(rule.fact)
  const because = fact.missing === undefined ? {} : { because: fact.missing }
  if (rule.in !== undefined)
    return { outcome: codeOutcome(fact, rule.in), wanted: `one of ${rule.in.join(', ')}`, facts: [fact], ...because }
  if (rule.equals !== undefined) {
    const outcome = allOf([
      ...fact.values.map(({ value }) => outcomeOf(value === rule.equals)),
      ...missingOutcome(fact),
    ])
    return { outcome, wanted: rule.equals ? 'yes' : 'no', facts: [fact], ...because }
  }
  return { outcome: spanOutcome(fact, rule), wanted: boundsText(rule), facts: [fact], ...because }
}

/** One of the qualifications is in force on the day of the test. A tester without any on record lacks the fact. */
function judgeQualification(rule: Rule, { sheet, context }: Material, read: ReadFact): Judged {
  const wanted = `one of ${(rule.anyOf ?? []).join(', ')} in force on ${sheet.testedOn}`
  const fact = read('tester.qualifications')
  const { qualifications } = context.tester
  if (qualifications.length === 0) {
    return { outcome: 'not-decidable', wanted, facts: [fact], because: 'no qualification of the tester is on record' }
  }
  const held = qualifications.some(
    ({ code, validFrom, validUntil }) =>
      rule.anyOf?.includes(code) === true && validFrom <= sheet.testedOn && sheet.testedOn <= validUntil,
  )
  return { outcome: outcomeOf(held), wanted, facts: [fact] }
}

/** The instrument of each use has a certificate in force. Power that the utility meter gives takes no instrument. */
function judgeCertificates(rule: Rule, { sheet, context }: Material): Judged {
  const wanted = `certificates in force on ${sheet.testedOn} for ${(rule.for ?? []).join(', ')}`
  const values: ReadValue[] = []
  const outcomes: Outcome[] = []
  const lacking: string[] = []
  for (const use of rule.for ?? []) {
    const code = sheet.instruments?.[use]
    if (code === undefined) {
      if (use === 'power' && sheet.runs.every(({ power }) => power === undefined || power.method.startsWith('meter-')))
        continue
      lacking.push(`the sheet names no instrument for ${use}`)
      continue
    }
    const place = context.instruments.findIndex((instrument) => instrument.code === code)
    const certificate = context.instruments[place]?.certificate
    const address = { document: 'context', pointer: `/instruments/${place}/certificate` } as const
    if (certificate === undefined) {
      lacking.push(`no certificate of ${code} is on record`)
      continue
    }
    values.push({ value: certificate.number, ...address })
    outcomes.push(outcomeOf(certificate.validFrom <= sheet.testedOn && sheet.testedOn <= certificate.validUntil))
  }
  const missing = lacking.length === 0 ? {} : { missing: lacking.join('; ') }
  const fact: FactRead = { fact: 'instruments.calibration', values, ...missing }
  return {
    outcome: allOf([...outcomes, ...(lacking.length > 0 ? (['not-decidable'] as const) : [])]),
    wanted,
    facts: [fact],
    ...(fact.missing !== undefined && { because: fact.missing }),
  }
}

/** What may be left out, by what a rule calls it. */
const LEFT_OUT = {
  standingLevel: 'standing-level',
  'pumpingLevel.series': 'pumping-level',
  'power.timings': 'power',
  'evidence.meter-face': undefined,
} as const

export function judgeReading(rule: ReadingRule, { sheet }: Material): Judged {
  const least = rule.atLeast ?? 1
  const wanted = least === 1 ? `${rule.needs} is there` : `at least ${least} of ${rule.needs}`
  const name = LEFT_OUT[rule.needs]
  const leftOut = sheet.leftOut?.findIndex(({ reading }) => reading === name) ?? -1
  if (leftOut >= 0) {
    const { reason } = sheet.leftOut![leftOut]!
    const fact = {
      fact: rule.needs,
      values: [{ value: reason, document: 'sheet' as const, pointer: `/leftOut/${leftOut}/reason` }],
    }
    // What is left out for safety is never held against a test.
    if (reason === 'unsafe') return { outcome: 'met', wanted, facts: [fact], because: 'left out for safety' }
    if (rule.unless === 'noAccessStated') {
      return { outcome: 'met', wanted, facts: [fact], because: 'the sheet says that there is no access' }
    }
  }
  const fact = readingsOf(rule.needs, sheet)
  if (fact.missing !== undefined) return { outcome: 'not-decidable', wanted, facts: [fact], because: fact.missing }
  return { outcome: outcomeOf(fact.values.every(({ value }) => Number(value) >= least)), wanted, facts: [fact] }
}

/** How many there are, run by run. What was not read is missing, and not a failure. */
function readingsOf(needs: ReadingRule['needs'], sheet: Material['sheet']): FactRead {
  const at = (pointer: string, value: number): ReadValue => ({ value, document: 'sheet', pointer })
  switch (needs) {
    case 'standingLevel':
      return sheet.standingLevel === undefined
        ? { fact: needs, values: [], missing: 'no standing level was read' }
        : { fact: needs, values: [at('/standingLevel', 1)] }
    case 'pumpingLevel.series':
      return counted(needs, sheet, 'pumping level', ({ pumpingLevel }, place) => {
        const series = pumpingLevel !== undefined && 'series' in pumpingLevel ? pumpingLevel.series : undefined
        return series === undefined ? undefined : at(`${place}/pumpingLevel/series`, series.length)
      })
    case 'power.timings':
      return counted(needs, sheet, 'timing', ({ power }, place) => {
        const timings = power !== undefined && 'timings' in power ? power.timings : undefined
        return timings === undefined ? undefined : at(`${place}/power/timings`, timings.length)
      })
    case 'evidence.meter-face':
      return { fact: needs, values: [], missing: 'no photographs are kept with tests' }
  }
}

function counted(
  fact: string,
  { runs }: Material['sheet'],
  what: string,
  read: (run: Material['sheet']['runs'][number], place: string) => ReadValue | undefined,
): FactRead {
  const values = runs.map((run, n) => read(run, `/runs/${n}`)).filter((value) => value !== undefined)
  const complete = values.length === runs.length && runs.length > 0
  return { fact, values, ...(!complete && { missing: `no series or list of ${what} readings in some run` }) }
}

export const applies = (rule: Rule | ReadingRule, read: ReadFact): Outcome => whenOutcome(rule.when, read)
