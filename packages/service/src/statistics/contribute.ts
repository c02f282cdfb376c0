/** What the tests of one plant add to the cells they fall in. */
import { binOf } from './bins.ts'
import {
  addBin,
  addTo,
  type Cell,
  CHANGE_RAISE,
  CHANGE_STEP,
  ENERGY_BINS,
  emptyCell,
  FIRST_YEAR,
  PAIR_BINS,
} from './cell.ts'
import { type Dimension, joined, keyOf, type Place } from './dimensions.ts'
import { type FactRow, type Grouped, groupsOf } from './facts.ts'
import { counted, EFFICIENCY, JOULES_PER_KWH, MEASURES, PARTS } from './measures.ts'
import type { Considered } from './plant.ts'
import type { WeightSource } from './rollup.ts'
import { add, addProduct, type RatioSlots, SLOTS, type Slot, type Sums } from './sums.ts'

interface Ratio {
  readonly y: number
  readonly w: number
}
type RatioId = keyof (typeof SLOTS)['ratios']
const RATIOS = Object.keys(SLOTS.ratios) as RatioId[]

/** A test in whole numbers; undefined where something is absent or beyond the span. */
interface Figures {
  readonly measures: readonly (number | undefined)[]
  readonly width: number | undefined
  readonly kWh: number | undefined
  readonly ratios: Readonly<Record<RatioId, Ratio | undefined>>
  readonly weight: WeightSource
  readonly labels: readonly string[]
  readonly at: Place
  /** Keys by the dimensions they are of, made when first asked for. */
  readonly keys: Map<readonly Dimension[], Keyed>
}

interface Keyed {
  readonly key: readonly string[]
  readonly name: string
}

function keyedBy(dimensions: readonly Dimension[], { at, keys }: Figures): Keyed {
  let keyed = keys.get(dimensions)
  if (keyed === undefined) {
    const key = keyOf(at, dimensions)
    keyed = { key, name: joined(key) }
    keys.set(dimensions, keyed)
  }
  return keyed
}

const columnsOf = (row: FactRow): (number | null)[] => [
  row.efficiency,
  row.flow_m3_s,
  row.head_m,
  row.lift_m,
  row.specific_capacity_m2_s,
  row.standing_level_m,
  row.input_power_w,
  row.energy_per_volume_j_m3,
  row.cost_per_volume,
]

/** Figures of a row, made once: a row is looked at for several cells, before and after. */
const made = new WeakMap<FactRow, Figures>()

function figuresOf(row: FactRow): Figures {
  const known = made.get(row)
  if (known !== undefined) return known
  const figures = makeFigures(row, groupsOf(row))
  made.set(row, figures)
  return figures
}

function makeFigures(row: FactRow, { at, weight, currency }: Grouped): Figures {
  const measures = columnsOf(row).map((value, n) => counted(value, MEASURES[n]!.step))
  const width = counted(row.efficiency_u, MEASURES[EFFICIENCY].step)
  const kWh = counted(row.annual_energy_j, JOULES_PER_KWH) || undefined
  const volume = counted(row.annual_volume_m3, 1) || undefined
  const efficiency = measures[EFFICIENCY]
  const step = MEASURES[EFFICIENCY].step
  const cost =
    row.cost_per_volume === null || volume === undefined
      ? undefined
      : counted(row.cost_per_volume * volume * PARTS, PARTS)
  return {
    measures,
    width,
    kWh,
    ratios: {
      efficiencyByEnergy:
        kWh === undefined || efficiency === undefined
          ? undefined
          : { y: Math.round(kWh * PARTS * efficiency * step), w: kWh },
      energyByVolume: kWh === undefined || volume === undefined ? undefined : { y: kWh, w: volume },
      costByVolume:
        cost === undefined || volume === undefined
          ? undefined
          : { y: Math.round(row.cost_per_volume! * volume * PARTS), w: volume },
    },
    weight: kWh === undefined ? 'none' : weight,
    labels: [`edition ${row.edition}`, ...(measures[8] === undefined ? [] : [`currency ${currency}`])],
    at,
    keys: new Map(),
  }
}

/**
 * Adds what the tests of one plant give to cells, or takes it away: `cellOf` is asked for the cell of a key, and says
 * undefined for keys outside.
 */
export function contribute(
  tests: readonly Considered[],
  dimensions: readonly Dimension[],
  cellOf: (key: readonly string[], name: string) => Cell | undefined,
  sign: 1 | -1 = 1,
): void {
  const groups = new Map<string, { readonly cell: Cell; readonly counted: Figures[] }>()
  for (const { test, left } of tests) {
    const figures = figuresOf(test)
    const { key, name } = keyedBy(dimensions, figures)
    let group = groups.get(name)
    if (group === undefined) {
      const cell = cellOf(key, name)
      if (cell === undefined) continue
      group = { cell, counted: [] }
      groups.set(name, group)
    }
    if (left === undefined) group.counted.push(figures)
    else group.cell.sums[SLOTS.left[left].at]! += sign
  }
  for (const { cell, counted } of groups.values()) addPlant(cell, counted, sign)
}

/** What a plant adds to a cell, without the zeros. */
interface Addition {
  readonly slots: readonly number[]
  readonly sums: readonly number[]
  readonly keys: readonly number[]
  readonly values: readonly number[]
  readonly labels: readonly (readonly [string, number])[]
}

/** What one test adds where it is the plant's only one: most plants add no more to a cell, and the same to many. */
const alone = new WeakMap<Figures, Addition>()
const scratch = emptyCell()

