/** `…/{id}/changes`: the history of each record of the registry. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Transaction } from 'kysely'
import { Type } from 'typebox'
import type { Database } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import type { Principal, Role, Scope } from '../http/principal.ts'
import { notFound } from '../http/problem.ts'
import { type RegistryChange, RegistryChangePage } from './change-schemas.ts'
import { listChanges, type Noun } from './changes.ts'
import { findInstrument } from './instrument-queries.ts'
import { findPlant } from './plant-queries.ts'
import { findFirm, findProgram, findTester } from './queries.ts'

interface Kept {
  readonly noun: Noun
  readonly roles: Role[]
  readonly scope: Scope
  readonly tag: string
  /** Whether the caller may see the record; a history is seen with its record. */
  readonly find: (tx: Transaction<Database>, id: string, principal: Principal) => Promise<object | undefined>
}

const KEPT: readonly Kept[] = [
  { noun: 'firm', roles: ['admin', 'auditor'], scope: 'firms:read', tag: 'Firms', find: findFirm },
  { noun: 'program', roles: ['admin', 'auditor'], scope: 'programs:read', tag: 'Programs', find: findProgram },
  {
    noun: 'plant',
    roles: ['firm', 'admin', 'auditor'],
    scope: 'plants:read',
    tag: 'Plants',
    find: (tx, id, { firmId }) => findPlant(tx, firmId, id),
  },
  { noun: 'tester', roles: ['firm', 'auditor'], scope: 'testers:read', tag: 'Testers', find: findTester },
  {
    noun: 'instrument',
    roles: ['firm', 'auditor'],
    scope: 'instruments:read',
    tag: 'Instruments',
    find: findInstrument,
  },
]

type ChangeRow = Awaited<ReturnType<typeof listChanges>>[number]

/** Another firm's key is nobody's business, nor which firm it was. */
function toChange(row: ChangeRow, { firmId }: Principal): RegistryChange {
  const own = firmId === undefined || row.by_firm === firmId
  return {
    at: row.recorded_at.toISOString(),
    ...(own ? { keyId: row.key_id } : { by: row.by_firm === null ? 'administrator' : 'another-firm' }),
    deed: row.deed as RegistryChange['deed'],
    changes: row.changes as RegistryChange['changes'],
  }
}

export const changeRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)
  for (const { noun, roles, scope, tag, find } of KEPT) {
    app.get(
      `/v1/${noun}s/:${noun}Id/changes`,
      {
        config: { access: { roles, scope } },
        schema: {
          operationId: `${noun}s.changes`,
          tags: [tag],
          summary: `Read who changed a ${noun}, and how`,
          description:
            `Every change of the ${noun} since it was registered, oldest first: when, by which key, what, from what to ` +
            'what. Changes are added and never altered. Of personal data it says only that it changed.',
          params: Type.Object({ [`${noun}Id`]: Id(noun, `Id of the ${noun}.`) }),
          querystring: Type.Object(PageQuery, { additionalProperties: false }),
          response: { 200: RegistryChangePage },
        },
      },
      async (request, reply) => {
        const { principal } = request
        const wireId = (request.params as Record<string, string>)[`${noun}Id`]!
        const id = uuidOf(noun, wireId)
        return cursors.page(
          { request, reply, list: { order: 'changes by id', filter: { subject: toWire(noun, id) } } },
          (part) =>
            databases.asPrincipal(principal, async (tx) => {
              if ((await find(tx, id, principal)) === undefined) throw notFound(noun, wireId)
              return listChanges(tx, id, part)
            }),
          (row) => toChange(row, principal),
        )
      },
    )
  }
}
