/** `/v1/work-lists/plants-due`. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Transaction } from 'kysely'
import { type Static, Type } from 'typebox'
import type { Database } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { sendTable, TABLE_FORMS, toCsv } from '../http/csv.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { intervalInForce } from '../programs/interval.ts'
import { dayInUtc, dayNumber, dayOf } from './days.ts'
import { pageOf } from './pages.ts'
import { type Asked, type DuePlant, duePlants, statesOfPlants } from './plants-due.ts'
import { historyOf, inBothForms, ofPlant, READERS, whose } from './reading.ts'
import { Code, PlantDue, PlantsDue } from './schemas.ts'

const Query = Type.Object(
  {
    ...PageQuery,
    intervalDays: Type.Optional(
      Type.Integer({ minimum: 1, maximum: 36_500, description: 'Days between two tests, whatever a program asks.' }),
    ),
    programId: Type.Optional(
      Id('program', 'Program whose rules in force say the days. A program’s own if nothing is asked.'),
    ),
    withinDays: Type.Integer({
      minimum: 0,
      maximum: 3_650,
      default: 0,
      description: 'Plants that will be due within so many days are listed too.',
    }),
    region: Type.Optional(Code('Plants of one region.')),
  },
  { additionalProperties: false },
)
type Query = Static<typeof Query>

function toItem({ row, because, intervalDays, dueOn }: DuePlant, today: string): PlantDue {
  const { sound_id, sound_on, last_id, last_on, last_soundness } = row
  const isUnsound = sound_id === null && last_id !== null
  return {
    ...ofPlant(row),
    because,
    intervalDays,
    ...(sound_id !== null && { lastSoundOn: sound_on!, lastSoundTestId: toWire('test', sound_id) }),
    ...(dueOn !== undefined && { dueOn: dayOf(dueOn), daysOver: dayNumber(today) - dueOn }),
    ...(isUnsound && {
      lastTestedOn: last_on!,
      lastTestId: toWire('test', last_id),
      lastSoundness: last_soundness as PlantDue['lastSoundness'] & string,
    }),
    links: historyOf(row),
  }
}

interface AskedFrom extends Asked {
  readonly interval: PlantsDue['interval']
}

async function intervalAsked(
  tx: Transaction<Database>,
  principal: Principal,
  { intervalDays, programId, withinDays }: Query,
  now: Date,
): Promise<AskedFrom> {
  if (intervalDays !== undefined && programId !== undefined) {
    throw invalid(
      '/programId',
      'Ask for days by `intervalDays`, or for those of a program by `programId`, not for both.',
    )
  }
  if (intervalDays !== undefined) {
    return { today: dayInUtc(now), withinDays, daysFor: () => intervalDays, interval: { asked: intervalDays } }
  }
  const program = programId === undefined ? principal.programId : uuidOf('program', programId)
  if (program === undefined) {
    throw invalid('/intervalDays', 'Say how many days may pass, by `intervalDays` or by the `programId` of a program.')
  }
  if (principal.programId !== undefined && program !== principal.programId) throw notFound('program', programId!)
  const found = await intervalInForce(tx, program, now)
  if (found === undefined || found.rules.length === 0) {
    throw invalid(
      programId === undefined ? '/intervalDays' : '/programId',
      found === undefined
        ? 'No version of the program’s rules is in force today; ask with `intervalDays`.'
        : `Version ${found.version} of the program’s rules asks for no days since the last test; ask with \`intervalDays\`.`,
    )
  }
  const { today, version, rules, daysFor } = found
  return { today, withinDays, daysFor, interval: { programId: toWire('program', program), version, rules: [...rules] } }
}

const invalid = (pointer: string, message: string): Problem =>
  new Problem('invalid-request', message, { errors: [{ pointer, code: 'unknown-value', message }] })

const { links: _, ...COLUMNS } = PlantDue.properties
const columns = Object.keys(COLUMNS) as (keyof Omit<PlantDue, 'links'>)[]

export const plantsDueRoute: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/work-lists/plants-due',
    {
      config: READERS,
      schema: {
        operationId: 'workLists.plantsDue',
        tags: ['Work lists'],
        summary: 'List the plants that are due for a test',
        description:
          'The last sound test of each plant and the days since the interval passed, the longest overdue first; then plants ' +
          'without a sound test, and those never tested. The interval is that of the program’s rules in force today, or the ' +
          'days asked for. A firm sees its plants by its own tests, a program the plants of the tests it was given, with ' +
          'soundness by its own decisions, an auditor all. That a repair waives an interval is not looked at. As JSON or, ' +
          'by Accept, as CSV.',
        querystring: Query,
        response: inBothForms('One page of the list.', PlantsDue),
      },
    },
    async (request, reply) => {
      const { headers, query, principal } = request
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const { region, intervalDays, programId, withinDays } = query
      const { asked, due } = await databases.asPrincipal(principal, async (tx) => {
        const asked = await intervalAsked(tx, principal, query, now())
        return { asked, due: duePlants(await statesOfPlants(tx, principal, { today: asked.today, region }), asked) }
      })
      const filter = { region, intervalDays, programId, withinDays }
      const page = await pageOf(cursors, { request, reply, order: 'plants due', filter }, due.plants, (plant) =>
        toItem(plant, asked.today),
      )
      const answer: PlantsDue = {
        of: whose(principal.role),
        today: asked.today,
        interval: asked.interval,
        plantsByReason: due.byReason,
        ...page,
      }
      return sendTable(reply, form, answer, () => toCsv(columns, page.items))
    },
  )
}
