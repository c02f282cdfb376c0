/**
 * A basin of forty testers, some with a biased instrument, its visits drawn and tested again by other firms: without the
 * store, by the functions that the service itself uses. Invented from a seed; the truth is the simulator’s.
 */
import { evaluate, latestEdition, type Result, toSi } from '@liftledger/calc'
import {
  type Appointment,
  Random,
  type SimulatedBasin,
  type SimulatedVisit,
  simulateBasin,
  simulateVisit,
} from '@liftledger/simulator'
import { toWire } from '../../packages/service/src/http/ids.ts'
import { sha256 } from '../../packages/service/src/http/sha256.ts'
import {
  COMPARED,
  type Compared,
  type Difference,
  differencesOf,
} from '../../packages/service/src/quality-visits/difference.ts'
import { type Candidate, drawVisits, type Shares } from '../../packages/service/src/quality-visits/draw.ts'
import { powerClass } from '../../packages/service/src/statistics/rollup.ts'
import { testerStatistics } from '../../packages/service/src/statistics/testers/answer.ts'
import type { PlaceInFunnel } from '../../packages/service/src/statistics/testers/funnel.ts'
import type { CountedTest } from '../../packages/service/src/statistics/testers/gather.ts'

export interface Size {
  readonly firms: number
  readonly testersPerFirm: number
  readonly plants: number
  readonly years: number
  /** Of tests drawn for a visit. */
  readonly shares: Shares
}

/** Forty testers, with some fifty tests and thirty visits each. */
export const FORTY_TESTERS: Size = {
  firms: 10,
  testersPerFirm: 4,
  plants: 600,
  years: 3,
  shares: { atRandom: 0.25, byWeight: 0.15 },
}
/** Days from a test to its re-test. */
const AGAIN_AFTER = [7, 45] as const

export interface Trial {
  readonly biased: boolean
  readonly place: PlaceInFunnel | 'too-few'
  readonly score: number
}

export interface BasinOutcome {
  readonly tests: number
  readonly visits: number
  readonly allTests: readonly Trial[]
  readonly samePlants: readonly Trial[]
  /** E_n numbers of pairs in which no biased tester was. */
  readonly honest: Readonly<Record<Compared, readonly number[]>>
  /** Of pairs with one biased tester: which results did not agree. */
  readonly biasedPairs: number
  readonly disagreeing: Readonly<Record<Compared, number>>
}

interface Tested extends SimulatedVisit {
  readonly results: readonly Result[]
  readonly efficiency: Result
  readonly candidate: Omit<Candidate, 'turnOfTester'>
}

