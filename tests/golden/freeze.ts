/**
 * Writes the hashes of the golden corpus: `node tests/golden/freeze.ts 2026-1`.
 * Refuses to change a hash of an edition that was released: a changed number belongs to a new edition.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { editions, latestEdition } from '@liftledger/calc'
import { goldenCases } from '@liftledger/calc/testing'
import { evaluationHash, type FrozenHashes } from './hashes.ts'

const edition = process.argv[2] ?? latestEdition.id
if (!editions.some(({ id }) => id === edition)) {
  console.error(`There is no edition '${edition}'; there are ${editions.map(({ id }) => id).join(', ')}.`)
  process.exit(1)
}
const file = new URL(`${edition}/hashes.json`, import.meta.url)

function frozen(): FrozenHashes {
  try {
    return JSON.parse(readFileSync(file, 'utf8')) as FrozenHashes
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return { released: false, hashes: {} }
    throw error
  }
}

const { released, hashes: before } = frozen()
const hashes = Object.fromEntries(goldenCases(edition).map((golden) => [golden.id, evaluationHash(golden, edition)]))
const changed = Object.keys(before).filter((id) => before[id] !== hashes[id])
if (released && changed.length > 0) {
  console.error(`Edition ${edition} is released, and ${changed.join(', ')} would change. Open a new edition instead.`)
  process.exit(1)
}
writeFileSync(file, `${JSON.stringify({ released, hashes }, null, 2)}\n`)
console.log(`Edition ${edition}: ${Object.keys(hashes).length} hashes, ${changed.length} of them changed.`)
