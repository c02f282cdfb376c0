/**
 * How often an honest visit raises a finding that is decided from the record: every visit to an invented basin, in the
 * order of its dates, beside all that was recorded before it. Repairs are put on record on their day, as they should be.
 */
import {
  type Context,
  comparedReadings,
  evaluate,
  latestEdition,
  type RecordedTest,
  recordFindings,
  type TestRecord,
  windowTexts,
} from '@liftledger/calc'
import { dayOf, type SimulatedVisit, simulateBasin } from '@liftledger/simulator'

export interface RecordAlarms {
  readonly visits: number
  /** Visits with earlier tests of their plant, and with three or more. */
  readonly withHistory: number
  readonly withThreeEarlier: number
  /** Visits after a repair of the plant, with a test before it. */
  readonly afterRepair: number
  /** Visits that share a window of readings with a test of another plant. */
  readonly withLookalikes: number
  /** Visits of a tester who made another one within a day. */
  readonly withOthersOfTester: number
  /** Visits during which the basin sends their tester to another plant too: its schedule reserves no hours. */
  readonly doubleBooked: number
  /** Visits whose true efficiency differs by more than 0.1 from that of the visit before, with the same equipment. */
  readonly trulyChanged: number
  /** Visits by finding. */
  readonly findings: Readonly<Record<string, number>>
}

interface Options {
  readonly seed: number
  readonly visits: number
  /** Whether repairs are put on record; true if left out. */
  readonly repairsRecorded?: boolean
}

function contextOf({ context, plant, testedOn }: SimulatedVisit, repairsRecorded: boolean): Context {
  const equipment = context.plant.equipment!
  const repairs = plant.repairs.filter((day) => day <= testedOn)
  if (!repairsRecorded || repairs.length === 0) return context
  const renewed = { ...equipment, revision: 1 + repairs.length, effectiveFrom: repairs.toSorted().at(-1)! }
  return { ...context, plant: { ...context.plant, equipment: renewed } }
}

const pushInto = <K, V>(map: Map<K, V[]>, key: K, value: V): void => {
  const list = map.get(key)
  if (list === undefined) map.set(key, [value])
  else list.push(value)
}

/** True if the pumps of two visits ran at the same time, by their stated start and the end of the readings. */
const atOneTime = ({ sheet: a }: RecordedTest, { sheet: b }: RecordedTest): boolean =>
  a.runs.some((one) =>
    b.runs.some((other) => isBefore(one.pumpStartedAt, other.endedAt) && isBefore(other.pumpStartedAt, one.endedAt)),
  )

const isBefore = (a: string | undefined, b: string | undefined): boolean =>
  a !== undefined && b !== undefined && Date.parse(a) < Date.parse(b)

/** What is on record, and how it is found again. */
class Store {
  readonly #byPlant = new Map<string, RecordedTest[]>()
  readonly #byWindow = new Map<string, RecordedTest[]>()
  readonly #byTesterAndDay = new Map<string, RecordedTest[]>()
  #tests = 0

  beside(subject: RecordedTest): TestRecord {
    const { firm, plant, sheet } = subject
    const ofPlant = this.#byPlant.get(plant) ?? []
    const lookalikes = new Set<RecordedTest>()
    for (const text of windowTexts(comparedReadings(sheet)))
      for (const other of this.#byWindow.get(text) ?? []) if (other.plant !== plant) lookalikes.add(other)
    const day = dayOf(sheet.testedOn)
    const ofTester = [day - 1, day, day + 1].flatMap(
      (one) => this.#byTesterAndDay.get(`${firm}/${sheet.tester}/${one}`) ?? [],
    )
    return {
      ...{ subject, ofPlant, lookalikes: [...lookalikes], ofTester, sameBytes: [] },
      searched: this.#tests - ofPlant.length,
    }
  }

  add(test: RecordedTest): void {
    const { firm, plant, sheet } = test
    pushInto(this.#byPlant, plant, test)
    pushInto(this.#byTesterAndDay, `${firm}/${sheet.tester}/${dayOf(sheet.testedOn)}`, test)
    for (const text of windowTexts(comparedReadings(sheet))) pushInto(this.#byWindow, text, test)
    this.#tests += 1
  }
}

export function countRecordAlarms({ seed, visits: wanted, repairsRecorded = true }: Options): RecordAlarms {
  const firms = Math.ceil(wanted / 100)
  const { visits } = simulateBasin({ seed, plants: Math.ceil(wanted / 5), years: 6, firms, testersPerFirm: 5 })
  const store = new Store()
  const findings: Record<string, number> = {}
  const doubleBooked = new Set<string>()
  const lastTruth = new Map<string, { readonly efficiency: number; readonly equipmentFrom: string }>()
  const found = {
    visits: 0,
    withHistory: 0,
    withThreeEarlier: 0,
    afterRepair: 0,
    withLookalikes: 0,
    withOthersOfTester: 0,
  }
  let trulyChanged = 0
  for (const visit of visits) {
    if (found.visits === wanted) break
    const { sheet, plant, firm, testedOn } = visit
    const context = contextOf(visit, repairsRecorded)
    const subject: RecordedTest = {
      ...{ test: visit.id, firm: firm.code, plant: plant.code, sheet, context },
      evaluation: evaluate(sheet, context, latestEdition),
      rawSha256: visit.id,
      receivedAt: `${testedOn}T23:59:59-12:00`,
    }
    const record = store.beside(subject)
    found.visits += 1
    if (record.ofPlant.length > 0) found.withHistory += 1
    if (record.ofPlant.length >= 3) found.withThreeEarlier += 1
    if (visit.occasion === 'after-repair' && record.ofPlant.length > 0) found.afterRepair += 1
    if (record.lookalikes.length > 0) found.withLookalikes += 1
    if (record.ofTester.length > 0) found.withOthersOfTester += 1
    if (record.ofTester.some((other) => atOneTime(subject, other))) doubleBooked.add(visit.id)
    const truth = { efficiency: visit.truth.overallEfficiency, equipmentFrom: context.plant.equipment!.effectiveFrom }
    const last = lastTruth.get(plant.code)
    if (last?.equipmentFrom === truth.equipmentFrom && Math.abs(truth.efficiency - last.efficiency) > 0.1)
      trulyChanged += 1
    lastTruth.set(plant.code, truth)
    for (const id of new Set(recordFindings(record, latestEdition).map((finding) => finding.id))) {
      // Two places at once, as the sheets say by their own words: that is what the finding is for.
      const name = id === 'tests-overlap-for-tester' && doubleBooked.has(visit.id) ? `${id}, double-booked` : id
      findings[name] = (findings[name] ?? 0) + 1
    }
    store.add(subject)
  }
  return { ...found, doubleBooked: doubleBooked.size, trulyChanged, findings }
}
