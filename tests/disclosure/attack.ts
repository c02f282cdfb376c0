/**
 * An attacker on public statistics: takes every cell that is told, in all months at once, for an exact sum, knows which tests there
 * are and some of their figures, and asks linear programs how near the others of a withheld cell can be bounded, and how near
 * those of a single customer behind cells that are told. Imports nothing of the rules that it attacks.
 *
 * It is given more than anyone has: exact sums where answers are rounded, who was tested when, and which tests are in a month.
 */
import loadHighs from 'highs'

export interface Test {
  readonly id: string
  readonly plant: string
  readonly customer: string
  readonly firm: string
  readonly driver: string
  readonly kind: string
  readonly region: string
  readonly powerClass: string
  readonly year: string
  /** Additive figures that it has a part in, by name. */
  readonly amounts: Readonly<Record<string, number>>
}

/** A cell as it was answered. */
export interface Cell {
  readonly of: Readonly<Record<'driver' | 'kind' | 'region' | 'powerClass' | 'year', string>>
  readonly withheld: string | undefined
}

export interface Month {
  readonly month: string
  /** Ids of the tests that are in its sums. */
  readonly tests: ReadonlySet<string>
  /** Ids of those that counted at its end, in its sums or not. */
  readonly counting: ReadonlySet<string>
  readonly cells: readonly Cell[]
}

/** An additive figure behind told ones; `most`: what no test can have more of. */
export interface Amount {
  readonly name: string
  readonly most?: number
}

export interface Attacker {
  readonly name: string
  knows(test: Test): boolean
}

export interface Bound {
  /** The cell and its month, or the customer. */
  readonly target: string
  readonly amount: string
  readonly attacker: string
  /** How far the nearer bound is from the truth that the attacker doesn't know, as a ratio of that. */
  readonly distance: number
}

const spanOf = (name: string): [from: number, to: number] => {
  const [from, to] = name.match(/\d+/g)?.map(Number) ?? []
  if (name.startsWith('below')) return [0, from!]
  return [from ?? -1, name.endsWith('more') ? Number.POSITIVE_INFINITY : (to ?? -1) + 1]
}
/** Whether a class of power lies within another. */
function isWithin(powerClass: string, wider: string): boolean {
  if (powerClass === wider) return true
  const [[from, to], [low, high]] = [spanOf(powerClass), spanOf(wider)]
  return from >= low && to <= high && from >= 0
}

export const isIn = (test: Test, { of }: Cell): boolean =>
  of.driver === test.driver &&
  (['kind', 'region', 'year'] as const).every((name) => of[name] === 'all' || of[name] === test[name]) &&
  (of.powerClass === 'all' || isWithin(test.powerClass, of.powerClass))

const highs = await (loadHighs as unknown as typeof loadHighs.default)()
type Model = ReturnType<typeof highs.createModel>

/** Of what programs come to. */
const TINY = 1e-7

interface Unknown {
  readonly tests: Test[]
}

/** A withheld cell of a month, or what a customer has in a year: the unknowns it is the sum of. */
interface Target {
  readonly name: string
  readonly members: readonly number[]
  /** Of a cell. */
  readonly at?: { readonly month: Month; readonly cell: Cell }
  /** Of a customer: where its plants are. */
  readonly places?: ReadonlySet<string>
}

export interface TablesOptions {
  readonly tests: readonly Test[]
  readonly months: readonly Month[]
  readonly amount: Amount
  readonly targets: Targets
}
/**
 * Withheld cells of the last month, with the tests that wait; those of all months, of which tests are in sums (one that waits is as
 * if it came later); or what single customers have in a year, behind what is told.
 */
export type Targets = 'cells of the last month' | 'cells in sums' | 'customers'

/** One additive figure of the months, as a program whose bounds follow from what an attacker knows. */
class Tables {
  readonly #unknowns: readonly Unknown[]
  readonly #rows: readonly (readonly number[])[]
  readonly #model: Model
  readonly #amount: Amount
  readonly #scale: number
  readonly targets: readonly Target[]

