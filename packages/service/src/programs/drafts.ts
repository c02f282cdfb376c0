/** `/v1/rule-sets`: a program’s office drafts its rules, changes the draft and has it checked. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { CHANGE_PROBLEMS, IfMatch, insistOnMatch, tagged, tagOf } from '../http/if-match.ts'
import { personBehind } from '../http/person.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import {
  changeDraft,
  contentColumns,
  contentOf,
  findRuleSet,
  insertDraft,
  listRuleSets,
  lockRuleSet,
  publishedVersions,
  type RuleSetRow,
  toRuleSet,
} from './rule-set-queries.ts'
import { RuleSet, RuleSetChecks, RuleSetPage } from './rule-set-schemas.ts'
import { contradictionsOf, isRefused } from './rules/check.ts'
import { RuleSetContent } from './rules/schema.ts'
import { insistOnTimeZone, todayIn } from './time-zone.ts'

export const ruleSetId = Id('rule set', 'Id of the rule set.')
const Params = Type.Object({ ruleSetId })
const OFFICE = { roles: ['program'], scope: 'rule-sets:write' } as const
const READERS = { roles: ['program', 'auditor'], scope: 'programs:read' } as const

/** Code of the person behind a key. Throws `forbidden` where the key names nobody. */
export const personOf = (principal: Principal): string =>
  personBehind(principal, 'Rules are written by one person and published by another')

const union = (all: readonly string[], one: string): string[] => [...new Set([...all, one])]

export const draftRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)
  const find = (principal: Principal, wireId: string): Promise<RuleSetRow> =>
    databases.asPrincipal(principal, async (tx) => {
      const row = await findRuleSet(tx, uuidOf('rule set', wireId))
      if (row === undefined) throw notFound('rule set', wireId)
      return row
    })

  app.post(
    '/v1/rule-sets',
    {
      config: { access: OFFICE },
      schema: {
        operationId: 'ruleSets.draft',
        tags: ['Rule sets'],
        summary: 'Draft a rule set',
        description:
          'A version of the program’s rules, to be changed and checked until another person publishes it. A draft may ' +
          'contradict itself; what does is not published.',
        body: RuleSetContent,
        response: { 201: RuleSet },
      },
    },
    async ({ principal, body }, reply) => {
      const person = personOf(principal)
      insistOnTimeZone(body)
      const at = now()
      const row = {
        id: newId(),
        program_id: principal.programId!,
        ...contentColumns(body),
        authors: [person],
        author_keys: [principal.keyId],
        drafted_at: at,
        changed_at: at,
      }
      await databases.asPrincipal(principal, (tx) => insertDraft(tx, row))
      const shown = toRuleSet({ ...row, publisher: null, published_at: null, ledger_index: null })
      reply.code(201).header('location', `/v1/rule-sets/${shown.id}`)
      return reply.send(tagged(reply, shown))
    },
  )

  app.get(
    '/v1/rule-sets',
    {
      config: { access: READERS },
      schema: {
        operationId: 'ruleSets.list',
        tags: ['Rule sets'],
        summary: 'List rule sets, drafts too',
        description:
          'A program sees its own, an auditor all. What is published is read by everybody, program by program.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: RuleSetPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'rule sets by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listRuleSets(tx, part)),
        toRuleSet,
      ),
  )

  app.get(
    '/v1/rule-sets/:ruleSetId',
    {
      config: { access: READERS },
      schema: {
        operationId: 'ruleSets.get',
        tags: ['Rule sets'],
        summary: 'Read a rule set',
        description: 'One rule set, with an ETag to change or to publish it by.',
        params: Params,
        response: { 200: RuleSet },
      },
    },
    async ({ principal, params }) => toRuleSet(await find(principal, params.ruleSetId)),
  )

  app.put(
    '/v1/rule-sets/:ruleSetId',
    {
      config: { access: OFFICE, problems: [...CHANGE_PROBLEMS, 'conflict'] },
      schema: {
        operationId: 'ruleSets.change',
        tags: ['Rule sets'],
        summary: 'Change a draft',
        description:
          'The whole of it anew, under the ETag of the draft as it was read. Whoever changes it is one of its authors ' +
          'from then on. What is published is never changed.',
        params: Params,
        headers: IfMatch,
        body: RuleSetContent,
        response: { 200: RuleSet },
      },
    },
    async ({ principal, params, body, headers }, reply) => {
      const person = personOf(principal)
      insistOnTimeZone(body)
      const shown = await databases.asPrincipal(principal, async (tx) => {
        const row = await lockRuleSet(tx, uuidOf('rule set', params.ruleSetId))
        if (row === undefined) throw notFound('rule set', params.ruleSetId)
        insistOnMatch(headers['if-match'], tagOf(reply, toRuleSet(row)))
        if (row.published_at !== null) throw neverChanged(row)
        const changed = {
          ...row,
          ...contentColumns(body),
          authors: union(row.authors, person),
          author_keys: union(row.author_keys, principal.keyId),
          changed_at: now(),
        }
        await changeDraft(tx, changed)
        return toRuleSet(changed)
      })
      return reply.send(tagged(reply, shown))
    },
  )

  app.get(
    '/v1/rule-sets/:ruleSetId/checks',
    {
      config: { access: READERS },
      schema: {
        operationId: 'ruleSets.check',
        tags: ['Rule sets'],
        summary: 'Check a rule set',
        description:
          'What contradicts itself, another version, or what a program may change; each with the rules it lies between.',
        params: Params,
        response: { 200: RuleSetChecks },
      },
    },
    async ({ principal, params }): Promise<RuleSetChecks> => {
      const row = await find(principal, params.ruleSetId)
      const versions = await databases.asPrincipal(principal, (tx) => publishedVersions(tx, row.program_id))
      const rules = contentOf(row)
      // What is published stands beside those published before it.
      const published = versions.filter(({ version }) => row.published_at === null || version < row.version)
      const found = contradictionsOf(rules, { published, today: todayIn(rules, now()) })
      return {
        contentSha256: row.content_sha256.toString('hex'),
        publishable: !isRefused(found),
        found: found.map((one) => ({ ...one, rules: one.rules.map((place) => ({ ...place })) })),
      }
    },
  )
}

export const neverChanged = ({ id, version }: RuleSetRow): Problem =>
  new Problem(
    'conflict',
    `Rule set '${toWire('rule set', id)}' was published as version ${version} and is never changed; draft the next version.`,
  )