const uuid = (name: string): string => {
  const hex = sha256(name).toString('hex')
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-7${hex.slice(13, 16)}-8${hex.slice(17, 20)}-${hex.slice(20, 32)}`
}
const testerOf = ({ firm, tester }: { firm: { code: string }; tester: { code: string } }): string =>
  uuid(`${firm.code}/${tester.code}`)

function tested(visit: SimulatedVisit): Tested | undefined {
  const { results, findings, soundness } = evaluate(visit.sheet, visit.context, latestEdition)
  const run = visit.sheet.normalRun ?? 0
  const efficiency = results.find((one) => one.quantity === 'overall-plant-efficiency' && one.run === run)
  if (efficiency === undefined || soundness !== 'sound') return undefined
  const has = (severity: string): boolean => findings.some((one) => one.severity === severity)
  return {
    ...visit,
    results,
    efficiency,
    candidate: {
      testId: uuid(visit.id),
      hasCaution: has('caution'),
      hasHold: has('hold'),
      expandedShare: efficiency.expandedUncertainty / efficiency.value,
    },
  }
}

const YEAR = 365.25 * 86_400_000

function counted(visit: Tested): CountedTest {
  const { equipment } = visit.context.plant
  const since = equipment?.effectiveFrom
  return {
    id: visit.candidate.testId,
    tester: testerOf(visit),
    firm: uuid(visit.firm.code),
    plant: uuid(visit.plant.code),
    day: visit.testedOn,
    kind: visit.plant.kind,
    powerClass: powerClass(equipment?.ratedPower === undefined ? undefined : toSi(equipment.ratedPower, 'power')),
    region: visit.plant.region,
    ageYears: since === undefined ? undefined : (Date.parse(visit.testedOn) - Date.parse(since)) / YEAR,
    // A repair is on record as a change of equipment.
    equipment: String(visit.plant.repairs.filter((day) => day <= visit.testedOn).length),
    efficiency: visit.efficiency.value,
    relativeUncertainty: visit.efficiency.standardUncertainty / visit.efficiency.value,
    ownFlowInstrument: !visit.flowMethod.startsWith('meter-'),
  }
}

/** A basin that was tested, and the visits that followed. */
export interface VisitedBasin {
  readonly basin: SimulatedBasin
  readonly first: readonly Tested[]
  readonly pairs: readonly { readonly one: Tested; readonly again: Tested }[]
}

/** Draws the basin, tests it, draws visits, and tests again by other firms. */
export function visitedBasin(
  seed: number,
  { biased, bias }: { readonly biased: number; readonly bias: number },
  { shares, ...size }: Size = FORTY_TESTERS,
): VisitedBasin {
  const { basin, appointments } = simulateBasin({ seed, ...size, biased, bias })
  const first = appointments.flatMap((appointment) => {
    const one = tested(simulateVisit(basin, appointment))
    return one === undefined ? [] : [{ one, appointment }]
  })
  const turns = new Map<string, number>()
  const candidates = first.map(({ one }): Candidate => {
    const turnOfTester = (turns.get(testerOf(one)) ?? 0) + 1
    turns.set(testerOf(one), turnOfTester)
    return { ...one.candidate, turnOfTester }
  })
  const drawn = new Set(
    drawVisits(sha256(`quality visits ${seed}`), shares, candidates)
      .filter((one) => one.drawn !== undefined)
      .map(({ testId }) => testId),
  )
  const random = new Random(`quality visits/${seed}`)
  const pairs = first.flatMap(({ one, appointment }) => {
    if (!drawn.has(one.candidate.testId)) return []
    const again = testedAgain(appointment)
    return again === undefined ? [] : [{ one, again }]
  })
  function testedAgain({ plant, firm: before, day }: Appointment): Tested | undefined {
    const firm = random.pick(basin.firms.filter(({ code }) => code !== before.code))
    const tester = random.pick(firm.testers)
    const later = day + random.whole(...AGAIN_AFTER)
    // Work on the plant between the two ends the visit.
    if (plant.truth.repaired.some((repair) => repair.day > day && repair.day <= later)) return undefined
    return tested(simulateVisit(basin, { plant, firm, tester, day: later, occasion: 'quality-visit' }))
  }
  return { basin, first: first.map(({ one }) => one), pairs }
}

/** Holds the testers of a basin against their limits. */
export function outcomeOf(seed: number, bias: { readonly biased: number; readonly bias: number }): BasinOutcome {
  const { basin, first, pairs } = visitedBasin(seed, bias)
  const all = [...first, ...pairs.map(({ again }) => again)].map(counted)
  const leftOut = { 'in-question': 0, unsound: 0, superseded: 0, withdrawn: 0, 'without-efficiency': 0 }
  const answer = testerStatistics({ tests: all, leftOut, ledgerSize: 0 }, { driver: 'electric-motor', of: 'all-tests' })
  const isBiased = new Map(
    basin.firms.flatMap((firm) =>
      firm.testers.map((tester) => [toWire('tester', testerOf({ firm, tester })), tester.bias !== undefined] as const),
    ),
  )
  const trials = ({ testers, tooFew }: (typeof answer)['allTests']): Trial[] => [
    ...testers.map(({ testerId, place, score }) => ({ biased: isBiased.get(testerId)!, place, score })),
    ...tooFew.map(({ testerId }) => ({ biased: isBiased.get(testerId)!, place: 'too-few' as const, score: 0 })),
  ]
  return {
    tests: all.length,
    visits: pairs.length,
    allTests: trials(answer.allTests),
    samePlants: trials(answer.samePlants),
    ...agreement(pairs),
  }
}

function agreement(pairs: readonly { readonly one: Tested; readonly again: Tested }[]) {
  const each = <T>(of: () => T): Record<Compared, T> =>
    Object.fromEntries(COMPARED.map((quantity) => [quantity, of()])) as Record<Compared, T>
  const honest = each((): number[] => [])
  const disagreeing = each(() => 0)
  let biasedPairs = 0
  const asTest = ({ testedOn, sheet, results }: Tested) => ({ day: testedOn, run: sheet.normalRun ?? 0, results })
  // The biased instrument must have been in hand: a tester may have measured by another.
  const inHand = ({ tester, flowMethod }: Tested): boolean =>
    tester.bias !== undefined && INSTRUMENT_OF[flowMethod] === tester.bias.instrument.split('-').at(-1)
  for (const { one, again } of pairs) {
    const differences: readonly Difference[] = differencesOf(asTest(one), asTest(again))
    const none = one.tester.bias === undefined && again.tester.bias === undefined
    if (none) for (const { quantity, en } of differences) honest[quantity].push(en)
    if (inHand(one) === inHand(again)) continue
    biasedPairs += 1
    for (const { quantity, agrees } of differences) if (!agrees) disagreeing[quantity] += 1
  }
  return { honest, biasedPairs, disagreeing }
}

const INSTRUMENT_OF: Readonly<Record<string, string>> = {
  'pitot-traverse': 'pitot',
  'ultrasonic-rate': 'clampon',
  'ultrasonic-velocity': 'clampon',
  'insertion-velocity': 'insertion',
}
