/**
 * `PATCH` of each record of the registry, as merge patch (RFC 7396) under the ETag of what was read.
 *
 * Each locks the record, compares, changes and keeps the change in one transaction, so that of two changes of the
 * same state one is refused. What holds from a day on isn't changed but recorded anew, and has its own routes.
 */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyReply } from 'fastify'
import type { Transaction } from 'kysely'
import { type TObject, type TProperties, Type } from 'typebox'
import type { Database } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { MERGE_PATCH } from '../http/body.ts'
import { Id, uuidOf } from '../http/ids.ts'
import { CHANGE_PROBLEMS, IfMatch, insistOnMatch, merged, overtaken, tagged, tagOf } from '../http/if-match.ts'
import type { Principal, Role, Scope } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import type { Change } from './change-schemas.ts'
import { type Author, differences, type Noun, personalDifferences, recordChange } from './changes.ts'
import { toFirm } from './firms.ts'
import { lockInstrument, setInstrumentKind } from './instrument-queries.ts'
import { toInstrument } from './instruments.ts'
import { findPlant, lockAccess, setReference, setRegion } from './plant-queries.ts'
import { toPlant } from './plants.ts'
import { toProgram } from './programs.ts'
import { lockFirm, lockProgram, lockTester, renameFirm, renameProgram, renameTester } from './queries.ts'
import {
  Firm,
  FirmPatch,
  Instrument,
  InstrumentPatch,
  Plant,
  PlantPatch,
  Program,
  ProgramPatch,
  Tester,
  TesterPatch,
} from './schemas.ts'
import { toTester } from './testers.ts'

type Tx = Transaction<Database>

/** How one kind of record is found, compared and changed. */
interface Patching<Row, Shown extends object> {
  readonly noun: Noun
  readonly tx: Tx
  readonly author: Author
  readonly id: string
  readonly wireId: string
  /** Refuses the change where the record is no longer what the caller read. */
  readonly insist: (shown: object) => void
  /** The row, locked until the end of the transaction. */
  readonly lock: () => Promise<Row | undefined>
  readonly show: (row: Row) => Shown
  /** Makes the change and answers the row as it is then. */
  readonly change: (row: Row) => Promise<Row>
  readonly told: (before: Row, after: Row) => Change[]
  readonly firmId?: string | undefined
}

/** The record after the change. A patch that changes nothing leaves no trace. */
async function patched<Row, Shown extends object>(patching: Patching<Row, Shown>): Promise<Shown> {
  const { noun, tx, author, id, firmId } = patching
  const before = await patching.lock()
  if (before === undefined) throw notFound(noun, patching.wireId)
  patching.insist(patching.show(before))
  const after = await patching.change(before)
  const changes = patching.told(before, after)
  if (changes.length > 0) await recordChange(tx, author, { noun, subject: id, deed: 'changed', changes, firmId })
  return patching.show(after)
}

const member =
  <K extends string>(...names: readonly K[]) =>
  (row: Readonly<Record<K, unknown>>) =>
    Object.fromEntries(names.map((name) => [name, row[name]]))

const named = member('name')

