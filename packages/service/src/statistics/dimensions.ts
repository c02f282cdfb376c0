/** What statistics can be grouped and filtered by, and which groups are kept added up. */
export const DIMENSIONS = [
  'driver',
  'kind',
  'region',
  'year',
  'power-class',
  'flow-method',
  'level-method',
  'power-method',
  'firm',
  'tester',
  'plant',
] as const
export type Dimension = (typeof DIMENSIONS)[number]

/** Value of each dimension of one test; ids as UUIDs. */
export type Place = Readonly<Record<Dimension, string>>

export interface Cuboid {
  /** Number in the table of cells; never used again for other dimensions. */
  readonly id: number
  readonly dimensions: readonly Dimension[]
}

/**
 * The groups that are kept added up, smallest first. Driver is in each: what electric motors and engines take in
 * differs in kind and is never pooled. The largest serves the filters that none of the others was made for.
 */
export const CUBOIDS: readonly Cuboid[] = [
  { id: 1, dimensions: ['driver'] },
  { id: 2, dimensions: ['driver', 'kind'] },
  { id: 3, dimensions: ['driver', 'region'] },
  { id: 4, dimensions: ['driver', 'power-class'] },
  { id: 5, dimensions: ['driver', 'flow-method'] },
  { id: 6, dimensions: ['driver', 'year'] },
  { id: 7, dimensions: ['driver', 'kind', 'year'] },
  { id: 8, dimensions: ['driver', 'region', 'year'] },
  { id: 9, dimensions: ['driver', 'power-class', 'year'] },
  { id: 10, dimensions: ['driver', 'flow-method', 'year'] },
  { id: 11, dimensions: ['driver', 'level-method', 'year'] },
  { id: 12, dimensions: ['driver', 'power-method', 'year'] },
  { id: 13, dimensions: ['driver', 'firm', 'year'] },
  { id: 14, dimensions: ['driver', 'firm', 'tester', 'year'] },
  { id: 0, dimensions: ['driver', 'kind', 'region', 'year', 'power-class', 'flow-method'] },
]

/** The smallest cuboid that has all these dimensions; undefined where none was made for them. */
export function cuboidFor(dimensions: ReadonlySet<Dimension>): Cuboid | undefined {
  return CUBOIDS.find((cuboid) => [...dimensions].every((one) => cuboid.dimensions.includes(one)))
}

export const keyOf = (place: Place, dimensions: readonly Dimension[]): string[] => dimensions.map((one) => place[one])

/** Keys as one text; no value holds the sign between them. */
export const joined = (key: readonly string[]): string => key.join('|')
