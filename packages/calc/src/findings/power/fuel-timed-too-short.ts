import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const fuelTimedTooShort = defineFinding({
  id: 'fuel-timed-too-short',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/elapsed',
  decidedFrom: 'sheet',
  rule: 'Fuel was measured over too short a time.',
  why: 'Level and temperature in the tank change by as much as the fuel used.',
  needs: ['fuelDuration'],
  limits: ['minFuelTime'],
  raised: ({ fuelDuration }, limits) => fallsShort(fuelDuration, limits.minFuelTime),
  message: ({ fuelDuration }, say, limits) =>
    `Fuel was measured over ${say.time(fuelDuration)}; ${say.time(limits.minFuelTime)} or more is expected.`,
  remedy: 'On another visit have the fuel measured over a longer time, by people who are qualified to open its line.',
  cautions: ['fuel'],
  source: ourJudgement('at 6 gal/h a quarter of an hour is 1.5 gal, read to 0.02 gal'),
  examples: { passes: [{ fuelDuration: 900 }, { fuelDuration: 2700 }], raises: [{ fuelDuration: 890 }] },
})
