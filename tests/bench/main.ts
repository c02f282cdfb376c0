/**
 * `npm run bench`: what the product does in how much time, beside a baseline in the same run.
 *
 * `-- --quick` takes less than 50 s; `-- --only ID` measures what starts with it; `-- --json FILE` writes
 * `{results:[{id,value,unit,goal,better}]}`. A goal that is not reached is said and is no error: figures are reported as they are.
 */
import { writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { evaluatePerCore } from './evaluate.ts'
import { readAgainstEcho } from './read.ts'
import type { Figure } from './rounds.ts'
import { stopDatabase } from './servers.ts'
import { startCold } from './start.ts'
import { statisticsAgainstGroupBy } from './statistics.ts'
import { submitAgainstNaiveInsert } from './submit.ts'
import { submitToTwoProcesses } from './two-processes.ts'
import { evaluateAgainstUnitsLibrary } from './units-library.ts'
import { verifyAgainstHash } from './verify.ts'
import { machine } from './versions.ts'

/** In the order in which they run; what needs a quiet process first. */
const measurements: readonly {
  id: string
  measure: (quick: boolean) => Promise<Figure[]>
  /** Left out of a quick run of all. */
  slow?: true
}[] = [
  { id: 'evaluate.per-core', measure: evaluatePerCore },
  { id: 'evaluate.vs-units-library', measure: evaluateAgainstUnitsLibrary },
  { id: 'verify.vs-hash', measure: verifyAgainstHash },
  { id: 'start.cold', measure: startCold },
  { id: 'submit.vs-naive-insert', measure: submitAgainstNaiveInsert },
  { id: 'submit.two-processes', measure: submitToTwoProcesses, slow: true },
  { id: 'read.vs-echo', measure: readAgainstEcho },
  { id: 'trace.vs-echo', measure: readAgainstEcho },
  { id: 'statistics.vs-group-by', measure: statisticsAgainstGroupBy },
  { id: 'statistics.free-filter.vs-group-by', measure: statisticsAgainstGroupBy },
]

const { values: flags } = parseArgs({
  options: {
    quick: { type: 'boolean', default: false },
    json: { type: 'string' },
    only: { type: 'string', default: '' },
  },
})
const inHaste = flags.quick && flags.only === ''
const chosen = measurements.filter(({ id, slow }) => id.startsWith(flags.only) && !(inHaste && slow))
if (chosen.length === 0) {
  console.error(`No figure starts with '${flags.only}'; there are ${measurements.map(({ id }) => id).join(', ')}.`)
  process.exit(1)
}

const started = performance.now()
console.log(`${new Date().toISOString().slice(0, 10)}, ${machine()}`)
console.log('Each figure: median of alternating rounds [least – most], goal, and what was compared.')
const results: Figure[] = []
try {
  // One measurement may give several figures.
  for (const measure of new Set(chosen.map((one) => one.measure))) results.push(...(await measure(flags.quick)))
} finally {
  await stopDatabase()
}
console.log(`\n${Math.round((performance.now() - started) / 1000)} s in all`)
if (flags.json !== undefined)
  // npm runs scripts in the folder of the package; a path is meant from where the command was given.
  writeFileSync(resolve(process.env.INIT_CWD ?? '.', flags.json), `${JSON.stringify({ results }, null, 2)}\n`)
