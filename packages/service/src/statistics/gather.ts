/** The cells of a question: those that were folded, and what came since; so the answer is of this moment, and exact. */
import { CompiledQuery } from 'kysely'
import type { Databases } from '../db/database.ts'
import type { Principal } from '../http/principal.ts'
import type { Cell } from './cell.ts'
import { contribute } from './contribute.ts'
import { cuboidFor, type Dimension, joined } from './dimensions.ts'
import { byPlant, FACT_COLUMNS, type FactRow, factsOfPlants } from './facts.ts'
import { matchingPlants } from './matching.ts'
import { Part } from './part.ts'
import { consider, historyOf, type Scope } from './plant.ts'
import { cellsKnownTo, type FoundCells, readCells } from './read-cells.ts'

export interface Question {
  /** Driver is always among them. */
  readonly groupBy: readonly Dimension[]
  /** Values allowed, by dimension; ids as UUIDs. */
  readonly filters: ReadonlyMap<Dimension, ReadonlySet<string>>
}

export interface Group {
  /** Values of the dimensions grouped by, in their order. */
  readonly key: readonly string[]
  /** One where the sums are exact over plants; see `estimate.ts`. */
  readonly parts: readonly Part[]
}

export interface Gathered {
  readonly groups: readonly Group[]
  /** Entries of the ledger that are in the figures. */
  readonly ledgerSize: number
  /** Rows that were not folded yet; undefined where the figures were made from rows alone. */
  readonly tail: number | undefined
}

/** Whose tests a principal's statistics are of. Throws where it has none. */
export function scopeOf({ role, firmId, programId }: Principal): Scope {
  if (role === 'firm') return { of: 'firm', id: firmId! }
  if (role === 'program') return { of: 'program', id: programId! }
  if (role === 'auditor') return { of: 'all' }
  throw new Error(`The role ${role} has no statistics of single tests.`)
}

type Source = Pick<Databases, 'asPrincipal' | 'statistics'>

export async function gather(databases: Source, principal: Principal, question: Question): Promise<Gathered> {
  const scope = scopeOf(principal)
  const dimensions = new Set<Dimension>([...question.groupBy, ...question.filters.keys()])
  const cuboid = scope.of === 'firm' ? undefined : cuboidFor(dimensions)
  const sorter = new Sorter(question, cuboid?.dimensions ?? [...dimensions])
  if (cuboid === undefined) return fromRows(databases, principal, scope, question, sorter)
  // At once: a row that comes between the two is of a later moment than the question.
  const [reached, newest] = await Promise.all([
    databases.asPrincipal(principal, (tx) => readCells(tx, cellsKnownTo(databases), scope, cuboid, question.filters)),
    newestPlace(databases),
  ])
  for (const { key, cell } of reached.cells) sorter.partOf(key)?.add(cell)
  if (newest <= reached.place) return { groups: sorter.groups(), ledgerSize: reached.ledgerSize, tail: 0 }
  return addTail(databases, scope, sorter, reached)
}

/** Puts cells into the parts of groups: a part is a year where the cells know it, so that a plant is in it once. */
class Sorter {
  readonly dimensions: readonly Dimension[]
  readonly #question: Question
  readonly #groups = new Map<string, { readonly key: string[]; readonly parts: Map<string, Part> }>()

  constructor(question: Question, dimensions: readonly Dimension[]) {
    this.#question = question
    this.dimensions = dimensions
  }

  /** The cell to which what happened since is added. */
  cellOf = (key: readonly string[]): Cell | undefined => this.partOf(key)?.since

  /** The part that cells of a key of the dimensions belong to; undefined where a filter leaves it out. */
  partOf(key: readonly string[]): Part | undefined {
    const value = (dimension: Dimension): string => key[this.dimensions.indexOf(dimension)]!
    for (const [dimension, allowed] of this.#question.filters) if (!allowed.has(value(dimension))) return undefined
    const own = this.#question.groupBy.map(value)
    const name = joined(own)
    let group = this.#groups.get(name)
    if (group === undefined) {
      group = { key: own, parts: new Map() }
      this.#groups.set(name, group)
    }
    const part = this.dimensions.includes('year') ? value('year') : joined(key)
    let cells = group.parts.get(part)
    if (cells === undefined) {
      cells = new Part()
      group.parts.set(part, cells)
    }
    return cells
  }

  groups(): Group[] {
    return [...this.#groups.values()]
      .map(({ key, parts }) => ({
        key,
        parts: [...parts.values()].filter(({ isEmpty }) => !isEmpty),
      }))
      .filter(({ parts }) => parts.length > 0)
      .sort((a, b) => (joined(a.key) < joined(b.key) ? -1 : 1))
  }
}

async function newestPlace({ statistics }: Source): Promise<number> {
  const { rows } = await statistics.query<{ place: number }>({
    name: 'newest_fact',
    text: 'select coalesce(max(place), 0) as place from ll.test_fact',
  })
  return Number(rows[0]!.place)
}

const PLANTS_AT_ONCE = 2_000

/** What happened since the cells were folded. Rows are only added, so that reading them later only makes it more current. */
async function addTail(
  { statistics }: Source,
  scope: Scope,
  sorter: Sorter,
  { place, ledgerSize }: Pick<FoundCells, 'place' | 'ledgerSize'>,
): Promise<Gathered> {
  const { rows } = await statistics.query<{ n: number; size: number; upto: number | null; plants: string[] | null }>({
    name: 'statistics_tail',
    text: `select count(*) as n, max(ledger_size) as size, max(place) as upto, array_agg(distinct plant_id) as plants
           from ll.test_fact where place > $1`,
    values: [place],
  })
  const { n, size, upto, plants } = rows[0]!
  if (upto === null) return { groups: sorter.groups(), ledgerSize, tail: 0 }
  for (let from = 0; from < plants!.length; from += PLANTS_AT_ONCE) {
    const facts = await factsOfPlants(statistics, plants!.slice(from, from + PLANTS_AT_ONCE), upto)
    for (const own of byPlant(facts)) {
      contribute(consider(historyOf(own), scope), sorter.dimensions, sorter.cellOf, 1)
      if (own[0]!.place <= place) {
        contribute(consider(historyOf(own, place), scope), sorter.dimensions, sorter.cellOf, -1)
      }
    }
  }
  return { groups: sorter.groups(), ledgerSize: Math.max(ledgerSize, Number(size)), tail: Number(n) }
}

/** Where no cells were made for the question: from the rows themselves, as far as the principal may see them. */
async function fromRows(
  databases: Source,
  principal: Principal,
  scope: Scope,
  question: Question,
  sorter: Sorter,
): Promise<Gathered> {
  return databases.asPrincipal(principal, async (tx) => {
    const plants = await matchingPlants(tx, question.filters)
    let ledgerSize = 0
    for (let from = 0; from < plants.length; from += PLANTS_AT_ONCE) {
      const { rows } = await tx.executeQuery<FactRow>(
        CompiledQuery.raw(
          `select ${FACT_COLUMNS} from ll.test_fact where plant_id = any ($1::uuid[]) order by plant_id, place`,
          [plants.slice(from, from + PLANTS_AT_ONCE)],
        ),
      )
      for (const own of byPlant(rows)) {
        contribute(consider(historyOf(own), scope), sorter.dimensions, sorter.cellOf, 1)
        for (const { ledger_size } of own) ledgerSize = Math.max(ledgerSize, Number(ledger_size))
      }
    }
    return { groups: sorter.groups(), ledgerSize, tail: undefined }
  })
}
