import { describe, expect, test } from 'vitest'
import { latestEdition } from '../editions/list.ts'
import type { Sheet } from '../sheet.ts'
import { changedVisit, contribution, goldenCase, sounded } from '../testing.ts'
import { fromSi } from '../units.ts'

const FOOT = 0.3048
const { defaults } = latestEdition
const feet = (value: number) => ({ value, unit: 'ft' as const })
const psi = (value: number) => ({ value, unit: 'psi' as const })
type Level = NonNullable<Sheet['standingLevel']>
type AirLine = Extract<Level, { method: 'air-line' }>

const airLine = (pressure: number, change: Partial<AirLine> = {}): AirLine => ({
  method: 'air-line',
  airLineLength: feet(210),
  airLineLengthBasis: 'checked-with-sounder',
  pressures: [psi(pressure)],
  ...change,
})

/** SHEET-01 with both levels read otherwise. */
const visitWith = (standing: Level, pumping: Level, change: (sheet: Sheet) => void = () => undefined) =>
  changedVisit((sheet) => {
    sheet.standingLevel = standing
    sheet.runs[0]!.pumpingLevel = pumping
    change(sheet)
  })

const idsOf = (visit: ReturnType<typeof visitWith>) => visit.evaluation.findings.map(({ id }) => id)

describe('levels by air line', () => {
  test('one line for both levels: the error of its length cancels in the drawdown', () => {
    const visit = visitWith(airLine(38.4), airLine(27.1))
    expect(contribution(visit.trace('drawdown'), /air-line-length/)).toBeCloseTo(0, 12)
    const level = visit.trace('pumping-water-level')
    expect(contribution(level, /air-line-length/)).toBeCloseTo(defaults['air-line-length-checked'].u, 12)
  })

  test('two lines: nothing cancels', () => {
    const visit = visitWith(airLine(38.4), airLine(27.1, { airLineLength: feet(212) }))
    const u = defaults['air-line-length-checked'].u * Math.SQRT2
    expect(contribution(visit.trace('drawdown'), /air-line-length/)).toBeCloseTo(u, 12)
  })

  test('the air in a line has weight, unless its length was found from a sounded level', () => {
    const [checked, noted] = (['checked-with-sounder', 'as-installed'] as const).map((airLineLengthBasis) =>
      visitWith(airLine(38.4), airLine(27.1, { airLineLengthBasis })),
    )
    const [low, high] = [noted!, checked!].map((visit) => visit.result('pumping-water-level').value)
    // Air of about 3.5 kg/m³ over 64 m weighs as much as 0.22 m of water.
    expect(high! - low!).toBeGreaterThan(0.2)
    expect(high! - low!).toBeLessThan(0.25)
    expect(idsOf(noted!)).toContain('air-line-length-unverified')
    expect(idsOf(checked!)).not.toContain('air-line-length-unverified')
  })

  test('repeats that part raise a caution, and their scatter counts', () => {
    const visit = visitWith(airLine(38.4), airLine(27, { pressures: [psi(27), psi(28), psi(27.2)] }))
    expect(idsOf(visit)).toContain('air-line-pressure-not-settled')
    expect(contribution(visit.trace('pumping-water-level'), /pressure-repeats/)).toBeGreaterThan(0.1)
  })

  test('a line without pressure, or with more than its length, gives no lift', () => {
    for (const [pressure, id] of [
      [0.2, 'air-line-end-out-of-water'],
      [95, 'air-line-pressure-above-line'],
    ] as const) {
      const visit = visitWith(airLine(38.4), airLine(pressure))
      expect(idsOf(visit)).toContain(id)
      expect(visit.evaluation.results.map(({ quantity }) => quantity)).not.toContain('lift')
      expect(visit.evaluation.soundness).toBe('unsound')
    }
  })

  test('units of the answer follow the length of the line', () => {
    const visit = visitWith(airLine(38.4), airLine(27.1))
    expect(visit.result('pumping-water-level').shown.unit).toBe('ft')
  })
})

