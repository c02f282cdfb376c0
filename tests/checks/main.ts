/**
 * `npm run checks`: the product against figures printed by others, and against published vectors of what proofs stand
 * on. Exit 1 if one fails.
 *
 * `--quick` lists sources without their values (every value is computed in any case: it takes well under a second);
 * `--json FILE` writes `{results:[{id,value,unit,goal,better}]}`.
 */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { runSuite, vectorSuites } from '@liftledger/ledger/testing'
import { judge } from './check.ts'
import { checks } from './list.ts'
import { figures, report, vectorFigures, vectorReport } from './report.ts'

const { values: flags } = parseArgs({ options: { quick: { type: 'boolean' }, json: { type: 'string' } } })
const outcomes = checks.map(judge)
console.log(report(outcomes, flags.quick !== true).join('\n'))
const vectors = []
for (const suite of vectorSuites) vectors.push(await runSuite(suite))
console.log(vectorReport(vectors).join('\n'))
const results = [...figures(outcomes), ...vectorFigures(vectors)]
if (flags.json !== undefined) writeFileSync(flags.json, `${JSON.stringify({ results }, null, 2)}\n`)

const missed = results.filter(({ value, goal, better }) =>
  goal === null ? false : better === 'higher' ? value < goal : value > goal,
)
for (const { id, value, goal } of missed) console.error(`${id} is ${value}; the goal is ${goal}.`)
process.exitCode = missed.length === 0 ? 0 : 1
