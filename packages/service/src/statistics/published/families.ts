/**
 * What is published of each cell, in families: figures that could be reckoned from each other are withheld together, and
 * protected as one.
 */
import { JOULES_PER_KWH } from '../measures.ts'
import type { CountedTest, Table } from './lattice.ts'
import type { Additive } from './protect.ts'
import type { Magnitude } from './rules.ts'

export const FAMILY_IDS = ['overall-plant-efficiency', 'energy-and-water', 'standing-water-level'] as const
export type FamilyId = (typeof FAMILY_IDS)[number]

export interface Family {
  readonly id: FamilyId
  readonly tables: readonly Table[]
  /** Whether a test has what the figures are made of. */
  has(test: CountedTest): boolean
  /** Figures that dominance and p percent apply to. */
  readonly weights: readonly Magnitude[]
  /** Sums that cells would give away if they could be subtracted from each other. */
  readonly additives: readonly Additive[]
}

const BY_PLANT: readonly Table[] = [
  [],
  ['kind'],
  ['region'],
  ['power-class'],
  ['year'],
  ['kind', 'region'],
  ['kind', 'year'],
  ['region', 'power-class'],
  ['region', 'year'],
  ['power-class', 'year'],
]
/** Levels belong to the ground, not to the pump. */
const BY_PLACE: readonly Table[] = [[], ['region'], ['year'], ['region', 'year']]

const efficiency: Magnitude = ({ row }) => row.efficiency ?? 0
const energy: Magnitude = ({ row }) => (row.annual_energy_j ?? 0) / JOULES_PER_KWH
const water: Magnitude = ({ row }) => row.annual_volume_m3 ?? 0
const usefulEnergy: Magnitude = (test) => energy(test) * efficiency(test)
const level: Magnitude = ({ row }) => row.standing_level_m ?? 0
const USE = [energy, water, usefulEnergy]

export const FAMILIES: readonly Family[] = [
  {
    id: 'overall-plant-efficiency',
    tables: BY_PLANT,
    has: (test) => efficiency(test) > 0,
    weights: [],
    additives: [{ of: efficiency, cap: 1 }],
  },
  {
    id: 'energy-and-water',
    tables: BY_PLANT,
    has: (test) => USE.every((of) => of(test) > 0),
    weights: USE,
    additives: USE.map((of) => ({ of })),
  },
  {
    id: 'standing-water-level',
    tables: BY_PLACE,
    has: (test) => level(test) > 0,
    weights: [],
    additives: [{ of: level }],
  },
]
