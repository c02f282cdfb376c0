/**
 * `npm run bench`: what the product does in how much time, beside a baseline in the same run.
 *
 * `-- --quick` takes less than 50 s; `-- --only ID` measures what starts with it; `-- --json FILE` writes the figures.
 */
import { writeFileSync } from 'node:fs'
import { cpus, totalmem } from 'node:os'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { evaluatePerCore } from './evaluate.ts'
import type { Figure } from './rounds.ts'
import { startCold } from './start.ts'
import { submitAgainstNaiveInsert } from './submit.ts'
import { evaluateAgainstUnitsLibrary } from './units-library.ts'

/** In the order in which they run; what needs a quiet process first. */
const measurements: readonly { id: string; measure: (quick: boolean) => Promise<Figure[]> }[] = [
  { id: 'evaluate.per-core', measure: evaluatePerCore },
  { id: 'evaluate.vs-units-library', measure: evaluateAgainstUnitsLibrary },
  { id: 'start.cold', measure: startCold },
  { id: 'submit.vs-naive-insert', measure: submitAgainstNaiveInsert },
]

const { values } = parseArgs({
  options: { quick: { type: 'boolean', default: false }, json: { type: 'string' }, only: { type: 'string' } },
})
console.log(
  `node ${process.version}, ${cpus().length} × ${cpus()[0]!.model.trim()}, ${Math.round(totalmem() / 2 ** 30)} GiB`,
)
const results: Figure[] = []
for (const { id, measure } of measurements)
  if (values.only === undefined || id.startsWith(values.only)) results.push(...(await measure(values.quick)))
if (values.json !== undefined)
  writeFileSync(resolve(process.env.INIT_CWD ?? '.', values.json), `${JSON.stringify({ results }, null, 2)}\n`)
