/** That no operation on test data is forgotten. */
import { fastify } from 'fastify'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerReadLog, SCOPES_OF_READS } from './declare.ts'
import type { ReadLog } from './gather.ts'

interface Operation {
  readonly operationId: string
  readonly 'x-scope'?: string
  readonly 'x-read-log'?: string
}

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

test('every operation on test data says what it writes down, or why nothing', async () => {
  const { paths } = (await service.app.apiDocument()) as { paths: Record<string, Record<string, Operation>> }
  const operations = Object.values(paths).flatMap((methods) => Object.values(methods))
  const ofTests = operations.filter((one) => SCOPES_OF_READS.includes(one['x-scope'] ?? ''))
  expect(Object.fromEntries(ofTests.map((one) => [one.operationId, one['x-read-log']]))).toEqual({
    'decisions.list': 'test',
    'dryRuns.listChanges': 'tests',
    'ledger.bundle': 'test',
    'ledger.bundles': 'tests',
    'ledger.entries': 'list',
    'ledger.entryBundle': 'list',
    'ledger.readHour': 'nothing',
    'ledger.reads': 'nothing',
    'notes.list': 'test',
    'plants.history': 'plant',
    'programs.judgeTest': 'test',
    'qualityVisits.get': 'tests',
    'statistics.chart': 'list',
    'statistics.drawTesters': 'list',
    'statistics.listTests': 'list',
    'statistics.read': 'list',
    'statistics.readPeers': 'list',
    'statistics.readTesters': 'list',
    'statistics.trends': 'list',
    'tests.difference': 'test',
    'tests.findings': 'test',
    'tests.get': 'test',
    'tests.list': 'list',
    'tests.listPrograms': 'test',
    'tests.reads': 'nothing',
    'tests.recordFindings': 'test',
    'tests.replay': 'test',
    'tests.report': 'test',
    'tests.results': 'test',
    'tests.sheet': 'test',
    'tests.context': 'test',
    'tests.trace': 'test',
    'tests.versions': 'test',
    'workLists.lapses': 'list',
    'workLists.plantsDue': 'list',
    'workLists.plantsFalling': 'list',
    'workLists.standingLevels': 'list',
  })
})

test('one that says nothing does not start', () => {
  const app = fastify()
  registerReadLog(app, {} as ReadLog, () => new Date())
  const access = { roles: ['auditor'], scope: 'tests:read' } as const
  expect(() => app.get('/v1/new', { config: { access } }, async () => ({}))).toThrow(/must declare config\.readLog/)
})
