import { describe, expect, test } from 'vitest'
import type { SwingingReading } from './readings.ts'
import type { Sheet } from './sheet.ts'
import { sheetProblems } from './sheet-problems.ts'
import { flowBy, goldenCase, powerBy } from './testing.ts'

type Change = (sheet: Sheet) => void
const flowOf = (sheet: Sheet) => flowBy(sheet.runs[0], 'pitot-traverse')
const point = (form: Omit<SwingingReading, 'unit'>): Change => {
  return (sheet) => {
    flowOf(sheet).diameters[0]!.points[3] = { unit: 'in', ...form }
  }
}
const inches = (value: number) => ({ value, unit: 'in' as const })
const POINT = '/runs/0/flow/diameters/0/points/3'

const refused: readonly (readonly [what: string, change: Change, pointer: string])[] = [
  ['a normal run that is not there', (s) => Object.assign(s, { normalRun: 1 }), '/normalRun'],
  [
    'a reading left out of a run that is not there',
    (s) => Object.assign(s, { leftOut: [{ reading: 'flow', run: 4, reason: 'unsafe' }] }),
    '/leftOut/0/run',
  ],
  ['a point without a value', point({}), POINT],
  ['a point that is one value and repeats', point({ value: 2, repeats: [2, 2.1] }), POINT],
  ['a point that is one value and a swing', point({ value: 2, low: 1.9, high: 2.1 }), POINT],
  ['a swing with one end', point({ low: 1.9 }), POINT],
  ['a swing upside down', point({ low: 2.1, high: 1.9 }), `${POINT}/low`],
  [
    'a centre without a value',
    (s) => {
      flowOf(s).diameters[1]!.centre = { unit: 'in' }
    },
    '/runs/0/flow/diameters/1/centre',
  ],
  [
    'positions that are not one for each point',
    (s) => {
      flowOf(s).diameters[0]!.positions = [inches(0.26)]
    },
    '/runs/0/flow/diameters/0/positions',
  ],
  [
    'a liquid without its density',
    (s) => {
      flowOf(s).manometer.fluid = 'liquid-under-water'
    },
    '/runs/0/flow/manometer/relativeDensity',
  ],
  [
    'a density for air',
    (s) => {
      flowOf(s).manometer.relativeDensity = { value: 2.95, unit: '1' }
    },
    '/runs/0/flow/manometer/relativeDensity',
  ],
  [
    'an outside diameter without the wall',
    (s) => {
      flowOf(s).pipe.outsideDiameter = inches(10.75)
    },
    '/runs/0/flow/pipe',
  ],
  [
    'a manometer liquid as dense as water',
    (s) => {
      Object.assign(flowOf(s).manometer, { fluid: 'liquid-under-water', relativeDensity: { value: 100, unit: '%' } })
    },
    '/runs/0/flow/manometer/relativeDensity',
  ],
  [
    'a wall that leaves no opening',
    (s) => {
      Object.assign(flowOf(s).pipe, { outsideDiameter: inches(10), wallThickness: inches(5) })
    },
    '/runs/0/flow/pipe/wallThickness',
  ],
  [
    'a lining that leaves no opening',
    (s) => {
      const pipe = { outsideDiameter: inches(10), wallThickness: inches(4), liningThickness: inches(1.01) }
      Object.assign(flowOf(s).pipe, pipe)
    },
    '/runs/0/flow/pipe/wallThickness',
  ],
  [
    'another load that was measured but is not given',
    (s) => {
      powerBy(s.runs[0], 'meter-revolutions').otherLoads = 'measured'
    },
    '/runs/0/power/otherLoad',
  ],
  [
    'another load that is given but was off',
    (s) => {
      powerBy(s.runs[0], 'meter-revolutions').otherLoads = 'off'
      powerBy(s.runs[0], 'meter-revolutions').otherLoad = { value: 2, unit: 'kW' }
    },
    '/runs/0/power/otherLoad',
  ],
  [
    'an open discharge under pressure',
    (s) => {
      s.runs[0]!.dischargeOpen = true
    },
    '/runs/0/dischargeOpen',
  ],
]

describe('problems of a sheet’s shape', () => {
  test.each(refused)('%s is refused at its place', (_, change, pointer) => {
    const { sheet } = goldenCase('SHEET-01')
    change(sheet)
    const problems = sheetProblems(sheet)
    expect(problems.map((problem) => problem.pointer)).toEqual([pointer])
    expect(problems[0]!.message).toMatch(/\.$/)
  })

  test.each([
    ['one value', point({ value: 2 })],
    ['a value below zero', point({ value: -0.2 })],
    ['repeats', point({ repeats: [2, 2.1, 1.9] })],
    ['a swing', point({ low: 1.9, high: 2.1 })],
    ['a swing of no width', point({ low: 2, high: 2 })],
    [
      'no timings at all',
      (s: Sheet) => {
        powerBy(s.runs[0], 'meter-revolutions').timings = []
      },
    ],
    [
      'levels in each other’s place',
      (s: Sheet) => {
        const standing = s.standingLevel!
        s.standingLevel = s.runs[0]!.pumpingLevel!
        s.runs[0]!.pumpingLevel = standing
      },
    ],
    [
      'the last run as the normal one',
      (s: Sheet) => {
        s.runs.push(structuredClone(s.runs[0]!))
        s.normalRun = 1
      },
    ],
  ])('%s is no matter of shape', (_, change) => {
    const { sheet } = goldenCase('SHEET-01')
    change(sheet)
    expect(sheetProblems(sheet)).toEqual([])
  })

  test('tells all problems at once', () => {
    const { sheet } = goldenCase('SHEET-01')
    sheet.normalRun = 7
    point({})(sheet)
    flowOf(sheet).manometer.fluid = 'liquid-over-water'
    expect(sheetProblems(sheet)).toHaveLength(3)
  })
})
