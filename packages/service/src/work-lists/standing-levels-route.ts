/** `/v1/work-lists/standing-levels`. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { sendTable, TABLE_FORMS, toCsv } from '../http/csv.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { MINIMUM, TOO_FEW, withholding } from '../statistics/enough.ts'
import { type Placed, pageOf } from './pages.ts'
import type { PanelSlope } from './panel-slope.ts'
import { inBothForms, READERS, whose } from './reading.ts'
import { Code, SEASONS, StandingLevelChange, StandingLevels } from './schemas.ts'
import { changesOfLevels, type LevelGroup, soundLevels } from './standing-levels.ts'

interface Row extends Placed {
  readonly group: LevelGroup
  readonly isWithheld: boolean
}

/** The level is a depth: where it grows, the water falls. */
function saidOf({ low, high }: PanelSlope): NonNullable<StandingLevelChange['levelsAre']> {
  if (low !== undefined && low > 0) return 'falling'
  return high !== undefined && high < 0 ? 'rising' : 'not-resolved'
}

function toItem({ group, isWithheld }: Row): StandingLevelChange {
  const { region, season, wells, levels, firstYear, lastYear, slope } = group
  if (isWithheld) return { region, season, withheld: TOO_FEW }
  return {
    region,
    season,
    wells: wells.length,
    levels,
    firstYear,
    lastYear,
    changeMPerYear: slope.slope,
    ...(slope.low !== undefined && { changeLow: slope.low, changeHigh: slope.high! }),
    levelsAre: saidOf(slope),
  }
}

const columns = Object.keys(StandingLevelChange.properties) as (keyof StandingLevelChange)[]

export const standingLevelsRoute: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/work-lists/standing-levels',
    {
      config: READERS,
      schema: {
        operationId: 'workLists.standingLevels',
        tags: ['Work lists'],
        summary: 'List how standing levels change by region',
        description:
          'The change a year of the depth to standing water in each region and season, on wells with a sound level in two ' +
          'years or more: each about a level of its own, so that who comes to be tested does not look like a change, with ' +
          'an interval over wells. Rows with fewer plants or customers than the minimum are withheld, for every reader: ' +
          'levels may be sensitive and tables are passed on. What stands behind a row the reader sees test by test. As ' +
          'JSON or, by Accept, as CSV.',
        querystring: Type.Object(
          { ...PageQuery, region: Type.Optional(Code('Wells of one region.')) },
          { additionalProperties: false },
        ),
        response: inBothForms('One page of the list.', StandingLevels),
      },
    },
    async (request, reply) => {
      const { headers, query, principal } = request
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const { region } = query
      const levels = await databases.asPrincipal(principal, (tx) => soundLevels(tx, principal, region))
      const { groups, wellsLeftOut } = changesOfLevels(levels)
      const withheld = await withholding(
        databases,
        groups.map(({ wells }) => wells),
      )
      const rows = groups.map((group, n): Row => {
        const name = `${group.region} ${SEASONS.indexOf(group.season)}`
        return { group, isWithheld: withheld[n]!, place: [0, name] }
      })
      const asked = { request, reply, order: 'standing levels', filter: { region } }
      const page = await pageOf(cursors, asked, rows, toItem)
      const answer: StandingLevels = {
        of: whose(principal.role),
        minimum: MINIMUM,
        withheldRows: withheld.filter((is) => is).length,
        wellsLeftOut,
        notASample: 'Tested plants are not a random sample of all plants.',
        ...page,
      }
      return sendTable(reply, form, answer, () => toCsv(columns, page.items))
    },
  )
}
