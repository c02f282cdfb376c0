/**
 * `npm run quality-visits`: forty simulated testers a basin, three of them with a biased flow instrument, over many basins:
 * how many of the biased are found, and how many of the others lie beyond the limits.
 *
 * Flags: `--basins 200` without a bias and as many with, `--first 1` the first seed, `--biases 0.06,0.08,0.12` the sizes
 * of the bias as shares, `--json FILE` writes `{results:[{id,value,unit,goal,better}]}`.
 */
import { writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { COMPARED } from '../../packages/service/src/quality-visits/difference.ts'
import { type Rates, type Tally, tallyOf } from './tally.ts'

const { values } = parseArgs({
  options: {
    basins: { type: 'string', default: '200' },
    first: { type: 'string', default: '1' },
    biases: { type: 'string', default: '0.06,0.08,0.12' },
    json: { type: 'string' },
  },
})
const BIASED = 3
const OUTER_GOAL = 0.002

const percent = (part: number, of: number): string => `${((100 * part) / of).toFixed(2)} %`
/** Half-width of a 95 % interval of a share, near enough. */
const about = (part: number, of: number): string => `± ${((196 * Math.sqrt(Math.max(part, 1))) / of).toFixed(2)} %`

function tellRates(name: string, { honest, beyondInner, beyondOuter, biased, found }: Rates): void {
  const alarms = `${percent(beyondInner, honest)} beyond the inner limit, ${percent(beyondOuter, honest)} ${about(beyondOuter, honest)} beyond the outer`
  const hits = biased === 0 ? '' : `; biased found: ${found} of ${biased}`
  console.log(`  ${name.padEnd(12)} ${honest} honest testers: ${alarms}${hits}`)
}

function tell(title: string, tally: Tally): void {
  console.log(`\n${title}: ${tally.basins} basins, ${tally.tests} tests, ${tally.visits} of them quality visits`)
  tellRates('all tests', tally.allTests)
  tellRates('same plants', tally.samePlants)
  const shares = COMPARED.map((quantity) => `${quantity} ${(100 * tally.within[quantity]).toFixed(1)} %`)
  console.log(`  E_n within 1 in ${tally.honestPairs} honest pairs: ${shares.join(', ')}`)
  if (tally.biasedPairs === 0) return
  const apart = COMPARED.map((quantity) => `${quantity} ${percent(tally.disagreeing[quantity], tally.biasedPairs)}`)
  console.log(`  E_n beyond 1 in ${tally.biasedPairs} pairs with one biased instrument: ${apart.join(', ')}`)
}

const seeds = Array.from({ length: Number(values.basins) }, (_, n) => Number(values.first) + n)
const started = performance.now()
const honest = tallyOf(seeds, { biased: 0, bias: 0 })
tell('No bias', honest)
const rate = ({ honest: of, beyondOuter }: Rates): number => beyondOuter / of
const results = [
  { id: 'testers.false-alarms.all-tests', value: rate(honest.allTests), unit: '1', goal: OUTER_GOAL, better: 'lower' },
  {
    id: 'testers.false-alarms.same-plants',
    value: rate(honest.samePlants),
    unit: '1',
    goal: OUTER_GOAL,
    better: 'lower',
  },
]
for (const size of values.biases.split(',').map(Number)) {
  const tally = tallyOf(seeds, { biased: BIASED, bias: size })
  tell(`${BIASED} of 40 testers with a flow instrument that shows ${size * 100} % too much or too little`, tally)
  const { found, biased } = tally.samePlants
  results.push({ id: `testers.found.${size}`, value: found / biased, unit: '1', goal: 1, better: 'higher' })
}
console.log(`\n${((performance.now() - started) / 1000).toFixed(0)} s; all of it invented`)
if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify({ results }, null, 2)}\n`)
