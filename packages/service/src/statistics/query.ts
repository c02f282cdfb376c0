/** What statistics are asked for: grouping and filters of the query, and back to words. */
import { type Static, type TSchema, Type } from 'typebox'
import { fromWire, toWire } from '../http/ids.ts'
import { Problem } from '../http/problem.ts'
import type { Dimension } from './dimensions.ts'
import type { Question } from './gather.ts'

/** Names on the wire. */
export const WIRE = {
  driver: 'driver',
  kind: 'kind',
  region: 'region',
  year: 'year',
  'power-class': 'powerClass',
  'flow-method': 'flowMethod',
  'level-method': 'levelMethod',
  'power-method': 'powerMethod',
  firm: 'firmId',
  tester: 'testerId',
  plant: 'plantId',
} as const satisfies Record<Dimension, string>
export type WireName = (typeof WIRE)[Dimension]
const OF_WIRE = new Map<string, Dimension>(
  Object.entries(WIRE).map(([dimension, name]) => [name, dimension as Dimension]),
)
const IDS = { firm: 'firm', tester: 'tester', plant: 'plant' } as const

const VALUES = '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}(,[A-Za-z0-9][A-Za-z0-9._-]{0,39}){0,29}$'
const values = (description: string) =>
  Type.Optional(
    Type.String({
      pattern: VALUES,
      minLength: 1,
      maxLength: 1_200,
      description: `${description} Several are parted by commas.`,
    }),
  )

export const FilterQuery = {
  driver: values('`electric-motor`, `engine` or `not-stated`.'),
  kind: values('`well` or `booster`.'),
  region: values('Codes of regions; `not-stated` for plants without.'),
  yearFrom: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2200, description: 'First year of the visit.' })),
  yearTo: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2200, description: 'Last year of the visit.' })),
  powerClass: values('Classes of nameplate power, such as `75-to-124-hp`.'),
  flowMethod: values('Methods of measuring flow.'),
  levelMethod: values('Methods of reading levels.'),
  powerMethod: values('Methods of measuring input power.'),
  firmId: values('Ids of firms.'),
  testerId: values('Ids of testers.'),
  plantId: values('Ids of plants.'),
} satisfies Record<string, TSchema>
export type FilterQuery = Static<ReturnType<typeof Type.Object<typeof FilterQuery>>>

const GROUPS = [...OF_WIRE.keys()].join('|')
export const GroupBy = Type.String({
  pattern: `^(${GROUPS})(,(${GROUPS})){0,3}$`,
  default: 'driver',
  maxLength: 100,
  description:
    'What to group by, parted by commas. Driver is always among them: electric motors and engines are never pooled.',
})

const YEARS_MAX = 100

/** Throws `invalid-request` where the years run backwards, or are too many, or an id is none. */
export function questionOf(query: FilterQuery, groupBy: string): Question {
  const filters = new Map<Dimension, ReadonlySet<string>>()
  for (const [name, given] of Object.entries(query)) {
    const dimension = OF_WIRE.get(name)
    if (dimension === undefined || typeof given !== 'string') continue
    const asked = given.split(',').map((value) => storedValue(dimension, name, value))
    filters.set(dimension, new Set(asked))
  }
  const { yearFrom, yearTo } = query
  if (yearFrom !== undefined || yearTo !== undefined) filters.set('year', new Set(yearsOf(yearFrom, yearTo)))
  const asked = groupBy.split(',').map((name) => OF_WIRE.get(name)!)
  return { groupBy: [...new Set<Dimension>(['driver', ...asked])], filters }
}

function yearsOf(from = 1950, to = from + YEARS_MAX): string[] {
  const first = from > to ? undefined : Math.max(from, to - YEARS_MAX)
  if (first === undefined) {
    throw invalid('/yearTo', 'yearTo lies before yearFrom.')
  }
  return Array.from({ length: to - first + 1 }, (_, n) => String(first + n))
}

const invalid = (pointer: string, message: string): Problem =>
  new Problem('invalid-request', message, { errors: [{ pointer, code: 'unknown-value', message }] })

function storedValue(dimension: Dimension, name: string, value: string): string {
  if (!(dimension in IDS)) return value
  const uuid = fromWire(IDS[dimension as keyof typeof IDS], value)
  if (uuid === undefined) throw invalid(`/${name}`, `'${value}' is no id of a ${dimension}.`)
  return uuid
}

/** Values of a group by their names on the wire. */
export function groupOf(groupBy: readonly Dimension[], key: readonly string[]): { [name in WireName]?: string } {
  return Object.fromEntries(
    groupBy.map((dimension, n) => [
      WIRE[dimension],
      dimension in IDS ? toWire(IDS[dimension as keyof typeof IDS], key[n]!) : key[n]!,
    ]),
  )
}

/** Query that names the tests of a group. */
export function testsLink(query: FilterQuery, group: { readonly [name in WireName]?: string }): string {
  const { year, ...values } = group
  const asked = { ...query, ...values, ...(year !== undefined && { yearFrom: year, yearTo: year }) }
  const text = Object.entries(asked)
    .filter(([name]) => name in FilterQuery)
    .map(([name, value]) => `${name}=${encodeURIComponent(String(value))}`)
    .join('&')
  return `/v1/statistics/tests?${text}`
}
