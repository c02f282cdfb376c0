/**
 * `npm run intervals`: the share of tests whose truth lies inside the stated 95 % interval.
 *
 * Flags: `--plants 6500` (about 3.2 visits each), `--seed 1`, `--mistakes 0.3` to see which mistakes are found,
 * `--biased 0.5` to see what instruments do that err beyond their record, `--json FILE` writes `{results:[{id,value,unit,goal,better}]}`.
 */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { type Coverage, measureCoverage } from './measure.ts'

const percent = (ratio: number, digits = 2): string => `${(ratio * 100).toFixed(digits)} %`

function tellTallies({ tallies }: Coverage): void {
  console.log('\ninside the 95 % interval        tests     share   bias     error    stated u')
  for (const [name, tally] of [...tallies].toSorted(([a], [b]) => (a < b ? -1 : 1)))
    console.log(
      [
        name.padEnd(46),
        String(tally.count).padStart(6),
        percent(tally.coverage).padStart(9),
        percent(tally.bias).padStart(9),
        percent(tally.error).padStart(8),
        percent(tally.stated).padStart(8),
      ].join(' '),
    )
}

function tellFindings({ visits, withMistakes, findings, stopped, mistakes }: Coverage): void {
  const honest = visits - withMistakes
  console.log(`\nhonest sheets held or rejected: ${stopped} of ${honest}`)
  for (const [name, times] of [...findings].toSorted(([, a], [, b]) => b - a))
    console.log(`  ${name.padEnd(46)} ${String(times).padStart(6)} ${percent(times / honest).padStart(9)}`)
  if (mistakes.size === 0) return
  console.log('\nmistakes made                    made   found    held or rejected')
  for (const [name, { made, found, stopped: held }] of [...mistakes].toSorted(([a], [b]) => (a < b ? -1 : 1)))
    console.log(
      `  ${name.padEnd(28)} ${String(made).padStart(6)} ${percent(found / made, 1).padStart(8)} ${percent(held / made, 1).padStart(8)}`,
    )
}

const { values } = parseArgs({
  options: {
    plants: { type: 'string', default: '6500' },
    seed: { type: 'string', default: '1' },
    mistakes: { type: 'string', default: '0' },
    biased: { type: 'string', default: '0' },
    json: { type: 'string' },
  },
})
const started = performance.now()
const coverage = measureCoverage(Number(values.seed), Number(values.plants), {
  mistakes: Number(values.mistakes),
  biased: Number(values.biased),
})
const seconds = (performance.now() - started) / 1000
console.log(`${coverage.visits} simulated visits, seed ${values.seed}, in ${seconds.toFixed(1)} s; all of it invented`)
tellTallies(coverage)
tellFindings(coverage)
const share = coverage.tallies.get('overall-plant-efficiency')?.coverage ?? Number.NaN
if (values.json !== undefined) {
  const results = [
    { id: 'coverage.overall-plant-efficiency', value: share, unit: '1', goal: [0.94, 0.96], better: 'inside' },
    { id: 'coverage.honest-stopped', value: coverage.stopped, unit: '1', goal: 0, better: 'lower' },
  ]
  writeFileSync(values.json, `${JSON.stringify({ results }, null, 2)}\n`)
}
if (!(share >= 0.94 && share <= 0.96)) process.exitCode = 1
