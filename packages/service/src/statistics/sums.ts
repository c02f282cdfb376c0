/**
 * The exact sums of a cell, side by side in one array of whole numbers.
 *
 * A sum that can pass 2⁵³ is kept in limbs of 26 bits, each added up for itself: 2²⁷ plants can be added before a limb
 * passes 2⁵³. So adding is adding numbers, in any order, and taking away is its exact opposite.
 */
import { MEASURES } from './measures.ts'

const LIMB = 2 ** 26
const LIMB_BITS = 26n
const MASK = (1n << LIMB_BITS) - 1n

/** A number in one limb, or in several. */
export interface Slot {
  readonly at: number
  readonly limbs: number
}

let used = 0
function slot(limbs = 1): Slot {
  const made = { at: used, limbs }
  used += limbs
  return made
}

/** Of a measure, over tests and over plants. The last three are 0 where no plant has more than one test. */
const measureSlots = () => ({
  tests: slot(),
  plants: slot(),
  sum: slot(),
  squares: slot(2),
  /** Σ over plants of (sum of the plant)² − Σ squares. */
  crossSquares: slot(3),
  /** Σ over plants of (tests − 1) · sum of the plant. */
  crossSums: slot(2),
  /** Σ over plants of tests² − tests. */
  crossTests: slot(),
})

/** Of a ratio of sums y ÷ w, with what its variance over plants needs. */
const ratioSlots = () => ({
  tests: slot(),
  plants: slot(),
  y: slot(2),
  w: slot(),
  yy: slot(3),
  yw: slot(3),
  ww: slot(3),
})

export const REASONS = ['in-question', 'unsound', 'superseded', 'withdrawn', 'another-in-the-year'] as const
export type Reason = (typeof REASONS)[number]

export const SLOTS = {
  counted: slot(),
  plants: slot(),
  left: Object.fromEntries(REASONS.map((reason) => [reason, slot()])) as Record<Reason, Slot>,
  weights: { bills: slot(), hours: slot(), volume: slot(), none: slot() },
  /** Half-widths of the 95 % intervals of efficiency. */
  widths: { tests: slot(), sum: slot() },
  measures: MEASURES.map(measureSlots),
  ratios: {
    /** Water energy ÷ input energy: in hundredths of kWh, and kWh. */
    efficiencyByEnergy: ratioSlots(),
    /** Input energy ÷ water: in kWh and m³. */
    energyByVolume: ratioSlots(),
    /** Cost ÷ water: in hundredths of the currency, and m³. */
    costByVolume: ratioSlots(),
  },
} as const
export type MeasureSlots = ReturnType<typeof measureSlots>
export type RatioSlots = ReturnType<typeof ratioSlots>

export type Sums = Float64Array
export const SUMS_LENGTH = used
export const noSums = (): Sums => new Float64Array(SUMS_LENGTH)

/** A whole number up to 2⁵³. */
export function add(sums: Sums, { at, limbs }: Slot, value: number): void {
  if (limbs === 1) {
    sums[at]! += value
    return
  }
  sums[at]! += value % LIMB
  sums[at + 1]! += Math.floor(value / LIMB)
}

/** A product of two whole numbers that may pass 2⁵³. */
export function addProduct(sums: Sums, { at, limbs }: Slot, a: bigint, b: bigint): void {
  let rest = a * b
  for (let n = 0; n < limbs - 1; n++) {
    sums[at + n]! += Number(rest & MASK)
    rest >>= LIMB_BITS
  }
  sums[at + limbs - 1]! += Number(rest)
}

export function readBig(sums: Sums, { at, limbs }: Slot): bigint {
  let value = 0n
  for (let n = limbs - 1; n >= 0; n--) value = (value << LIMB_BITS) + BigInt(sums[at + n]!)
  return value
}

/** As near as a double comes. */
export const read = (sums: Sums, slot: Slot): number =>
  slot.limbs === 1 ? sums[slot.at]! : Number(readBig(sums, slot))
