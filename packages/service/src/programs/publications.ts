/** Publication of rule sets by a second person, and what everybody reads of them. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { codeOf } from '../db/roles.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, uuidOf } from '../http/ids.ts'
import { CHANGE_PROBLEMS, IfMatch, insistOnMatch, overtaken, tagOf } from '../http/if-match.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { neverChanged, personOf, ruleSetId } from './drafts.ts'
import { findFinishedRun } from './dry-run-queries.ts'
import { OVERTAKEN, publishRuleSet } from './publish.ts'
import {
  contentOf,
  findPublished,
  findRuleSet,
  listPublished,
  publishedVersions,
  type RuleSetRow,
  toRuleSet,
} from './rule-set-queries.ts'
import { PublishedRuleSet, PublishedRuleSetPage, RuleSet, Version } from './rule-set-schemas.ts'
import { contradictionsOf } from './rules/check.ts'
import type { Contradiction } from './rules/contradiction.ts'
import { todayIn } from './time-zone.ts'

const programId = Id('program', 'Id of the program.')
const EVERYBODY = { access: 'public', problems: ['database-unavailable', 'timeout'] } as const

const BY_VERSION: Place<PublishedRuleSet, number> = {
  valuesOf: ({ version }) => [String(version)],
  from: ([version]) => Number(version),
}

export const publicationRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases, config, now, newSalt } = deps
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/rule-sets/:ruleSetId/publication',
    {
      config: {
        access: { roles: ['program'], scope: 'rule-sets:write' },
        problems: [...CHANGE_PROBLEMS, 'conflict'],
        receipted: true,
      },
      schema: {
        operationId: 'ruleSets.publish',
        tags: ['Rule sets'],
        summary: 'Publish a rule set',
        description:
          'By another person than those who wrote it, under the ETag of the draft as it was read; nothing of it may be ' +
          'refused by the checks, and a dry run of these very rules must have ended. It goes into the ledger and is ' +
          'never changed: a change is a new version.',
        params: Type.Object({ ruleSetId }),
        headers: IfMatch,
        response: { 201: RuleSet },
      },
    },
    async ({ principal, params, headers }, reply) => {
      const publisher = personOf(principal)
      const read = await databases.asPrincipal(principal, async (tx) => {
        const row = await findRuleSet(tx, uuidOf('rule set', params.ruleSetId))
        if (row === undefined) throw notFound('rule set', params.ruleSetId)
        return {
          row,
          published: await publishedVersions(tx, row.program_id),
          dryRun: await findFinishedRun(tx, row.id, row.content_sha256),
        }
      })
      const { row, published, dryRun } = read
      // The form that is answered is chosen by the status.
      insistOnMatch(headers['if-match'], tagOf(reply.code(201), toRuleSet(row)))
      if (row.published_at !== null) throw neverChanged(row)
      insistOnSecondPerson(row, principal, publisher)
      const at = now()
      const rules = contentOf(row)
      insistOnSense(contradictionsOf(rules, { published, today: todayIn(rules, at) }))
      if (dryRun === undefined) throw noDryRun()
      const publication = { row, lastVersion: published.at(-1)?.version, publisher, keyId: principal.keyId, at }
      const made = { ...publication, dryRunId: dryRun, salt: newSalt() }
      const stored = await publishRuleSet(databases.writer, made).catch((error: unknown) => {
        throw codeOf(error) === OVERTAKEN || codeOf(error) === '23505' ? overtaken() : error
      })
      receiptFor(reply, deps, stored).header('location', `/v1/rule-sets/${params.ruleSetId}`)
      return toRuleSet({ ...row, publisher, published_at: at, ledger_index: stored.index })
    },
  )

  app.get(
    '/v1/programs/:programId/rule-sets',
    {
      config: EVERYBODY,
      schema: {
        operationId: 'programs.listRuleSets',
        tags: ['Rule sets'],
        summary: 'List a program’s published rules',
        description: 'Every version in order, for everybody: a test is judged by the one in force on its day.',
        params: Type.Object({ programId }),
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: PublishedRuleSetPage },
      },
    },
    async (request, reply) => {
      const program = uuidOf('program', request.params.programId)
      const list = { order: 'rule sets by version', filter: { program } }
      return cursors.pageBy(
        BY_VERSION,
        { request, reply, list },
        (part) => listPublished(databases.ledgerReads, program, part),
        (shown) => shown,
      )
    },
  )

  app.get(
    '/v1/programs/:programId/rule-sets/:version',
    {
      config: EVERYBODY,
      schema: {
        operationId: 'programs.getRuleSet',
        tags: ['Rule sets'],
        summary: 'Read a published rule set',
        description: 'One version of a program’s rules, as it was published and hashed into the ledger.',
        params: Type.Object({ programId, version: Version }),
        response: { 200: PublishedRuleSet },
      },
    },
    async ({ params }) => {
      const found = await findPublished(databases.ledgerReads, uuidOf('program', params.programId), params.version)
      if (found === undefined) throw notFound('published version', String(params.version))
      return found
    },
  )
}

function insistOnSecondPerson({ authors, author_keys }: RuleSetRow, { keyId }: Principal, publisher: string): void {
  if (!authors.includes(publisher) && !author_keys.includes(keyId)) return
  throw new Problem(
    'conflict',
    `Rules are published by another person than those who wrote them; '${publisher}' is one of the authors.`,
  )
}

function insistOnSense(found: readonly Contradiction[]): void {
  const refused = found.filter(({ severity }) => severity === 'refused')
  if (refused.length === 0) return
  throw new Problem('conflict', 'The rules contradict themselves or what is published; nothing was published.', {
    errors: refused.slice(0, 50).map(({ code, message, rules }) => ({
      pointer: rules[0]!.pointer,
      code: 'wrong-shape',
      message: `${code}: ${message} ${rules.map(placeText).join(' and ')}.`.slice(0, 600),
    })),
  })
}

const placeText = ({ id, pointer, version }: Contradiction['rules'][number]): string =>
  `${id === undefined ? '' : `'${id}' at `}${pointer}${version === undefined ? '' : ` of version ${version}`}`

const noDryRun = (): Problem =>
  new Problem(
    'conflict',
    'Before it is published, have these very rules judge the tests you have: POST …/dry-runs, and wait until it ended.',
  )