describe('levels by other means', () => {
  test('by transducer, below the point where it hangs', () => {
    const hung = (pressure: number): Level => ({
      method: 'transducer',
      sensorDepth: feet(200),
      pressures: [psi(pressure)],
    })
    const visit = visitWith(hung(36), hung(25))
    const level = fromSi(visit.result('pumping-water-level').value, 'ft', 'length')
    expect(level).toBeCloseTo(200 - 25 * 2.31, 0)
  })

  test('by sound: a caution, and the speed of sound acts on the depth', () => {
    const visit = visitWith({ method: 'acoustic', reading: feet(118) }, { method: 'acoustic', reading: feet(142) })
    expect(idsOf(visit)).toContain('acoustic-level-used')
    expect(contribution(visit.trace('pumping-water-level'), /acoustic-sound-speed/)).toBeCloseTo(
      defaults['acoustic-sound-speed'].u * 142 * FOOT,
      10,
    )
  })

  test('oil without its thickness waits for a person', () => {
    const sounder = (reading: number, oil?: object): Level => ({
      method: 'electric-sounder',
      reading: feet(reading),
      ...(oil === undefined ? {} : { oil }),
    })
    const unknown = idsOf(visitWith(sounder(118.4), sounder(141.7, {})))
    expect(unknown).toEqual(expect.arrayContaining(['oil-on-water', 'oil-thickness-not-read']))
    const known = idsOf(visitWith(sounder(118.4), sounder(141.7, { thickness: feet(1) })))
    expect(known).toContain('oil-on-water')
    expect(known).not.toContain('oil-thickness-not-read')
  })

  test('cascading water is said', () => {
    const visit = visitWith(airLine(38.4), airLine(27.1, { cascadingWater: true }))
    expect(idsOf(visit)).toContain('cascading-water')
  })
})

describe('water in the pump', () => {
  const column = {
    columnInsideDiameter: { value: 8, unit: 'in' as const },
    columnLength: { value: 230, unit: 'ft' as const },
  }
  const withColumn = (npsh: number) =>
    changedVisit((_, { plant }) => {
      Object.assign(plant.equipment!, column, { npshRequired: feet(npsh) })
    })

  test('a column on record gives the head of the bowls, and leaves the plant’s own figures alone', () => {
    const visit = withColumn(10)
    const head = visit.result('total-dynamic-head').value
    expect(visit.result('bowl-head').value).toBeCloseTo(head + visit.result('column-friction').value, 12)
    expect(visit.result('column-friction').value).toBeGreaterThan(0)
    const plain = changedVisit()
    for (const quantity of ['total-dynamic-head', 'overall-plant-efficiency'] as const)
      expect(visit.result(quantity)).toEqual(plain.result(quantity))
  })

  test('a short suction margin is a caution, a wide one is not', () => {
    const available = fromSi(withColumn(10).result('npsh-available').value, 'ft', 'length')
    const ids = (npsh: number) => withColumn(npsh).evaluation.findings.map(({ id }) => id)
    expect(ids(available - 2.01)).not.toContain('suction-margin-short')
    expect(ids(available - 1.99)).toContain('suction-margin-short')
  })

  test('a gauge beyond a partly closed valve is a caution', () => {
    const { evaluation } = changedVisit((sheet) => {
      const run = sheet.runs[0]!
      run.dischargePressure!.beyondThrottledValve = true
    })
    expect(evaluation.findings.map(({ id }) => id)).toContain('gauge-beyond-throttled-valve')
  })

  test('the trend of the series has the slope of its line, less sure the more its levels scatter', () => {
    const { sheet } = goldenCase('SHEET-01')
    expect(sounded(sheet.runs[0]!.pumpingLevel).series!.length).toBeGreaterThanOrEqual(3)
    const steady = changedVisit().result('pumping-level-trend')
    expect(steady.value).toBeGreaterThan(0)
    const restless = changedVisit((changed) => {
      sounded(changed.runs[0]!.pumpingLevel).series![2]!.value += 1.5
    }).result('pumping-level-trend')
    expect(restless.standardUncertainty).toBeGreaterThan(steady.standardUncertainty)
  })

  test('a level after the stop says how far the well came back', () => {
    const visit = changedVisit(({ runs }) => {
      runs[0]!.levelAfterStop = { method: 'electric-sounder', reading: feet(123.06) }
    })
    // 141.7 ft while pumping, 118.4 ft at rest.
    expect(visit.result('recovery').value).toBeCloseTo((141.7 - 123.06) / (141.7 - 118.4), 12)
  })
})
