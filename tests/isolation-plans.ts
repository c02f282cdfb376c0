/** How each operation is asked: what the isolation test can't read from the API description. */
import { ALL_TESTS } from './setup/quality-visits.ts'
import { rulesOf } from './setup/rule-sets.ts'
import { sheetWith } from './setup/visit.ts'

/** Records of one firm: wire ids by the name of the path parameter, and the codes people write. */
export interface Records {
  readonly ids: Readonly<Record<string, string>>
  readonly codes: Readonly<Record<Noun, string>>
  /** Code of a plant of another firm, to ask access to. */
  readonly askable?: string
}

export type Noun = 'plant' | 'tester' | 'instrument'

export interface Ask {
  readonly query?: string
  readonly body?: object
}

/** The month whose statistics are public in the isolation test. */
export const PUBLISHED_MONTH = '2099-12'

export interface Plan {
  /** Path parameters that name no record. */
  readonly path?: Readonly<Record<string, string>>
  /** Path parameters that stand for another record than their name says. */
  readonly alias?: Readonly<Record<string, string>>
  /** Read by every firm alike. */
  readonly directory?: true
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

const withReason = (naming: NonNullable<Plan['naming']>): NonNullable<Plan['naming']> =>
  Object.fromEntries(
    Object.entries(naming).map(([noun, ask]) => [
      noun,
      (own: Records, code: string) => ({ ...ask(own, code), query: 'reason=misread' }),
    ]),
  )

const contextOf = ({ codes }: Records, change: Partial<Record<Noun, string>> = {}): Ask => {
  const { plant, tester, instrument } = { ...codes, ...change }
  return { query: `plant=${plant}&tester=${tester}&instruments=${instrument}&testedOn=2026-05-12` }
}

const byCode = (noun: Noun, parameter = 'code'): Plan => ({
  naming: { [noun]: (_: Records, code: string) => ({ query: `${parameter}=${code}` }) },
})

export const CONSENT = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-1' }
const WITHDRAWAL = { body: { withdrawnAt: '2026-05-12T10:30:00-07:00' } }

/** What holds a test up whose gauge showed less than nothing, and a decision on it. */
export const HOLD = { '/runs/0/dischargePressure/reading/value': -3 }
export const DECISION = {
  finding: 'discharge-pressure-negative',
  run: 0,
  place: '/runs/0/dischargePressure/reading',
  outcome: 'stands',
  reader: 'R-1',
  reason: 'The gauge was read again and shows the same.',
}

/** By operationId. An operation without a plan fails the test: say here how to ask it. */
export const PLANS: Readonly<Record<string, Plan>> = {
  'health.live': {},
  'health.ready': {},
  'firms.create': { ask: (_, turn) => ({ body: { name: `Firm ${turn} (invented)` } }) },
  'firms.get': {},
  'firms.list': {},
  'firms.update': { ask: (_, turn) => ({ body: { name: `Firm ${turn} renamed (invented)` } }) },
  'firms.changes': {},
  'programs.create': { ask: (_, turn) => ({ body: { name: `Program ${turn} (invented)` } }) },
  // A directory: every firm must find the program that a test is given to.
  'programs.list': {},
  'programs.get': { directory: true },
  'programs.update': { ask: (_, turn) => ({ body: { name: `Program ${turn} renamed (invented)` } }) },
  'programs.changes': {},
  'keys.create': { ask: () => ({ body: { role: 'auditor', name: 'a key of the isolation test' } }) },
  'keys.list': {},
  'keys.get': {},
  'keys.rotate': { ask: () => ({ body: {} }) },
  'keys.revoke': {},
  'tokenPrincipals.create': {
    ask: (_, turn) => ({
      body: {
        issuer: 'https://issuer.example',
        subject: `subject-${turn}`,
        role: 'auditor',
        name: 'of the isolation test',
      },
    }),
  },
  'tokenPrincipals.get': {},
  'tokenPrincipals.list': {},
  'tokenPrincipals.remove': {},
  // The code of a plant is one for all firms, so a taken code is told; nothing else of the plant is.
  'plants.create': { ask: (_, turn) => ({ body: { code: `NEW-${turn}`, kind: 'well' } }) },
  'plants.get': {},
  'plants.list': byCode('plant'),
  'plants.grantAccess': { ask: ({ ids }) => ({ body: { firmId: ids.firmId } }) },
  'plants.addEquipment': { ask: () => ({ body: { effectiveFrom: '2026-06-01', stages: 5 } }) },
  'plants.listEquipment': {},
  'plants.update': { ask: (_, turn) => ({ body: { region: `region-${turn}` } }) },
  'plants.changes': {},
  'plants.addMeter': { ask: (_, turn) => ({ body: { number: `M-${turn}`, from: '2026-01-01' } }) },
  'plants.listMeters': {},
  // That a code is known is told to every firm, and nothing else; registry/access.test.ts holds it to that.
  'plants.lookUp': { ask: ({ codes }) => ({ query: `code=${codes.plant}` }) },
  'plants.history': {},
  'plants.shareHistory': { ask: ({ ids }) => ({ body: { firmId: ids.otherFirmId, consent: CONSENT } }) },
  'plants.closeHistory': { alias: { firmId: 'otherFirmId' }, ask: () => WITHDRAWAL },
  'plants.listHistoryConsents': {},
  'accessRequests.create': { ask: ({ askable }) => ({ body: { plantCode: askable, consent: CONSENT } }) },
  'accessRequests.get': {},
  'accessRequests.list': {},
  'accessRequests.decide': { ask: () => ({ body: { outcome: 'declined', reason: 'consent-not-shown' } }) },
  'testers.create': { ask: (_, turn) => ({ body: { code: `NEW-${turn}` } }) },
  'testers.get': {},
  'testers.list': byCode('tester'),
  'testers.addQualification': {
    ask: () => ({ body: { code: 'field-tester', validFrom: '2026-06-01', validUntil: '2028-05-31' } }),
  },
  'testers.update': { ask: (_, turn) => ({ body: { name: `Somebody ${turn}` } }) },
  'testers.changes': {},
  'instruments.create': {
    ask: (_, turn) => ({ body: { code: `NEW-${turn}`, kind: 'stopwatch', effectiveFrom: '2026-01-01' } }),
  },
  'instruments.get': {},
  'instruments.list': byCode('instrument'),
  'instruments.addRevision': { ask: () => ({ body: { effectiveFrom: '2026-06-01' } }) },
  'instruments.update': { ask: () => ({ body: { kind: 'stopwatch' } }) },
  'instruments.changes': {},
  'instruments.addCheck': {
    ask: () => ({ body: { checkedOn: '2026-05-12', referenceValue: 50, shownValue: 50.1, unit: 'ft' } }),
  },
  'instruments.listChecks': {},
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
  'tests.recordFindings': {},
  'tests.revise': {
    alias: { testId: 'testToReviseId' },
    ask: (own) => ({ body: sheetOf(own), query: 'reason=misread' }),
    naming: withReason(takesSheet.naming!),
  },
  'tests.withdraw': { alias: { testId: 'testToWithdrawId' }, ask: () => ({ body: { reason: 'sent-twice' } }) },
  'tests.reads': {},
  'tests.versions': {},
  // The first version has no earlier one: compared with itself, so that there is an answer.
  'tests.difference': { ask: ({ ids }) => ({ query: `from=${ids.testId}` }) },
  'tests.replay': {},
  'tests.sheet': {},
  'tests.context': {},
  'decisions.create': { alias: { testId: 'testInQuestionId' }, ask: () => ({ body: DECISION }) },
  'decisions.list': {},
  'decisions.eraseWords': { alias: { testId: 'testInQuestionId' } },
  'tests.giveToProgram': { ask: ({ ids }) => ({ body: { programId: ids.otherProgramId, consent: CONSENT } }) },
  'tests.takeFromProgram': { alias: { programId: 'otherProgramId' }, ask: () => WITHDRAWAL },
  'tests.listPrograms': {},
  // A program that is asked for by another answers as one that there is not.
  'programs.judgeTest': {},
  'programs.listRuleSets': {},
  'programs.getRuleSet': { path: { version: '1' } },
  'ruleSets.draft': { ask: () => ({ body: rulesOf('ambermoor-1') }) },
  'ruleSets.list': {},
  'ruleSets.get': {},
  'ruleSets.change': { ask: () => ({ body: rulesOf('ambermoor-2') }) },
  'ruleSets.check': {},
  'ruleSets.publish': { alias: { ruleSetId: 'ruleSetToPublishId' } },
  'dryRuns.create': {},
  'dryRuns.get': {},
  'dryRuns.listChanges': {},
  'qualityDraws.announce': { ask: () => ({ body: ALL_TESTS }) },
  'qualityDraws.list': {},
  'qualityDraws.get': {},
  'qualityDraws.draw': { alias: { drawId: 'drawToDrawId' } },
  'qualityVisits.list': {},
  'qualityVisits.get': {},
  'qualityVisits.addStep': { ask: () => ({ body: { step: 'let-go', reason: 'unsafe' } }) },
  'qualityAssignments.list': {},
  'notes.create': { ask: (_, turn) => ({ body: { kind: 'remark', text: `Remark ${turn}` } }) },
  'notes.list': {},
  'notes.erase': {},
  'statistics.read': { ask: () => ({ query: 'groupBy=firmId,plantId' }) },
  'statistics.trends': {},
  'statistics.listTests': {},
  'statistics.readTesters': {},
  'statistics.drawTesters': {},
  'statistics.chart': { path: { chart: 'histogram' } },
  'statistics.listPublications': {},
  'statistics.readPublication': { path: { month: PUBLISHED_MONTH } },
  'statistics.readPeers': { path: { month: PUBLISHED_MONTH } },
  'workLists.plantsDue': { ask: () => ({ query: 'intervalDays=1' }) },
  'workLists.plantsFalling': {},
  'workLists.lapses': { ask: () => ({ query: 'withinDays=3650' }) },
  'workLists.standingLevels': {},
  'ledger.bundle': {},
  'ledger.bundles': { ask: ({ ids }) => ({ body: { tests: [ids.testId] } }) },
  'ledger.checkpoint': {},
  'ledger.keys': {},
  'ledger.tile': { path: { tile: '0/000.p/1' } },
  'ledger.entryBundle': { path: { bundle: '000.p/1' } },
  'ledger.entries': {},
  'ledger.reads': {},
  'ledger.readHour': { path: { hour: '2026-05-12T09:00:00.000Z' } },
  'ledger.inclusion': { ask: () => ({ query: 'index=0' }) },
  'ledger.consistency': { ask: () => ({ query: 'from=1' }) },
  'methodCautions.list': {},
  'methodCautions.get': { path: { id: 'alone' } },
  'methodEditions.list': {},
  'methodEditions.get': { path: { id: '2026-1' } },
  'methodFindings.list': {},
  'methodFindings.get': { path: { id: 'pitot-velocity-too-low' } },
  'methodFormulas.list': {},
  'methodFormulas.get': { path: { id: 'lift' } },
  'methodMethods.list': {},
  'methodMethods.get': { path: { id: 'pitot-traverse' } },
  'methodQuantities.list': {},
  'methodQuantities.get': { path: { id: 'flow' } },
  'methodUnits.list': {},
  'tests.report': {},
  'tests.trace': { path: { quantity: 'overall-plant-efficiency' } },
}