  constructor({ tests, months, amount, targets }: TablesOptions) {
    const all = tests.filter(
      ({ id, amounts }) => (amounts[amount.name] ?? 0) > 0 && months.some((month) => isOf(month, id)),
    )
    const cells = months.flatMap((month) =>
      month.cells.map((cell) => {
        const own = all.filter((test) => isOf(month, test.id) && isIn(test, cell))
        return { month, cell, own, summed: own.filter(({ id }) => month.tests.has(id)) }
      }),
    )
    const told = cells.filter(({ cell }) => cell.withheld === undefined)
    const isAsked = ({ month, summed }: (typeof cells)[number]): boolean =>
      targets === 'cells in sums' ? summed.length > 0 : month === months.at(-1)
    const withheld = cells.filter((one) => one.cell.withheld !== undefined && one.own.length > 0 && isAsked(one))
    this.#amount = amount
    this.#scale = all.length / all.reduce((sum, test) => sum + test.amounts[amount.name]!, 0)
    const sums = [...told.map(({ summed }) => summed), ...withheld.map(({ own }) => own)]
    const kinds = targets === 'customers' ? Map.groupBy(all, nameOfCustomerYear) : new Map<string, Test[]>()
    this.#unknowns = groups(all, [...sums, ...kinds.values()])
    const membersOf = (own: readonly Test[]): number[] => {
      const names = new Set(own)
      return this.#unknowns.flatMap(({ tests: [first] }, n) => (names.has(first!) ? [n] : []))
    }
    this.#rows = told.map(({ summed }) => membersOf(summed)).filter(({ length }) => length > 0)
    this.targets =
      targets === 'customers'
        ? [...kinds].map(([name, own]) => ({ name, members: membersOf(own), places: new Set(own.map(placeOf)) }))
        : withheld.map(({ month, cell, own }) => ({
            name: `${Object.values(cell.of).join('|')} in ${month.month}`,
            members: membersOf(own),
            at: { month, cell },
          }))
    this.#model = this.#build()
  }

  dispose(): void {
    this.#model.dispose()
  }

