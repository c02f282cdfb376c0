/** What a firm is told of its peers: the cells that are told to all, with its own tests taken out first. */
import { nameOfCell } from './admit.ts'
import type { Decided } from './decide.ts'
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

const placeOf = ({ plant, row }: CountedTest): string => `${plant} ${row.tested_on!.slice(0, 4)}`

/** By firm: each cell in which it has tests, those too that wait: they are its own. */
export function peersOfAll({ tests, waiting, cells }: Decided): Map<string, readonly PeersCell[]> {
  const told = new Map<string, PeersCell[]>()
  // A test that waits to take another's place isn't counted beside it.
  const places = new Set(tests.map(placeOf))
  const held = testsByCell(tests)
  const awaited = testsByCell(waiting.filter((test) => !places.has(placeOf(test))))
  for (const cell of cells) {
    const name = nameOfCell(cell.family, cell.driver, cell.cell)
    const all = held.get(name) ?? []
    const counting = [...all, ...(awaited.get(name) ?? [])]
    for (const firm of new Set(counting.map((test) => test.firm))) {
      const peers = told.get(firm) ?? []
      told.set(firm, peers)
      const own = counting.filter((test) => test.firm === firm)
      peers.push(
        besidePeers(
          cell,
          own,
          all.filter((test) => test.firm !== firm),
        ),
      )
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

function besidePeers(
  { family, driver, cell, mark }: PublishedCell,
  own: readonly CountedTest[],
  peers: readonly CountedTest[],
): PeersCell {
  const { weights } = FAMILIES.find(({ id }) => id === family)!
  // What is withheld from all is withheld from each: less its own tests, it would be told after all.
  const why = mark ?? ownMark(peers, weights)
  return {
    family,
    driver,
    cell,
    own: figuresOfCell(family, own).figures,
    peers: (why === undefined ? figuresOfCell(family, peers) : withheldFigures(family, why)).figures,
  }
}
