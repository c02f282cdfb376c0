/** What a firm is told of its peers: the cells that are told to all, with its own tests taken out first. */
import { nameOfCell } from './admit.ts'
import { FAMILIES, type FamilyId } from './families.ts'
import { type Figure, figuresOfCell, withheldFigures } from './figures.ts'
import { type CountedTest, cellsOf } from './lattice.ts'
import type { PublishedCell } from './make.ts'
import { ownMark } from './rules.ts'

export interface PeersCell {
  readonly family: FamilyId
  readonly driver: string
  readonly cell: string
  readonly own: Readonly<Record<string, Figure>>
  readonly peers: Readonly<Record<string, Figure>>
}

/** By firm: each cell in which it has tests. */
export function peersOfAll(
  tests: readonly CountedTest[],
  cells: readonly PublishedCell[],
): Map<string, readonly PeersCell[]> {
  const told = new Map<string, PeersCell[]>()
  const held = testsByCell(tests)
  for (const cell of cells) {
    const all = held.get(nameOfCell(cell.family, cell.driver, cell.cell)) ?? []
    for (const firm of new Set(all.map((test) => test.firm))) {
      const peers = told.get(firm) ?? []
      told.set(firm, peers)
      peers.push(peersOf(firm, cell, all))
    }
  }
  return told
}

function testsByCell(tests: readonly CountedTest[]): Map<string, CountedTest[]> {
  const held = new Map<string, CountedTest[]>()
  for (const { id: family, tables, has } of FAMILIES) {
    for (const test of tests.filter(has)) {
      for (const cell of cellsOf(tables, test.values)) {
        const name = nameOfCell(family, test.driver, cell)
        const own = held.get(name) ?? []
        held.set(name, own)
        own.push(test)
      }
    }
  }
  return held
}

function peersOf(firm: string, { family, driver, cell, mark }: PublishedCell, all: readonly CountedTest[]): PeersCell {
  const peers = all.filter((test) => test.firm !== firm)
  const { weights } = FAMILIES.find(({ id }) => id === family)!
  // What is withheld from all is withheld from each: less its own tests, it would be told after all.
  const why = mark ?? ownMark(peers, weights)
  const own = all.filter((test) => test.firm === firm)
  return {
    family,
    driver,
    cell,
    own: figuresOfCell(family, own).figures,
    peers: (why === undefined ? figuresOfCell(family, peers) : withheldFigures(family, why)).figures,
  }
}
