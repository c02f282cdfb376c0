/** `/v1/work-lists/lapses`. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { sendTable, TABLE_FORMS, toCsv } from '../http/csv.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { toWire } from '../http/ids.ts'
import { dayInUtc, dayNumber, dayOf } from './days.ts'
import { type After, type LapseRow, lapsesOfTests, nameOf, registeredLapses } from './lapses.ts'
import { inBothForms, READERS } from './reading.ts'
import { Lapse, Lapses } from './schemas.ts'

const BY_END: Place<LapseRow, After> = {
  valuesOf: (row) => [row.valid_until, nameOf(row)],
  from: ([validUntil, name]) => ({ validUntil: validUntil!, name: name! }),
}

function toItem(
  { what, firm_id, code, id, kind, paper, valid_until, last_on, last_test }: LapseRow,
  today: string,
): Lapse {
  const daysLeft = dayNumber(valid_until) - dayNumber(today)
  const whose =
    what === 'certificate'
      ? {
          ...(id !== null && { instrumentId: toWire('instrument', id) }),
          ...(kind !== null && { instrumentKind: kind }),
          certificate: paper,
        }
      : { ...(id !== null && { testerId: toWire('tester', id) }), qualification: paper }
  return {
    what,
    firmId: toWire('firm', firm_id),
    code,
    ...whose,
    validUntil: valid_until,
    state: daysLeft < 0 ? 'lapsed' : 'lapsing',
    daysLeft,
    ...(last_on !== null && { lastUsedOn: last_on }),
    ...(last_test !== null && { lastTestId: toWire('test', last_test) }),
  }
}

const columns = Object.keys(Lapse.properties) as (keyof Lapse)[]

export const lapsesRoute: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/work-lists/lapses',
    {
      config: READERS,
      schema: {
        operationId: 'workLists.lapses',
        tags: ['Work lists'],
        summary: 'List certificates and qualifications that lapse',
        description:
          'Certificates of instruments and qualifications of testers that end within the days asked for, or have ended, ' +
          'with nothing on record that follows them; and when each was last used since it began to stand. A firm sees its ' +
          'own, an auditor all, from the registry. A program sees those of the tests that it was given, as they stood with ' +
          'the last of them. As JSON or, by Accept, as CSV.',
        querystring: Type.Object(
          {
            ...PageQuery,
            withinDays: Type.Integer({
              minimum: 0,
              maximum: 3_650,
              default: 60,
              description: 'How many days ahead are looked at.',
            }),
          },
          { additionalProperties: false },
        ),
        response: inBothForms('One page of the list.', Lapses),
      },
    },
    async (request, reply) => {
      const { headers, query, principal } = request
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const today = dayInUtc(now())
      const { withinDays } = query
      const until = dayOf(dayNumber(today) + withinDays)
      const isProgram = principal.role === 'program'
      const page = await cursors.pageBy(
        BY_END,
        { request, reply, list: { order: 'lapses by end', filter: { withinDays } } },
        (part) =>
          databases.asPrincipal(principal, (tx) =>
            (isProgram ? lapsesOfTests : registeredLapses)(tx, { ...part, until }),
          ),
        (row) => toItem(row, today),
      )
      const answer: Lapses = { knownFrom: isProgram ? 'last-test' : 'registry', today, ...page }
      return sendTable(reply, form, answer, () => toCsv(columns, page.items))
    },
  )
}
