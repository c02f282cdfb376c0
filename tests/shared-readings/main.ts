/**
 * `node tests/shared-readings/main.ts [--visits 2000] [--seed 1] [--of readings|record]`: false alarms over honest visits
 * to an invented basin, by comparing readings alone or by all findings that are decided from the record.
 * With `--unrecorded-repairs` nobody puts the repairs on record.
 */
import { parseArgs } from 'node:util'
import { countAlarms } from './measure.ts'
import { countRecordAlarms } from './record-alarms.ts'

const { values } = parseArgs({
  options: {
    visits: { type: 'string', default: '2000' },
    seed: { type: 'string', default: '1' },
    of: { type: 'string', default: 'readings' },
    'unrecorded-repairs': { type: 'boolean', default: false },
  },
})
const seed = Number(values.seed)
const visits = Number(values.visits)
const counted =
  values.of === 'record'
    ? countRecordAlarms({ seed, visits, repairsRecorded: !values['unrecorded-repairs'] })
    : countAlarms(seed, visits)
console.log(JSON.stringify(counted, undefined, 2))
