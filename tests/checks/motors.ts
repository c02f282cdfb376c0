/** Nominal efficiencies of motors by the published tables. */
import { nominalMotorEfficiency } from '@liftledger/calc'
import { type Check, lookedUp, type Row, rowsToChecks, type Source, si } from './check.ts'

const regulation = lookedUp(
  'US Department of Energy',
  '10 CFR 431.25',
  'table 1, nominal full-load efficiencies of general purpose motors (subtype I)',
  'http://www.law.cornell.edu/cfr/text/10/431.25',
  2010,
)
const reprint = lookedUp(
  'International Electrotechnical Commission',
  'IEC 60034-30-1',
  'table of class IE3 at 50 Hz, as reprinted in a catalogue',
  'reprint of the table in a catalogue of motors',
  2014,
)
const row4 = lookedUp(
  'International Electrotechnical Commission',
  'IEC 60034-30-1',
  'class IE3, four poles, 50 Hz, as held in public source text',
  'public source text with the row of the standard',
  2014,
)
const remembered: Source = {
  publication: {
    publisher: 'International Electrotechnical Commission',
    document: 'IEC 60034-30-1',
    place: 'table of class IE3 at 50 Hz',
    year: 2014,
  },
  basis: 'from memory',
}
const percent = (rated: number, unit: 'hp' | 'kW', speed: number, build: 'open' | 'enclosed'): number =>
  (nominalMotorEfficiency(si(rated, unit, 'power'), speed / 60, build) ?? Number.NaN) * 100

/** Rated horsepower, poles, and the efficiency printed. */
const ROWS: Readonly<Record<'open' | 'enclosed', readonly (readonly [number, 2 | 4 | 6, number])[]>> = {
  open: [
    [5, 6, 89.5],
    [15, 4, 93],
    [25, 4, 93.6],
    [50, 2, 93],
    [75, 6, 94.5],
    [150, 4, 95.8],
    [200, 2, 95],
  ],
  enclosed: [
    [1, 4, 85.5],
    [5, 4, 89.5],
    [10, 4, 91.7],
    [20, 4, 93],
    [40, 6, 94.1],
    [50, 4, 94.5],
    [75, 4, 95.4],
    [100, 4, 95.4],
    [125, 2, 95],
    [200, 4, 96.2],
  ],
}
const SPEED = { 2: 3600, 4: 1800, 6: 1200 } as const

const motorRows: Row[] = (['open', 'enclosed'] as const).flatMap((build) =>
  ROWS[build].map(
    ([rated, poles, printed]): Row => [
      `motor-60-hz-${build}-${rated}-${poles}`,
      `nominal efficiency, ${build}, ${rated} hp, ${poles} poles`,
      regulation,
      printed,
      '%',
      0.05,
      () => percent(rated, 'hp', SPEED[poles], build),
    ],
  ),
)
const FIFTY: readonly (readonly [kilowatts: number, speed: number, printed: number, source: Source])[] = [
  [0.75, 3000, 80.7, reprint],
  [0.75, 1500, 82.5, reprint],
  [11, 3000, 91.2, remembered],
  [11, 1500, 91.4, row4],
  [11, 1000, 90.3, remembered],
  [37, 1500, 93.9, row4],
  [75, 1500, 95, row4],
  [75, 1000, 94.6, remembered],
  [200, 3000, 95.8, remembered],
  [200, 1500, 96, row4],
]
const fiftyRows: Row[] = FIFTY.map(([kilowatts, speed, printed, source]) => [
  `motor-50-hz-${kilowatts}-${speed}`,
  `efficiency of class IE3 at 50 Hz, ${kilowatts} kW, ${speed} rpm`,
  source,
  printed,
  '%',
  0.051,
  () => percent(kilowatts, 'kW', speed, 'enclosed'),
])

export const motorChecks: readonly Check[] = rowsToChecks([...motorRows, ...fiftyRows])
