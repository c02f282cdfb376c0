/**
 * The context of a test: the records its evaluation leans on, as they stand for the day of the visit. A door:
 * submissions and evaluations load it here.
 */
import type { Context, NamedInstrument } from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'
import { LRUCache } from 'lru-cache'
import type { Databases } from '../db/database.ts'
import type { FoundRecord } from '../db/look-up.ts'
import type { Principal } from '../http/principal.ts'
import { referenceNotFound } from '../http/problem.ts'
import { sha256 } from '../http/sha256.ts'

/** What a sheet names, by code. */
export interface References {
  readonly plantCode: string
  readonly testerCode: string
  /** With the JSON Pointer of the member that names each. */
  readonly instruments: readonly NamedInstrument[]
  /** Day of the visit, `YYYY-MM-DD`. */
  readonly testedOn: string
}

export interface FoundContext {
  readonly context: Context
  /** Canonical JSON of the context, and its SHA-256. */
  readonly bytes: Buffer
  readonly sha256: Buffer
  /** UUIDs. */
  readonly plantId: string
  readonly testerId: string
}

/**
 * The context as it stands, seen with the eyes of the principal, a firm.
 *
 * Equipment and instruments as in force on the day; all qualifications, since whether one stood is for the
 * evaluation to say. Throws `reference-not-found` with the pointers of all records that are not visible.
 */
export async function loadContext(
  databases: Pick<Databases, 'lookUp'>,
  principal: Principal,
  { plantCode, testerCode, instruments, testedOn }: References,
): Promise<FoundContext> {
  const instrumentCodes = instruments.map(({ code }) => code)
  const records = await databases.lookUp(principal, { plantCode, testerCode, instrumentCodes, testedOn })
  const isThere = (kind: FoundRecord['what'], sought: string): boolean =>
    records.some(({ what, code }) => what === kind && code === sought)
  const missing = [
    ...(isThere('plant', plantCode) ? [] : [{ pointer: '/plant', noun: 'plant', code: plantCode }]),
    ...(isThere('tester', testerCode) ? [] : [{ pointer: '/tester', noun: 'tester', code: testerCode }]),
    ...instruments
      .filter(({ code }) => !isThere('instrument', code))
      .map((named) => ({ ...named, noun: 'instrument' })),
  ]
  if (missing.length > 0) throw referenceNotFound(missing)
  return contextOf(records)
}

/** Contexts by the records they are made of. Nothing here can be out of date: other records are another name. */
const made = new LRUCache<string, FoundContext>({
  maxSize: 8 * 1024 * 1024,
  sizeCalculation: ({ bytes }) => 3 * bytes.length,
})

/** Submissions that come together share tester and instruments: each record is written out once. */
const texts = new WeakMap<FoundRecord, string>()

function textOf(record: FoundRecord): string {
  let text = texts.get(record)
  if (text === undefined) {
    text = JSON.stringify(record)
    texts.set(record, text)
  }
  return text
}

function contextOf(records: readonly FoundRecord[]): FoundContext {
  const name = records.map(textOf).join()
  let found = made.get(name)
  if (found === undefined) {
    found = makeContext(records)
    made.set(name, found)
  }
  return found
}

/** Rows were checked when they were registered; here they only change their form. */
function makeContext(records: readonly FoundRecord[]): FoundContext {
  const plant = records.find(({ what }) => what === 'plant')!
  const tester = records.find(({ what }) => what === 'tester')!
  const instruments = records.filter(({ what }) => what === 'instrument')
  const qualifications = JSON.parse(tester.facts!) as Context['tester']['qualifications'][number][]
  const context = {
    plant: {
      code: plant.code,
      kind: plant.kind,
      ...(plant.region !== null && { region: plant.region }),
      ...(plant.revision !== null && {
        equipment: { revision: plant.revision, effectiveFrom: plant.effectiveFrom, ...factsOf(plant) },
      }),
    },
    tester: {
      code: tester.code,
      qualifications: qualifications.toSorted(byText(({ code, validFrom }) => `${code} ${validFrom}`)),
    },
    instruments: instruments
      .map((instrument) => ({ code: instrument.code, kind: instrument.kind, ...factsOf(instrument) }))
      .toSorted(byText(({ code }) => code)),
  } as Context
  const bytes = Buffer.from(canonicalBytes(context))
  return { context, bytes, sha256: sha256(bytes), plantId: plant.id, testerId: tester.id }
}

const factsOf = ({ facts }: FoundRecord): object | null => (facts === null ? null : (JSON.parse(facts) as object))

/** Order by code units, the same whatever the collation of the database. */
const byText =
  <T>(key: (item: T) => string) =>
  (a: T, b: T): number =>
    key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0
