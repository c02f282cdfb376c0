/** Published cells as a table: one row a cell, the mark in a column of its own. */
import { type Cell, toCsv } from '../../http/csv.ts'
import { FIGURES } from './figures.ts'
import type { PublishedStatistics } from './schemas.ts'

export function publishedCsv({ month, figuresOf, items, notASample }: PublishedStatistics): string {
  const names = FIGURES[figuresOf]
  const columns = [
    'month',
    'figuresOf',
    'driver',
    'kind',
    'region',
    'powerClass',
    'year',
    'withheld',
    'waiting',
    ...names.flatMap((name) => (isBounded(name) ? [name, `${name}Low`, `${name}High`] : [name])),
    ...(names.some((name) => name.startsWith('percentile')) ? ['percentilesWithheld'] : []),
    'remark',
  ]
  const rows = items.map(({ of, figures, waiting }): Record<string, Cell> => {
    const cells: Record<string, Cell> = { month, figuresOf, ...of, waiting, remark: notASample }
    for (const name of names) {
      const figure = figures[name]!
      cells[name] = figure.value ?? undefined
      if (!isBounded(name)) continue
      cells[`${name}Low`] = figure.low
      cells[`${name}High`] = figure.high
    }
    // Of a cell that is told, single figures may be withheld still: those of few plants, or not measured in any.
    const first = names.find((name) => name !== 'tests' && name !== 'plants')!
    cells.withheld = figures[first]!.withheld
    cells.percentilesWithheld = figures.percentile10?.withheld
    return cells
  })
  return toCsv(columns, rows)
}

const isBounded = (name: string): boolean =>
  name === 'mean' || name === 'energyWeightedEfficiency' || name === 'energyPerVolume'
