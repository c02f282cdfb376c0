/** How each operation is asked: what the isolation test can't read from the API description. */
import { sheetWith } from './setup/visit.ts'

/** Records of one firm: wire ids by the name of the path parameter, and the codes people write. */
export interface Records {
  readonly ids: Readonly<Record<string, string>>
  readonly codes: Readonly<Record<Noun, string>>
}

export type Noun = 'plant' | 'tester' | 'instrument'

export interface Ask {
  readonly query?: string
  readonly body?: object
}

export interface Plan {
  /** Path parameters that name no record. */
  readonly path?: Readonly<Record<string, string>>
  /** A request that is right for the firm with these records; `turn` makes new codes. */
  readonly ask?: (own: Records, turn: number) => Ask
  /** Requests that name a record by code, by the noun of the record; all else in them is the firm's own. */
  readonly naming?: Partial<Record<Noun, (own: Records, code: string) => Ask>>
}

const sheetOf = ({ codes }: Records, changes: Readonly<Record<string, unknown>> = {}) =>
  sheetWith({
    '/plant': codes.plant,
    '/tester': codes.tester,
    '/instruments': { level: codes.instrument },
    ...changes,
  })

const takesSheet: Plan = {
  ask: (own) => ({ body: sheetOf(own) }),
  naming: {
    plant: (own, code) => ({ body: sheetOf(own, { '/plant': code }) }),
    tester: (own, code) => ({ body: sheetOf(own, { '/tester': code }) }),
    instrument: (own, code) => ({ body: sheetOf(own, { '/instruments/level': code }) }),
  },
}

const contextOf = ({ codes }: Records, change: Partial<Record<Noun, string>> = {}): Ask => {
  const { plant, tester, instrument } = { ...codes, ...change }
  return { query: `plant=${plant}&tester=${tester}&instruments=${instrument}&testedOn=2026-05-12` }
}

const byCode = (noun: Noun, parameter = 'code'): Plan => ({
  naming: { [noun]: (_: Records, code: string) => ({ query: `${parameter}=${code}` }) },
})

/** By operationId. An operation without a plan fails the test: say here how to ask it. */
export const PLANS: Readonly<Record<string, Plan>> = {
  'health.live': {},
  'health.ready': {},
  'firms.create': { ask: (_, turn) => ({ body: { name: `Firm ${turn} (invented)` } }) },
  'firms.get': {},
  'firms.list': {},
  'programs.create': { ask: (_, turn) => ({ body: { name: `Program ${turn} (invented)` } }) },
  // A directory: every firm must find the program that a test is given to.
  'programs.list': {},
  'keys.create': { ask: () => ({ body: { role: 'auditor', name: 'a key of the isolation test' } }) },
  'keys.list': {},
  'keys.revoke': {},
  // The code of a plant is one for all firms, so a taken code is told; nothing else of the plant is.
  'plants.create': { ask: (_, turn) => ({ body: { code: `NEW-${turn}`, kind: 'well' } }) },
  'plants.get': {},
  'plants.list': byCode('plant'),
  'plants.grantAccess': { ask: ({ ids }) => ({ body: { firmId: ids.firmId } }) },
  'plants.addEquipment': { ask: () => ({ body: { effectiveFrom: '2026-06-01', stages: 5 } }) },
  'plants.listEquipment': {},
  'testers.create': { ask: (_, turn) => ({ body: { code: `NEW-${turn}` } }) },
  'testers.get': {},
  'testers.list': byCode('tester'),
  'testers.addQualification': {
    ask: () => ({ body: { code: 'field-tester', validFrom: '2026-06-01', validUntil: '2028-05-31' } }),
  },
  'instruments.create': {
    ask: (_, turn) => ({ body: { code: `NEW-${turn}`, kind: 'stopwatch', effectiveFrom: '2026-01-01' } }),
  },
  'instruments.get': {},
  'instruments.list': byCode('instrument'),
  'instruments.addRevision': { ask: () => ({ body: { effectiveFrom: '2026-06-01' } }) },
  'context.get': {
    ask: (own) => contextOf(own),
    naming: {
      plant: (own, plant) => contextOf(own, { plant }),
      tester: (own, tester) => contextOf(own, { tester }),
      instrument: (own, instrument) => contextOf(own, { instrument }),
    },
  },
  'evaluations.create': takesSheet,
  'tests.submit': takesSheet,
  'tests.list': byCode('plant', 'plant'),
  'tests.get': {},
  'tests.results': {},
  'tests.findings': {},
  'tests.trace': { path: { quantity: 'overall-plant-efficiency' } },
}
