/**
 * `npm run torture`: what becomes of submissions when processes are killed and connections cut under load.
 *
 * `-- --quick` takes less than 60 s with few faults; `-- --only ID` runs what starts with it; `-- --json FILE` writes
 * `{results:[{id,value,unit,goal,better}]}`. Ends with 1 if a goal is not reached. Loopback only; kills only what it started.
 */
import { writeFileSync } from 'node:fs'
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import type { Figure } from '../bench/rounds.ts'
import { machine } from '../bench/versions.ts'
import { cases } from './cases.ts'

const { values: flags } = parseArgs({
  options: {
    quick: { type: 'boolean', default: false },
    json: { type: 'string' },
    only: { type: 'string', default: '' },
  },
})
const chosen = cases.filter(
  ({ id, takesLong = false }) => id.startsWith(flags.only) && !(takesLong && flags.quick && flags.only === ''),
)
if (chosen.length === 0) {
  console.error(`No case starts with '${flags.only}'; there are ${cases.map(({ id }) => id).join(', ')}.`)
  process.exit(1)
}

const isReached = ({ value, goal, better }: Figure): boolean =>
  goal === null || (better === 'higher' ? value >= goal : value <= goal)

function tell(figure: Figure): void {
  const { id, value, unit, goal, better } = figure
  const shown = Number.isInteger(value) ? value.toLocaleString('en-US') : value.toPrecision(3)
  const wanted = goal === null ? '' : `goal ${better === 'higher' ? '≥' : goal === 0 ? '=' : '≤'} ${goal}`
  const verdict = goal === null ? '' : isReached(figure) ? ': reached' : ': NOT REACHED'
  console.log(`  ${id.padEnd(52)} ${shown.padStart(9)} ${unit.padEnd(2)} ${wanted}${verdict}`)
}

console.log(`${new Date().toISOString().slice(0, 10)}, ${machine()}`)
const results: Figure[] = []
for (const one of chosen) {
  const started = performance.now()
  console.log(`\n${one.id}: ${one.says}`)
  const figures = await one.run(flags.quick)
  for (const figure of figures) tell(figure)
  console.log(`  ${Math.round((performance.now() - started) / 1000)} s`)
  results.push(...figures)
}
if (flags.json !== undefined)
  // npm runs scripts in the folder of the package; a path is meant from where the command was given.
  writeFileSync(resolve(process.env.INIT_CWD ?? '.', flags.json), `${JSON.stringify({ results }, null, 2)}\n`)
process.exitCode = results.every(isReached) ? 0 : 1