  /** What of each unknown an attacker doesn't know, and how many tests these are. */
  #hidden({ knows }: Attacker): { readonly values: number[]; readonly counts: number[] } {
    const hidden = this.#unknowns.map(({ tests }) => tests.filter((test) => !knows(test)))
    return {
      values: hidden.map((tests) =>
        tests.reduce((sum, test) => sum + test.amounts[this.#amount.name]! * this.#scale, 0),
      ),
      counts: hidden.map((tests) => tests.length),
    }
  }

  #build(): Model {
    const [numCols, numRows] = [this.#unknowns.length, this.#rows.length]
    const starts = [0]
    for (const row of this.#rows) starts.push(starts.at(-1)! + row.length)
    const indices = this.#rows.flat()
    const model = highs.createModel({
      numCols,
      numRows,
      colCost: new Float64Array(numCols),
      colLower: new Float64Array(numCols),
      colUpper: new Float64Array(numCols),
      rowLower: new Float64Array(numRows),
      rowUpper: new Float64Array(numRows),
      matrix: {
        format: 'csr',
        numRows,
        numCols,
        starts: Int32Array.from(starts),
        indices: Int32Array.from(indices),
        values: new Float64Array(indices.length).fill(1),
      },
    })
    model.options.set({ output_flag: false, presolve: 'off', primal_feasibility_tolerance: 1e-9 })
    return model
  }

  /** How near each target comes; those of which the attacker knows all are left out. */
  *bounds(attacker: Attacker, targets: readonly Target[] = this.targets): Generator<Bound> {
    const { values, counts } = this.#hidden(attacker)
    const columns = { kind: 'range', from: 0, to: values.length - 1 } as const
    const most = (this.#amount.most ?? Number.POSITIVE_INFINITY) * this.#scale
    const sum = (members: readonly number[]): number => members.reduce((total, n) => total + values[n]!, 0)
    const told = Float64Array.from(this.#rows, sum)
    this.#model.changeColsBounds(
      columns,
      new Float64Array(values.length),
      Float64Array.from(counts, (count) => (count === 0 ? 0 : count * most)),
    )
    if (told.length > 0) this.#model.changeRowsBounds({ kind: 'range', from: 0, to: told.length - 1 }, told, told)
    for (const { name, members } of targets) {
      const truth = sum(members)
      if (truth < 1e-9) continue
      const costs = new Float64Array(values.length)
      for (const n of members) costs[n] = 1
      this.#model.changeColsCost(columns, costs)
      const low = this.#optimum('minimize')
      const high = this.#optimum('maximize')
      // What no test can exceed is known without any statistics: a bound there is none of theirs.
      const ceiling = members.reduce((total, n) => total + counts[n]! * most, 0)
      const rise = high > ceiling * (1 - TINY) ? Number.POSITIVE_INFINITY : high - truth
      const distance = Math.min(truth - low, rise) / truth
      yield { target: name, amount: this.#amount.name, attacker: attacker.name, distance }
    }
  }

  #optimum(sense: 'minimize' | 'maximize'): number {
    this.#model.changeObjectiveSense(highs.constants.objectiveSense[sense])
    this.#model.run()
    const status = this.#model.getModelStatus()
    if (status === highs.constants.modelStatus.unbounded) return Number.POSITIVE_INFINITY
    if (status === highs.constants.modelStatus.optimal) return this.#model.getObjectiveValue()
    throw new Error(`A program of the attack ended with status ${status}: the answers contradict the truth.`)
  }
}

const isOf = (month: Month, id: string): boolean => month.tests.has(id) || month.counting.has(id)
const placeOf = ({ region, kind, powerClass, year }: Test): string => [region, kind, powerClass, year].join('|')
const nameOfCustomerYear = ({ customer, year }: Test): string => `customer ${customer} in ${year}`

/** Tests that are in the same sums: none parts them. */
function groups(tests: readonly Test[], sums: readonly (readonly Test[])[]): Unknown[] {
  const names = new Map<Test, string[]>(tests.map((test) => [test, []]))
  sums.forEach((own, n) => {
    for (const test of own) names.get(test)!.push(String(n))
  })
  const found = new Map<string, Unknown>()
  for (const [test, own] of names) {
    if (own.length === 0) continue
    const name = own.join(' ')
    const unknown = found.get(name) ?? { tests: [] }
    found.set(name, unknown)
    unknown.tests.push(test)
  }
  return [...found.values()]
}

export interface Attack extends TablesOptions {
  readonly attackers: readonly Attacker[]
  /** For each firm and cell also three plants of others, those that hold most of what could hide it. */
  readonly threePlants: boolean
  /** For each customer those who have plants in the same place in the last year. */
  readonly neighbours?: boolean
}

/** Every bound, the nearest first. */
export function attack({ attackers, threePlants, neighbours = false, ...options }: Attack): Bound[] {
  const tables = new Tables(options)
  try {
    if (tables.targets.length === 0) return []
    const bounds = attackers.flatMap((attacker) => [...tables.bounds(attacker)])
    for (const target of threePlants ? tables.targets : []) {
      for (const attacker of withThreePlants(options, target)) bounds.push(...tables.bounds(attacker, [target]))
    }
    if (neighbours) bounds.push(...neighboursOf(tables, options.tests))
    return bounds.sort((a, b) => a.distance - b.distance)
  } finally {
    tables.dispose()
  }
}

function* neighboursOf(tables: Tables, tests: readonly Test[]): Generator<Bound> {
  const last = tests
    .map(({ year }) => year)
    .toSorted()
    .at(-1)
  const ofLast = tests.filter(({ year }) => year === last)
  for (const [customer, own] of Map.groupBy(ofLast, (test) => test.customer)) {
    const places = own.map(placeOf)
    const near = tables.targets.filter((target) => places.some((place) => target.places?.has(place)))
    yield* tables.bounds({ name: `customer ${customer}`, knows: (test) => test.customer === customer }, near)
  }
}

/** A firm and the three plants of others that hold most in the other withheld cells of the same row or column. */
function withThreePlants({ tests, amount: { name } }: TablesOptions, { at }: Target): Attacker[] {
  if (at === undefined) return []
  const { month, cell } = at
  const { cells } = month
  const own = tests.filter(({ id }) => month.tests.has(id))
  const hiding = cells.filter((other) => other !== cell && other.withheld !== undefined && areNear(other, cell))
  const firms = [undefined, ...new Set(own.map(({ firm }) => firm))]
  return firms.map((firm) => {
    const held = new Map<string, number>()
    for (const test of own) {
      if (test.firm === firm || isIn(test, cell) || !hiding.some((other) => isIn(test, other))) continue
      held.set(test.plant, (held.get(test.plant) ?? 0) + (test.amounts[name] ?? 0))
    }
    const plants = new Set(
      [...held]
        .sort(([, a], [, b]) => b - a)
        .slice(0, 3)
        .map(([plant]) => plant),
    )
    return {
      name: `${firm === undefined ? '' : `firm ${firm} and `}three plants`,
      knows: (test) => test.firm === firm || plants.has(test.plant),
    }
  })
}

/** They name the same dimensions, and differ in one. */
function areNear({ of: a }: Cell, { of: b }: Cell): boolean {
  const names = Object.keys(a) as (keyof Cell['of'])[]
  return (
    names.every((name) => (a[name] === 'all') === (b[name] === 'all')) &&
    names.filter((name) => a[name] !== b[name]).length === 1
  )
}

/** Who attacks, beside nobody and each firm. */
export interface Who {
  readonly customers: boolean
  /** Each firm with each customer, who tells it all. */
  readonly firmsWithCustomers: boolean
}

export function attackersOf(tests: readonly Test[], { customers, firmsWithCustomers }: Who): Attacker[] {
  const firms = [...new Set(tests.map(({ firm }) => firm))].sort()
  const owners = [...new Set(tests.map(({ customer }) => customer))].sort()
  return [
    { name: 'nobody', knows: () => false },
    ...firms.map((firm) => ({ name: `firm ${firm}`, knows: (test: Test) => test.firm === firm })),
    ...(customers ? owners : []).map((customer) => ({
      name: `customer ${customer}`,
      knows: (test: Test) => test.customer === customer,
    })),
    ...(firmsWithCustomers ? firms : []).flatMap((firm) =>
      owners.map((customer) => ({
        name: `firm ${firm} and customer ${customer}`,
        knows: (test: Test) => test.firm === firm || test.customer === customer,
      })),
    ),
  ]
}