function additionOf(tests: readonly Figures[]): Addition {
  scratch.sums.fill(0)
  scratch.bins.clear()
  scratch.labels.clear()
  addTests(scratch, tests)
  addChanges(scratch, tests)
  const slots: number[] = []
  scratch.sums.forEach((value, slot) => {
    if (value !== 0) slots.push(slot)
  })
  return {
    slots,
    sums: slots.map((slot) => scratch.sums[slot]!),
    keys: [...scratch.bins.keys()],
    values: [...scratch.bins.values()],
    labels: [...scratch.labels],
  }
}

function addPlant({ sums, bins, labels }: Cell, tests: readonly Figures[], sign: 1 | -1): void {
  const [first] = tests
  if (first === undefined) return
  let own = tests.length === 1 ? alone.get(first) : undefined
  if (own === undefined) {
    own = additionOf(tests)
    if (tests.length === 1) alone.set(first, own)
  }
  for (let n = 0; n < own.slots.length; n++) sums[own.slots[n]!]! += sign * own.sums[n]!
  for (let n = 0; n < own.keys.length; n++) addTo(bins, own.keys[n]!, sign * own.values[n]!)
  for (const [label, n] of own.labels) addTo(labels, label, sign * n)
}

function addTests(cell: Cell, tests: readonly Figures[]): void {
  const { sums } = cell
  add(sums, SLOTS.counted, tests.length)
  add(sums, SLOTS.plants, 1)
  for (const { weight, labels } of tests) {
    add(sums, SLOTS.weights[weight], 1)
    for (const label of labels) addTo(cell.labels, label, 1)
  }
  for (let n = 0; n < MEASURES.length; n++) addMeasure(cell, n, tests)
  for (const id of RATIOS)
    addRatio(
      sums,
      SLOTS.ratios[id],
      tests.flatMap(({ ratios }) => ratios[id] ?? []),
    )
  for (const test of tests) addEfficiency(cell, test)
}

function addMeasure(cell: Cell, n: number, tests: readonly Figures[]): void {
  const slots = SLOTS.measures[n]!
  const { sums } = cell
  let count = 0
  let sum = 0
  let squares = 0n
  for (const { measures } of tests) {
    const value = measures[n]
    if (value === undefined) continue
    count += 1
    sum += value
    add(sums, slots.squares, value * value)
    if (tests.length > 1) squares += BigInt(value) * BigInt(value)
    addBin(cell, n, binOf(value), 1)
  }
  if (count === 0) return
  add(sums, slots.tests, count)
  add(sums, slots.plants, 1)
  add(sums, slots.sum, sum)
  if (count === 1) return
  addBig(sums, slots.crossSquares, BigInt(sum) * BigInt(sum) - squares)
  add(sums, slots.crossSums, (count - 1) * sum)
  add(sums, slots.crossTests, count * count - count)
}

const addBig = (sums: Sums, slot: Slot, value: bigint): void => addProduct(sums, slot, value, 1n)

function addRatio(sums: Sums, slots: RatioSlots, parts: readonly Ratio[]): void {
  if (parts.length === 0) return
  let y = 0
  let w = 0
  for (const part of parts) {
    y += part.y
    w += part.w
  }
  add(sums, slots.tests, parts.length)
  add(sums, slots.plants, 1)
  add(sums, slots.y, y)
  add(sums, slots.w, w)
  addProduct(sums, slots.yy, BigInt(y), BigInt(y))
  addProduct(sums, slots.yw, BigInt(y), BigInt(w))
  addProduct(sums, slots.ww, BigInt(w), BigInt(w))
}

/** Widths of the intervals, and energy by efficiency. */
function addEfficiency(cell: Cell, { measures, width, kWh, ratios }: Figures): void {
  const efficiency = measures[EFFICIENCY]
  if (efficiency === undefined || width === undefined) return
  add(cell.sums, SLOTS.widths.tests, 1)
  add(cell.sums, SLOTS.widths.sum, width)
  const { y } = ratios.efficiencyByEnergy ?? {}
  if (kWh === undefined || y === undefined) return
  const bin = binOf(efficiency)
  addBin(cell, ENERGY_BINS.energy, bin, kWh)
  addBin(cell, ENERGY_BINS.waterEnergy, bin, y)
  addBin(cell, ENERGY_BINS.energyByWidth, bin, Math.round(kWh * PARTS * width * MEASURES[EFFICIENCY].step))
  const upper = counted((efficiency + width) * MEASURES[EFFICIENCY].step, MEASURES[EFFICIENCY].step)
  if (upper === undefined) return
  addBin(cell, ENERGY_BINS.energyAtUpper, binOf(upper), kWh)
  addBin(cell, ENERGY_BINS.waterEnergyAtUpper, binOf(upper), y)
}

/** Changes from a year to the next. There are none where a plant has one test, as in each cell of a single year. */
function addChanges(cell: Cell, tests: readonly Figures[]): void {
  const byYear = new Map(tests.map(({ at, measures }) => [Number(at.year), measures[EFFICIENCY]]))
  for (const [year, now] of byYear) {
    const before = byYear.get(year - 1)
    if (before === undefined || now === undefined) continue
    const change = Math.round(((now - before) * MEASURES[EFFICIENCY].step) / CHANGE_STEP)
    if (Math.abs(change) >= CHANGE_RAISE) continue
    const bin = year - FIRST_YEAR
    addBin(cell, PAIR_BINS.pairs, bin, 1)
    addBin(cell, PAIR_BINS.changes, bin, change + CHANGE_RAISE)
    addBin(cell, PAIR_BINS.squares, bin, change * change)
  }
}
