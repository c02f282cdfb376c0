/** `node tests/shared-readings/main.ts [--visits 2000] [--seed 1]`: false alarms over honest visits to an invented basin. */
import { parseArgs } from 'node:util'
import { countAlarms } from './measure.ts'

const { values } = parseArgs({
  options: { visits: { type: 'string', default: '2000' }, seed: { type: 'string', default: '1' } },
})
console.log(JSON.stringify(countAlarms(Number(values.seed), Number(values.visits)), undefined, 2))
