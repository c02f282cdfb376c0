/** `/v1/rule-sets/{id}/dry-runs`: what a draft would change of the tests that the program has. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { neverChanged, ruleSetId } from './drafts.ts'
import { DryRuns } from './dry-run.ts'
import { type DryRunRow, findRun, insertRun, isRunning, listRunChanges } from './dry-run-queries.ts'
import { DryRun, DryRunChangePage, type DryRunSummary } from './dry-run-schemas.ts'
import { contentOf, lockRuleSet, publishedVersions } from './rule-set-queries.ts'

const Params = Type.Object({ dryRunId: Id('dry run', 'Id of the dry run.') })
const READERS = { roles: ['program', 'auditor'] } as const

/** Silent for that long, a run has ended with its process. */
const SILENCE_MS = 60_000

const toDryRun = (row: DryRunRow, now: Date): DryRun => {
  const cutOff = row.finished_at === null && now.getTime() - row.beat_at.getTime() > SILENCE_MS
  const failed = row.failed ?? (cutOff ? 'Its process ended while it was at work.' : undefined)
  return {
    id: toWire('dry run', row.id),
    ruleSetId: toWire('rule set', row.rule_set_id),
    contentSha256: row.content_sha256.toString('hex'),
    state: failed !== undefined ? 'failed' : row.finished_at === null ? 'running' : 'finished',
    startedAt: row.started_at.toISOString(),
    ...(row.finished_at !== null && { finishedAt: row.finished_at.toISOString() }),
    judged: row.judged,
    ...(failed !== undefined && { failed }),
    ...(row.summary !== null && { summary: row.summary as DryRunSummary }),
  }
}

export const dryRunRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, config, now, newId } = deps
  const cursors = new Cursors(config.keyPepper, now)
  const runs = new DryRuns(deps)
  app.addHook('preClose', () => runs.close())

  app.post(
    '/v1/rule-sets/:ruleSetId/dry-runs',
    {
      config: { access: { roles: ['program'], scope: 'rule-sets:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'dryRuns.create',
        tags: ['Rule sets'],
        summary: 'Begin a dry run of a draft',
        description:
          'The draft judges every open test that the program has, as if it were in force on its day, and is compared ' +
          'with the version that was. It goes on beside other requests; read it until it ended.',
        params: Type.Object({ ruleSetId }),
        response: { 202: DryRun },
      },
    },
    async ({ principal, params }, reply) => {
      const at = now()
      const begun = await databases.asPrincipal(principal, async (tx) => {
        const draft = await lockRuleSet(tx, uuidOf('rule set', params.ruleSetId))
        if (draft === undefined) throw notFound('rule set', params.ruleSetId)
        if (draft.published_at !== null) throw neverChanged(draft)
        if (await isRunning(tx, draft.id, new Date(at.getTime() - SILENCE_MS))) throw atWork()
        const row = {
          id: newId(),
          program_id: draft.program_id,
          rule_set_id: draft.id,
          content_sha256: draft.content_sha256,
          key_id: principal.keyId,
          started_at: at,
          beat_at: at,
        }
        await insertRun(tx, row)
        return { row, rules: contentOf(draft), published: await publishedVersions(tx, draft.program_id) }
      })
      const { row, rules, published } = begun
      runs.begin({ id: row.id, principal, rules, published })
      const shown = toDryRun({ ...row, finished_at: null, failed: null, judged: 0, summary: null }, at)
      return reply.code(202).header('location', `/v1/dry-runs/${shown.id}`).send(shown)
    },
  )

  app.get(
    '/v1/dry-runs/:dryRunId',
    {
      config: { access: { ...READERS, scope: 'programs:read' } },
      schema: {
        operationId: 'dryRuns.get',
        tags: ['Rule sets'],
        summary: 'Read a dry run',
        description: 'How far it is; once it ended, how many tests would be judged otherwise and by how much in all.',
        params: Params,
        response: { 200: DryRun },
      },
    },
    async ({ principal, params }) => {
      const row = await databases.asPrincipal(principal, (tx) => findRun(tx, uuidOf('dry run', params.dryRunId)))
      if (row === undefined) throw notFound('dry run', params.dryRunId)
      return toDryRun(row, now())
    },
  )

  app.get(
    '/v1/dry-runs/:dryRunId/changes',
    {
      config: { access: { ...READERS, scope: 'tests:read' }, readLog: { of: 'tests' } },
      schema: {
        operationId: 'dryRuns.listChanges',
        tags: ['Rule sets'],
        summary: 'List what a draft would change',
        description: 'Test by test, before and after. A test that was taken back since is not told of.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: DryRunChangePage },
      },
    },
    async (request, reply) => {
      const { principal, params } = request
      const id = uuidOf('dry run', params.dryRunId)
      const list = { order: 'changes by test', filter: { dryRun: id } }
      request.testsRead = []
      return cursors.page(
        { request, reply, list },
        (part) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findRun(tx, id)) === undefined) throw notFound('dry run', params.dryRunId)
            return listRunChanges(tx, id, part)
          }),
        ({ id: test, change }) => {
          request.testsRead = [...(request.testsRead ?? []), test]
          return { testId: toWire('test', test), ...change }
        },
      )
    },
  )
}

const atWork = (): Problem =>
  new Problem('conflict', 'A dry run of this draft is at work; read it until it ended.', { retryAfterS: 5 })