export const patchRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, now, newId }) => {
  /** Declares one route; what differs between them is given. */
  const route = <P extends TProperties, Body extends TObject<P>, Answer extends TObject>(
    { noun, tag, roles, scope }: { noun: Noun; tag: string; roles: Role[]; scope: Scope },
    { body, answer, about }: { body: Body; answer: Answer; about: string },
    change: (request: {
      tx: Tx
      principal: Principal
      sent: unknown
      common: Pick<Patching<never, never>, 'noun' | 'tx' | 'author' | 'id' | 'wireId' | 'insist'>
    }) => Promise<object>,
  ): void => {
    app.patch(
      `/v1/${noun}s/:${noun}Id`,
      {
        config: { access: { roles, scope }, problems: CHANGE_PROBLEMS },
        schema: {
          operationId: `${noun}s.update`,
          tags: [tag],
          summary: `Change a ${noun}`,
          description:
            `${about} A merge patch (RFC 7396): what is left out stays. Send the ETag of the ${noun} as it was read ` +
            'as If-Match. Each change is kept in its history.',
          consumes: ['application/json', MERGE_PATCH],
          params: Type.Object({ [`${noun}Id`]: Id(noun, `Id of the ${noun}.`) }),
          headers: IfMatch,
          body,
          response: { 200: answer },
        },
      },
      async (request, reply: FastifyReply) => {
        const { principal } = request
        const wireId = (request.params as Record<string, string>)[`${noun}Id`]!
        const id = uuidOf(noun, wireId)
        const insist = (shown: object) => insistOnMatch(request.headers['if-match'], tagOf(reply, shown))
        const author: Author = { principal, at: now(), newId }
        const shown = await databases.asPrincipal(principal, (tx) =>
          change({ tx, principal, sent: request.body, common: { noun, tx, author, id, wireId, insist } }),
        )
        return reply.send(tagged(reply, shown))
      },
    )
  }

  route(
    { noun: 'firm', tag: 'Firms', roles: ['admin'], scope: 'firms:write' },
    { body: FirmPatch, answer: Firm, about: 'Its name.' },
    ({ tx, sent, common }) =>
      patched({
        ...common,
        lock: () => lockFirm(tx, common.id),
        show: toFirm,
        change: (row) => renameFirm(tx, { ...row, name: merged(row.name, (sent as { name?: string }).name) }),
        told: (before, after) => differences(named(before), named(after)),
      }),
  )
  route(
    { noun: 'program', tag: 'Programs', roles: ['admin'], scope: 'programs:write' },
    { body: ProgramPatch, answer: Program, about: 'Its name.' },
    ({ tx, sent, common }) =>
      patched({
        ...common,
        lock: () => lockProgram(tx, common.id),
        show: toProgram,
        change: (row) => renameProgram(tx, { ...row, name: merged(row.name, (sent as { name?: string }).name) }),
        told: (before, after) => differences(named(before), named(after)),
      }),
  )
  route(
    { noun: 'tester', tag: 'Testers', roles: ['firm'], scope: 'testers:write' },
    {
      body: TesterPatch,
      answer: Tester,
      about: 'The name, which is personal: null erases it here, and it never was in a sheet, a context or the history.',
    },
    ({ tx, principal, sent, common }) =>
      patched({
        ...common,
        lock: () => lockTester(tx, common.id),
        show: toTester,
        change: (row) => renameTester(tx, { ...row, name: merged(row.name, (sent as { name?: string | null }).name) }),
        told: (before, after) => personalDifferences(named(before), named(after)),
        firmId: principal.firmId,
      }),
  )
  route(
    { noun: 'instrument', tag: 'Instruments', roles: ['firm'], scope: 'instruments:write' },
    {
      body: InstrumentPatch,
      answer: Instrument,
      about: 'Its kind, where it was registered wrongly; accuracy and certificate get a new revision instead.',
    },
    ({ tx, principal, sent, common }) =>
      patched({
        ...common,
        lock: () => lockInstrument(tx, common.id),
        show: toInstrument,
        change: (row) => setInstrumentKind(tx, { ...row, kind: merged(row.kind, (sent as { kind?: string }).kind) }),
        told: (before, after) => differences(member('kind')(before), member('kind')(after)),
        firmId: principal.firmId,
      }),
  )
  route(
    { noun: 'plant', tag: 'Plants', roles: ['firm', 'admin'], scope: 'plants:write' },
    {
      body: PlantPatch,
      answer: Plant,
      about:
        'The region is one for all firms, and is changed by the firm that registered the plant or by an ' +
        'administrator; the reference is the firm’s own.',
    },
    async ({ tx, principal, sent, common }) => {
      const asked = sent as { region?: string | null; reference?: string | null }
      const { firmId } = principal
      return patched({
        ...common,
        lock: async () => {
          if (firmId !== undefined) await lockAccess(tx, firmId, common.id)
          return findPlant(tx, firmId, common.id)
        },
        show: toPlant,
        change: async (row) => {
          const next = { ...row, region: merged(row.region, asked.region) }
          // Of the firm alone, hence kept under its name: other firms must not see that there was a change.
          const reference = merged(row.reference, asked.reference)
          if (next.region !== row.region) {
            if (firmId !== undefined && row.registered_by !== firmId) throw regionOfAnother()
            if ((await setRegion(tx, next, row.region)) === 0) throw overtaken()
          }
          if (reference !== row.reference) {
            if (firmId === undefined)
              throw new Problem('forbidden', 'The reference is a firm’s own name for the plant.')
            await setReference(tx, firmId, next.id, reference)
            const changes = differences({ reference: row.reference }, { reference })
            await recordChange(tx, common.author, { noun: 'plant', subject: row.id, deed: 'changed', changes, firmId })
          }
          return { ...next, reference }
        },
        told: (before, after) => differences(member('region')(before), member('region')(after)),
      })
    },
  )
}

/** The policies say the same: only the registrant and administrators meet the row. */
const regionOfAnother = (): Problem =>
  new Problem(
    'forbidden',
    'The region of a plant is changed by the firm that registered it, or by an administrator. Nothing was changed.',
  )
